package worksheet

import (
	"cmp"
	"math"
	"regexp"
	"slices"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/kinematics/clearance"
	"handrule/kinematics/jog"
	"handrule/scenarios/lesson"
	"handrule/scenarios/spoken"
	"handrule/words"
)

// task is what a stage asks, in words for paper.
type task struct {
	Words   []string // a sentence each
	Options []string // to tick
	Lines   int      // to write on
	Unit    string   // of the number that is asked for; "" where none is
	Points  float64  // 0 where it cannot be done on paper
	Drawn   bool     // it is about how the arm stands
	OnPage  bool     // the number takes an arm, or the page: what is on a sheet does not tell it
	Hidden  []string // dimensions that the drawings must not give away
}

// axisOrJoint is how a text speaks of the arm.
var axisOrJoint = regexp.MustCompile(`\b([XYZ]|J[1-6]|TCP)\b`)

// asksOfPose reports whether a question with options is about how the arm stands: it has a pose of its own, or speaks of an axis, a
// joint, a frame, the tool or a thing. A question about anything else, such as what an enabling device is for, needs no drawing.
func (w *writer) asksOfPose(s *lesson.Stage) bool {
	if s.Given("start_deg") || s.GoOn {
		return true
	}
	text := said(s)
	if axisOrJoint.MatchString(text) {
		return true
	}
	var names []string
	if tool, err := w.l.Mounted(); err == nil {
		names = append(names, tool.Name)
	}
	for _, t := range w.l.Surroundings().Things {
		names = append(names, t.Name)
	}
	for _, t := range w.l.Surroundings().Tasks {
		names = append(names, t.Name)
	}
	return slices.ContainsFunc(names, func(name string) bool {
		return name != clearance.MountingSurface && speaksOf(text, w.in.Named(name))
	})
}

// said is all that a stage says before its task is done.
func said(s *lesson.Stage) string {
	text := string(s.Text)
	if c := s.Choose; c != nil {
		text += "\n" + c.Question
		for i := range c.Options {
			text += "\n" + c.Options[i].Text
		}
	}
	return text
}

// speaksOf reports whether a name stands in a text as words of their own.
func speaksOf(text, name string) bool {
	return regexp.MustCompile(`(?i)(^|\PL)` + regexp.QuoteMeta(name) + `($|\PL)`).MatchString(text)
}

// writer writes what is on a sheet in a language.
type writer struct {
	in *words.Language
	l  *lesson.Lesson
}

func (w *writer) describe(s *lesson.Stage) task {
	t := lesson.ByKind(s.Task, w.reach, w.predict, w.read, w.choose, w.free)
	t.Drawn = t.Drawn || s.Choose != nil && w.asksOfPose(s)
	switch {
	case s.Free != nil || t.OnPage:
	case s.Given("points"):
		t.Points = float64(s.Points)
	default:
		t.Points = 1
	}
	return t
}

func (w *writer) free(t *lesson.Free) task {
	out := task{Words: []string{w.in.Say("sheet.free")}, Lines: 1}
	for _, n := range t.Notice {
		out.Options = append(out.Options, n.Text)
	}
	return out
}

func (w *writer) choose(t *lesson.Choose) task {
	out := task{Words: []string{t.Question}}
	if t.Several {
		out.Words = append(out.Words, w.in.Say("task.several"))
	}
	for _, o := range t.Options {
		out.Options = append(out.Options, o.Text)
		out.Drawn = out.Drawn || o.When != nil
	}
	return out
}

func (w *writer) reach(t *lesson.Reach) task {
	frame := w.frameName(string(t.Frame))
	var goals []string
	if t.Joint != nil {
		goals = append(goals, w.in.Say("task.reach.joint", "joint", kinematics.JointNames[*t.Joint], "angle", w.degrees(float64(*t.Angle)), "turn", w.degrees(float64(t.TurnTolerance))))
	}
	if p := t.Position; p != nil {
		goals = append(goals, w.in.Say("task.reach.position", "x", w.in.Short(p.X, 3), "y", w.in.Short(p.Y, 3), "z", w.in.Short(p.Z, 3),
			"frame", frame, "length", w.in.Short(float64(t.Tolerance), 3)+" mm"))
	}
	if t.Rotation != nil {
		a, _ := t.Rotation.FixedXYZ()
		goals = append(goals, w.in.Say("task.reach.rotation", "x", w.degrees(a.X), "y", w.degrees(a.Y), "z", w.degrees(a.Z),
			"frame", frame, "turn", w.degrees(float64(t.TurnTolerance))))
	}
	for _, p := range t.Posture(kinematics.Posture{}) {
		goals = append(goals, w.in.Say("sheet.rule.posture", "word", spoken.PostureWord(p.Part, p.Word, w.in)))
	}
	if t.Taught {
		goals = append(goals, w.in.Say("task.rule.taught"))
	} else if len(t.Frames) > 0 {
		var frames []string
		for _, f := range t.Frames {
			frames = append(frames, w.frameName(string(f)))
		}
		goals = append(goals, w.in.Say("task.rule.frames", "frames", strings.Join(frames, ", ")))
	}
	lines := 4
	if t.MostJogs > 0 {
		goals = append(goals, w.in.Say("sheet.rule.jogs", "most", w.in.Short(float64(t.MostJogs), 0)))
		lines = min(lines, int(t.MostJogs)+1)
	}
	if t.NoContact {
		goals = append(goals, w.in.Say("task.rule.contact"))
	}
	if t.PathFactor > 0 {
		goals = append(goals, w.in.Say("task.rule.path", "factor", w.in.Short(float64(t.PathFactor), 2)))
	}
	if t.KeepDirection > 0 {
		goals = append(goals, w.in.Say("task.rule.direction", "turn", w.degrees(float64(t.KeepDirection))))
	}
	return task{Words: append(goals, w.in.Say("sheet.reach")), Lines: lines, Drawn: true}
}

func (w *writer) predict(t *lesson.Predict) task {
	said := spoken.Jog(t.Jog[0], w.in)
	switch t.Ask {
	case "joints":
		return task{Words: []string{w.in.Say("task.ask.joints", "jog", said)}, Options: kinematics.JointNames[:], Drawn: true, Lines: 1}
	case "stop":
		return task{Words: []string{w.in.Say("task.ask.stop", "jog", said)}, Lines: 2, Drawn: true}
	}
	key := "task.ask.tcp"
	if t.Point == "flange" {
		key = "task.ask.flange"
	}
	var options []string
	for _, axis := range []string{"X", "Y", "Z"} {
		options = append(options, axis+" +", axis+" "+words.Minus)
	}
	return task{Words: []string{w.in.Say(key, "jog", said, "frame", w.frameName(string(t.Frame)))}, Options: options, Drawn: true, Lines: 1}
}

// read is a number to be read or worked out.
func (w *writer) read(t *lesson.Read) task {
	what := w.quantity(&t.Quantity)
	var before []string
	for _, j := range t.After {
		before = append(before, spoken.Jog(j, w.in))
	}
	if len(before) > 0 {
		what = w.in.Say("sheet.read.after", "what", what, "jogs", strings.Join(before, "; "))
	}
	unit := w.unit(t.AnswerUnit())
	out := task{
		Words: []string{w.in.Say("sheet.read", "what", what), w.in.Say("task.read.within", "tolerance", w.withUnit(w.in.Short(float64(t.Tolerance), 6), unit))},
		Lines: 2, Unit: cmp.Or(unit, "="), Drawn: true,
	}
	if out.OnPage = onPage(&t.Quantity); out.OnPage {
		out.Words = append(out.Words, w.in.Say("sheet.on-page"))
	}
	if slices.Contains([]lesson.Measure{"x", "y", "z"}, t.Measure) && len(t.After) == 0 { // The number itself is asked, and not what follows from it.
		out.Hidden = []string{string(t.Measure)}
	}
	return out
}

// onPage reports whether a number can be had only where the arm is computed: how far joints turn in a jog, how near the bodies are, how far
// a jog goes that is not one joint's.
func onPage(q *lesson.Quantity) bool {
	switch q.Measure {
	case "travel", "share", "clearance":
		return true
	case "room":
		return q.Toward.Frame != jog.JointFrame
	}
	return false
}

// quantity names what is measured: "Z in the base frame", "Length of the TCP's path in the jog: J1, +30°".
func (w *writer) quantity(q *lesson.Quantity) string {
	joint := ""
	if q.Joint != nil {
		joint = kinematics.JointNames[*q.Joint]
	}
	what := ""
	switch q.Measure {
	case "stop", "shoulder", "elbow", "wrist", "singularity":
		what = w.in.Say("sheet.measure." + string(q.Measure))
	default:
		what = w.in.Say("task.read."+string(q.Measure), "frame", w.frameName(string(q.Frame)), "joint", joint)
	}
	if len(q.Jog) > 0 {
		what = w.in.Say("sheet.read.jog", "what", what, "jog", spoken.Jog(q.Jog[0], w.in))
	}
	if q.Toward != nil {
		what = w.in.Say("sheet.read.jog", "what", what, "jog", spoken.Jog(jog.Jog{Direction: *q.Toward, Amount: math.Inf(1)}, w.in))
	}
	return what
}

// withUnit writes a number with its unit, which a degree sign follows without a space.
func (w *writer) withUnit(number, unit string) string {
	if unit == "°" {
		return number + unit
	}
	return strings.TrimSpace(number + " " + unit)
}

// unit is one as a person writes it.
func (w *writer) unit(unit string) string {
	if unit == "inch" {
		return w.in.Say("sheet.inch")
	}
	return unit
}

// frameName is a frame by its word in a lesson, "" or "task tile", as a person says it.
func (w *writer) frameName(word string) string {
	frame, task, _ := strings.Cut(cmp.Or(word, string(jog.BaseFrame)), " ")
	return spoken.FrameName(jog.Frame(frame), task, w.in)
}

// degrees writes an angle in rad as a person reads it.
func (w *writer) degrees(rad float64) string { return w.in.Short(kinematics.Degrees(rad), 4) + "°" }

// place writes a place as a person reads it: "X 320, Y 0, Z 110".
func (w *writer) place(v r3.Vec, decimals int) string {
	return "X " + w.in.Short(v.X, decimals) + w.in.Say("sheet.between") + "Y " + w.in.Short(v.Y, decimals) + w.in.Say("sheet.between") + "Z " + w.in.Short(v.Z, decimals)
}
