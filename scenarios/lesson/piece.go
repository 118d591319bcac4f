package lesson

import (
	"fmt"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/scenarios/armfile"
	"handrule/scenarios/form"
)

// This file writes pieces of lesson files, to be pasted into a stage.

// PosePiece is where the arm stands as the start of a stage. It is rounded to 0.0001°, unless that would leave the limits.
func PosePiece(arm *armfile.Arm, q kinematics.Joints) string {
	rounded := q
	for i, angle := range q.Degrees() {
		rounded[i] = kinematics.Radians(form.Round(angle, 4))
	}
	digits := 4
	if len(arm.OutsideLimits(rounded)) > 0 {
		digits = 15
	}
	deg := q.Degrees()
	return "start_deg: " + numberList(digits, deg[:]...) + "\n"
}

// TargetPiece is a place of the TCP in a frame as the task to reach it, with tolerances of a millimetre and a degree.
func TargetPiece(frame FrameName, tcp kinematics.Pose) string {
	angles, _ := tcp.Rotation.FixedXYZ()
	return fmt.Sprintf("reach:\n  frame: %s\n  position_mm: %s\n  tolerance_mm: 1\n  rotation_deg: %s\n  tolerance_deg: 1\n", frame,
		numberList(2, tcp.Position.X, tcp.Position.Y, tcp.Position.Z),
		numberList(2, kinematics.Degrees(angles.X), kinematics.Degrees(angles.Y), kinematics.Degrees(angles.Z)))
}

// ViewPiece is where the stage is seen from, in the world frame.
func ViewPiece(from, at r3.Vec) string {
	return fmt.Sprintf("view: {from_mm: %s, at_mm: %s}\n", numberList(0, from.X, from.Y, from.Z), numberList(0, at.X, at.Y, at.Z))
}

func numberList(digits int, numbers ...float64) string {
	var words []string
	for _, x := range numbers {
		words = append(words, strconv.FormatFloat(form.Round(x, digits), 'f', -1, 64))
	}
	return "[" + strings.Join(words, ", ") + "]"
}
