package worksheet

import (
	"cmp"
	"fmt"
	"strings"

	"handrule/kinematics"
	"handrule/kinematics/jog"
	"handrule/scenarios/form"
	"handrule/scenarios/lesson"
	"handrule/scenarios/spoken"
	"handrule/words"
)

// task is what a stage asks, in words for paper.
type task struct {
	Words   string
	Options []string // to tick
	Lines   int      // to write on
	Hidden  []string // dimensions that the drawings must not give away
}

func describe(l *lesson.Lesson, s *lesson.Stage) task {
	return lesson.ByKind(s.Task, reach, predict, func(t *lesson.Read) task {
		out := task{Words: read(t), Lines: 1}
		if len(t.After) == 0 && (t.Frame == "" || t.Frame == "base") {
			out.Hidden = []string{string(t.Measure)} // The number itself is asked, and not what follows from it.
		}
		return out
	}, func(t *lesson.Choose) task {
		out := task{Words: t.Question}
		for _, o := range t.Options {
			out.Options = append(out.Options, o.Text)
		}
		return out
	}, func(t *lesson.Free) task {
		out := task{Words: "At the arm, make these happen and tick them off. Write the jogs that did it."}
		for _, n := range t.Notice {
			out.Options = append(out.Options, n.Text)
		}
		out.Lines = 1
		return out
	})
}

func reach(t *lesson.Reach) task {
	frame := frameName(string(t.Frame))
	var goals []string
	if t.Joint != nil {
		goals = append(goals, fmt.Sprintf("%s to %s", kinematics.JointNames[*t.Joint], degrees(float64(*t.Angle))))
	}
	if t.Position != nil {
		goals = append(goals, fmt.Sprintf("the TCP to %s mm in the %s", place(*t.Position), frame))
	}
	if t.Rotation != nil {
		a, _ := t.Rotation.FixedXYZ()
		goals = append(goals, fmt.Sprintf("the tool frame to a turn of %s, %s, %s about the fixed X, Y, Z of the %s", degrees(a.X), degrees(a.Y), degrees(a.Z), frame))
	}
	text := "Write jogs that bring " + strings.Join(goals, ", and ") + "."
	for _, p := range t.Posture(kinematics.Posture{}) {
		text += fmt.Sprintf(" Be there with: %s.", spoken.PostureWord(p.Part, p.Word, words.English))
	}
	if len(t.Frames) > 0 {
		var frames []string
		for _, f := range t.Frames {
			frames = append(frames, "the "+frameName(string(f)))
		}
		text += fmt.Sprintf(" Jog only in %s.", form.OneOf(frames))
	}
	lines := 3
	if t.MostJogs > 0 {
		text += fmt.Sprintf(" At most %d jogs.", t.MostJogs)
		lines = min(lines, int(t.MostJogs))
	}
	if t.NoContact {
		text += " Touch nothing."
	}
	return task{Words: text, Lines: lines}
}

func predict(t *lesson.Predict) task {
	jog := spoken.Jog(t.Jog[0], words.English)
	switch t.Ask {
	case "joints":
		return task{Words: fmt.Sprintf("The jog is: %s. Which joints will move?", jog), Options: []string{"J1", "J2", "J3", "J4", "J5", "J6"}}
	case "stop":
		return task{Words: fmt.Sprintf("The jog is: %s. What will stop it, if anything does?", jog), Lines: 1}
	}
	point, frame := "TCP", frameName(string(t.Frame))
	if t.Point == "flange" {
		point = "flange"
	}
	return task{Words: fmt.Sprintf("The jog is: %s. Which way will the %s go, in the %s?", jog, point, frame), Options: []string{"X +", "X −", "Y +", "Y −", "Z +", "Z −"}}
}

// jogs writes jogs in a row, with something before them where there are any.
func jogs(before string, all lesson.Jogs) string {
	var lines []string
	for _, j := range all {
		lines = append(lines, spoken.Jog(j, words.English))
	}
	if len(lines) == 0 {
		return ""
	}
	return before + strings.Join(lines, "; ")
}

// placeWords are those of measures that mean nothing without their frame.
var placeWords = map[lesson.Measure]string{
	"x": "X", "y": "Y", "z": "Z", "about-x": "the angle about X", "about-y": "the angle about Y", "about-z": "the angle about Z",
}

// units of what can be read, besides lengths.
var units = map[lesson.Measure]string{"about-x": "degrees", "about-y": "degrees", "about-z": "degrees", "joint": "degrees", "travel": "degrees", "share": "a part of 1"}

func read(t *lesson.Read) string {
	what := string(t.Measure)
	if name, ok := placeWords[t.Measure]; ok {
		what = fmt.Sprintf("%s of the TCP in the %s", name, frameName(string(t.Frame)))
	}
	if t.Joint != nil {
		what = kinematics.JointNames[*t.Joint]
		if t.Measure != "joint" {
			what = fmt.Sprintf("the %s of %s", t.Measure, what)
		}
	}
	what = "What is " + what
	if t.Toward != nil {
		what += fmt.Sprintf(" towards %s", t.Toward)
	}
	unit := "mm"
	if t.Unit != "" {
		unit = string(t.Unit)
	}
	if u, ok := units[t.Measure]; ok {
		unit = u
	}
	what += jogs(" after: ", t.After) + jogs(" in the jog: ", t.Jog)
	return fmt.Sprintf("%s, in %s (within %s)?", what, unit, words.English.Short(float64(t.Tolerance), 6))
}

// frameName is a frame by its word in a lesson, "" or "task tile", as a person says it.
func frameName(word string) string {
	frame, task, _ := strings.Cut(cmp.Or(word, string(jog.BaseFrame)), " ")
	return spoken.FrameName(jog.Frame(frame), task, words.English)
}

// degrees writes an angle in rad as a person reads it.
func degrees(rad float64) string { return words.English.Short(kinematics.Degrees(rad), 4) + "°" }
