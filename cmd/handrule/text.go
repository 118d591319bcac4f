package main

import (
	"fmt"
	"io"
	"strings"

	"handrule/kinematics"
	"handrule/scenarios/spoken"
	"handrule/words"
)

// What people read is in lines of a name and what it is, aligned.

// printLine writes one such line; a line without a name goes on with the one before.
func printLine(w io.Writer, name, format string, values ...any) {
	fmt.Fprintf(w, "%-17s %s\n", name, strings.TrimRight(fmt.Sprintf(format, values...), " "))
}

// cells writes each value with its name before and its unit after it, in columns.
func cells(names []string, values []float64, decimals int, unit string) string {
	text := ""
	for i, x := range values {
		text += fmt.Sprintf("%s %9s%s   ", names[i], number(x, decimals), unit)
	}
	return text
}

var (
	letters    = []string{"X", "Y", "Z"}
	jointNames = kinematics.JointNames[:]
)

func printJoints(w io.Writer, name string, q kinematics.Joints) {
	deg := q.Degrees()
	printLine(w, name, "%s", cells(jointNames, deg[:], 2, "°"))
}

// printReading writes a place in the base frame, its orientation in every form, and what is not unique about it.
func printReading(w io.Writer, name string, r spoken.Reading) {
	p := r.PositionMM
	printLine(w, name, "in the base frame")
	printLine(w, "  position", "%smm", cells(letters, p[:], 2, ""))
	printLine(w, "", "%sinch", cells(letters, []float64{p[0] / words.MMPerInch, p[1] / words.MMPerInch, p[2] / words.MMPerInch}, 3, ""))
	form := func(name, text, note string) {
		printLine(w, "  "+name, "%s", text)
		if note != "" {
			printLine(w, "", "%s", note)
		}
	}
	form("fixed X-Y-Z", cells(letters, r.FixedXYZDeg[:], 2, "°"), r.Notes.FixedXYZ)
	form("moving Z-Y-X", cells([]string{"Z", "Y", "X"}, r.MovingZYXDeg[:], 2, "°"), r.Notes.MovingZYX)
	form("Z-Y-Z", cells([]string{"Z", "Y", "Z"}, r.ZYZDeg[:], 2, "°"), r.Notes.ZYZ)
	axis := cells(letters, r.AxisAngle.Axis[:], 4, " ") + "by" + fmt.Sprintf("%8s°", number(r.AxisAngle.AngleDeg, 2))
	form("axis and angle", axis, r.Notes.AxisAngle)
	form("quaternion", cells([]string{"w", "x", "y", "z"}, r.Quaternion[:], 4, " "), r.Notes.Quaternion)
	for i, row := range r.Rotation {
		name := ""
		if i == 0 {
			name = "  matrix"
		}
		printLine(w, name, "%s", cells([]string{" ", " ", " "}, row[:], 4, " "))
	}
}

// listed joins words as a sentence does: "J4, J5 and J6".
func listed(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	last := len(words) - 1
	return strings.Join(words[:last], ", ") + " and " + words[last]
}
