package jogfile

import (
	"fmt"
	"strconv"
	"strings"

	"handrule/kinematics"
	"handrule/kinematics/jog"
	"handrule/scenarios/cellfile"
	"handrule/scenarios/spoken"
	"handrule/words"
)

// This file writes jogs as the lines of a jog file. Numbers are written to the last digit, so that they are read as they
// were.

// Line writes the way and the amount of a jog as a line of a jog file, to the last digit.
func Line(j jog.Jog) string {
	axes, line := axesOf(j.Frame), frameWords(j)
	amounts := j.Asked.Amounts
	if amounts == [6]float64{} {
		amounts = j.Amounts(j.Amount)
	}
	for axis, amount := range amounts {
		if amount == 0 {
			continue
		}
		text := plainly(amount)
		if j.Frame == jog.JointFrame || axis > 2 {
			text = exactly(amount, kinematics.Radians)
		}
		line += " " + axes[axis] + " " + text
	}
	return line
}

// exactly writes, with its sign, the shortest decimal number that is read as x: degrees, where read makes rad of it.
func exactly(x float64, read func(float64) float64) string {
	value := x / read(1)
	for digits := 6; digits < 17; digits++ {
		text := strconv.AppendFloat(make([]byte, 0, 32), value, 'g', digits, 64)
		if back, _ := strconv.ParseFloat(string(text), 64); read(back) == x {
			value = back // which has no more digits than these
			break
		}
	}
	return plainly(value)
}

// plainly writes, with its sign, the shortest decimal number that is read as x.
func plainly(x float64) string {
	text := strconv.FormatFloat(x, 'g', -1, 64)
	if x >= 0 {
		return "+" + text
	}
	return text
}

// heldLine writes the way of a held jog as a line of a jog file, without its end.
func heldLine(j jog.Jog) string {
	var line strings.Builder
	line.WriteString(frameWords(j))
	for axis, part := range j.Amounts(1) {
		switch {
		case part > 0:
			line.WriteString(" " + axesOf(j.Frame)[axis] + " +")
		case part < 0:
			line.WriteString(" " + axesOf(j.Frame)[axis] + " -")
		}
	}
	return line.String()
}

// frameWords are those that begin the line of a jog.
func frameWords(j jog.Jog) string {
	if j.Task != "" {
		return string(j.Frame) + " " + j.Task
	}
	return string(j.Frame)
}

func axesOf(f jog.Frame) []string {
	if f == jog.JointFrame {
		return jogJoint
	}
	return jogAxes
}

// driven writes a jog that was driven as the line of a jog file that does it again: bit for bit, or, where the entry
// says that it was changed on its way, as the step along the same path to the same place. It is false where nothing is to be
// done.
func driven(e *jog.Entry) (string, bool) {
	if e.Changed {
		step, went := e.Step()
		return Line(step), went
	}
	line := Line(e.Jog)
	if e.Jog.Held() {
		line = heldLine(e.Jog)
	}
	if e.LetGo > 0 {
		line += " let-go " + strconv.FormatFloat(float64(e.LetGo)/jog.TickRate, 'f', -1, 64)
	}
	switch e.Stop.Reason {
	case jog.Done:
	case jog.Released, jog.LinkLost:
		if e.LetGo == 0 {
			return line, false // it never began to move
		}
	default:
		line += " until-stopped"
	}
	return line, true
}

// JointList writes joint angles as the command line takes them: degrees, to the last digit, with commas.
func JointList(q kinematics.Joints) string {
	var all []string
	for _, angle := range q {
		all = append(all, strings.TrimPrefix(exactly(angle, kinematics.Radians), "+"))
	}
	return strings.Join(all, ",")
}

// Write writes what was driven as a jog file that does it again, with the tools, set distances, frames and speeds that
// takes.
func Write(entries []jog.Entry) string {
	var file strings.Builder
	tool, setDistance := "", 0.0
	straight, turn := plainly(firstStraightSpeed), plainly(firstTurnSpeed)
	taught := map[string]jog.TaskFrame{}
	for i := range entries {
		e := &entries[i]
		line, does := driven(e)
		if !does {
			continue
		}
		if mount := mountLine(e); mount != tool {
			fmt.Fprintln(&file, mount)
			tool = mount
		}
		if e.SetDistance != setDistance {
			fmt.Fprintf(&file, "set-distance %v\n", e.SetDistance)
			setDistance = e.SetDistance
		}
		if t := e.Task; t.Taught != nil && (taught[t.Name].Taught == nil || *taught[t.Name].Taught != *t.Taught) {
			fmt.Fprint(&file, "teach-frame ", t.Name)
			for _, p := range t.Taught {
				fmt.Fprintf(&file, " %v %v %v", p.X, p.Y, p.Z)
			}
			fmt.Fprintln(&file)
			taught[t.Name] = t
		}
		s, t := fileSpeeds(e.Jog)
		if s != "" && s != straight || t != "" && t != turn {
			if s != "" {
				straight = s
			}
			if t != "" {
				turn = t
			}
			fmt.Fprintf(&file, "speed %s %s\n", strings.TrimPrefix(straight, "+"), strings.TrimPrefix(turn, "+"))
		}
		fmt.Fprintf(&file, "%s", line)
		if e.Stop.Reason != jog.Done {
			fmt.Fprintf(&file, " # %s", spoken.Headline(e.Stop, words.English))
		}
		fmt.Fprintln(&file)
	}
	return file.String()
}

// mountLine mounts the tool that the jog was driven with.
func mountLine(e *jog.Entry) string {
	name, found := cellfile.FoundTCP(e.Tool)
	if found {
		at := e.TCP.Position
		return fmt.Sprintf("mount-tool %s tcp %v %v %v", name, at.X, at.Y, at.Z)
	}
	if name == "" {
		name = kinematics.NoTool.Name
	}
	return "mount-tool " + name
}

// fileSpeeds are the numbers that a speed line has to give for this jog to have its speed, mm/s and degrees/s; "" for one
// that does not matter.
func fileSpeeds(j jog.Jog) (straight, turn string) {
	switch {
	case !j.Straight():
		return "", exactly(j.Speed, kinematics.Radians)
	case j.TurnPerMM() == 0:
		return plainly(j.Speed), ""
	case j.Asked.Speeds != (jog.Speeds{}):
		return plainly(j.Asked.Speeds.Straight), exactly(j.Asked.Speeds.Turn, kinematics.Radians)
	}
	return plainly(j.Speed), exactly(j.TurnPerMM()*j.Speed, kinematics.Radians)
}
