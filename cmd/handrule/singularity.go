package main

import (
	"fmt"
	"io"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
)

// singularity is how near the arm is to one, as JSON. Numbers that the arm does not have are null.
type singularity struct {
	Kind           string  `json:"kind"`
	Near           bool    `json:"near"`
	Smallest       float64 `json:"smallest_singular_value"`
	Condition      maybe   `json:"condition"`
	Manipulability float64 `json:"manipulability"`
	LengthMM       float64 `json:"length_mm"` // that counts as one rad

	WristDeg   maybe `json:"wrist_deg"`   // singular at 0 and ±180
	ElbowDeg   maybe `json:"elbow_deg"`   // singular at 0 and ±180
	ShoulderMM maybe `json:"shoulder_mm"` // singular at 0

	Lost   lostMotion         `json:"lost_motion"`
	Racing map[string]float64 `json:"racing"` // rad/s of the joints that lost_motion takes times smallest_singular_value
}

// lostMotion is the motion of the TCP that costs most, in the base frame.
type lostMotion struct {
	LinearMM   [3]float64 `json:"linear_mm_s"`
	AngularRad [3]float64 `json:"angular_rad_s"`
	Words      string     `json:"words"`
}

func singularityOf(s kinematics.Singularity) singularity {
	linear, angular := lostParts(s)
	view := singularity{
		Kind: s.Kind, Near: s.Near, Smallest: s.Smallest, Condition: maybe(s.Condition), Manipulability: s.Manipulability, LengthMM: s.Length,
		WristDeg: maybe(kinematics.Degrees(s.Angles.Wrist)), ElbowDeg: maybe(kinematics.Degrees(s.Angles.Elbow)), ShoulderMM: maybe(s.Angles.Shoulder),
		Lost:   lostMotion{Words: lostWords(linear, angular, s.Length)},
		Racing: map[string]float64{},
	}
	linear = r3.Scale(s.Length, linear)
	view.Lost.LinearMM = [3]float64{linear.X, linear.Y, linear.Z}
	view.Lost.AngularRad = [3]float64{angular.X, angular.Y, angular.Z}
	for i, name := range jointNames {
		view.Racing[name] = s.Racing[i]
	}
	return view
}

// barely is the part of a unit motion that does not deserve a word.
const barely = 0.02

// lostParts returns the linear part of the lost motion, as a part of Length, and the angular part.
func lostParts(s kinematics.Singularity) (linear, angular r3.Vec) {
	return r3.Vec{X: s.Lost[0], Y: s.Lost[1], Z: s.Lost[2]}, r3.Vec{X: s.Lost[3], Y: s.Lost[4], Z: s.Lost[5]}
}

// lostWords says in words which motion is lost. Either sense of it is.
func lostWords(linear, angular r3.Vec, length float64) string {
	straight, turn := r3.Norm(linear), r3.Norm(angular)
	switch {
	case turn < barely:
		return "moving along " + line(linear)
	case straight < barely:
		return "turning about " + line(angular)
	}
	// The sense in which the straight part is written decides that of the turn.
	if leading(linear) < 0 {
		angular = r3.Scale(-1, angular)
	}
	return fmt.Sprintf("moving along %s while turning by %s° a millimetre about %s",
		line(linear), number(kinematics.Degrees(turn/(straight*length)), 3), direction(angular))
}

// line names the line along a vector, whichever its sense.
func line(v r3.Vec) string {
	if leading(v) < 0 {
		v = r3.Scale(-1, v)
	}
	return direction(v)
}

// direction names the direction of a vector in the base frame.
func direction(v r3.Vec) string {
	v = r3.Unit(v)
	for i, part := range [3]float64{v.X, v.Y, v.Z} {
		switch {
		case part > 0.9999:
			return "base " + letters[i]
		case part < -0.9999:
			return "base -" + letters[i]
		}
	}
	return fmt.Sprintf("(%s, %s, %s) of the base frame", number(v.X, 2), number(v.Y, 2), number(v.Z, 2))
}

// leading is the first part of v that is more than nothing to two decimals.
func leading(v r3.Vec) float64 {
	for _, part := range [3]float64{v.X, v.Y, v.Z} {
		if math.Abs(part) > 0.01*r3.Norm(v) {
			return part
		}
	}
	return 0
}

// racing returns the joints that have a real part in the lost motion.
func racing(q kinematics.Joints) (joints []int) {
	fastest := 0.0
	for _, speed := range q {
		fastest = math.Max(fastest, math.Abs(speed))
	}
	for i, speed := range q {
		if math.Abs(speed) >= 0.25*fastest {
			joints = append(joints, i)
		}
	}
	return joints
}

func printSingularity(w io.Writer, s kinematics.Singularity) {
	what := "none is near"
	switch s.Kind {
	case "":
	case "other":
		what = "one is near, neither of the wrist nor of the elbow nor of the shoulder"
	default:
		what = "the " + s.Kind + " singularity is near"
	}
	printLine(w, "singularity", "%s", what)
	if x := s.Angles.Wrist; !math.IsNaN(x) {
		printLine(w, "  wrist", "%s° from in line with the forearm (singular at 0° and 180°)", number(kinematics.Degrees(math.Abs(math.Remainder(x, 2*math.Pi))), 2))
	}
	if x := s.Angles.Elbow; !math.IsNaN(x) {
		printLine(w, "  elbow", "%s° of bend (singular at 0° and 180°)", number(kinematics.Degrees(math.Abs(math.Remainder(x, 2*math.Pi))), 2))
	}
	if x := s.Angles.Shoulder; !math.IsNaN(x) {
		printLine(w, "  shoulder", "wrist %s mm out from the axis of J1 (singular at 0)", number(x, 1))
	}
	printLine(w, "  Jacobian", "smallest singular value %.3g, condition number %s, manipulability %.3g", s.Smallest, conditionText(s.Condition), s.Manipulability)
	printLine(w, "", "(%s mm count as one rad)", number(s.Length, 1))

	linear, angular := lostParts(s)
	name := "  costs most"
	if s.Near {
		name = "  nearly lost"
	}
	if s.Smallest < 1e-9 {
		name = "  lost"
	}
	printLine(w, name, "%s", lostWords(linear, angular, s.Length))
	printLine(w, "", "%s", racingWords(s))
}

func conditionText(x float64) string {
	if x > 1e12 {
		return "infinite but for rounding"
	}
	return roughly(x)
}

// roughly writes a positive number with three digits, or without decimals.
func roughly(x float64) string {
	if x >= 100 {
		return number(x, 0)
	}
	return fmt.Sprintf("%.3g", x)
}

// racingWords says which joints the lost motion takes, and how fast.
func racingWords(s kinematics.Singularity) string {
	joints := racing(s.Racing)
	names := make([]string, len(joints))
	for i, joint := range joints {
		names[i] = jointNames[joint]
	}
	if s.Smallest < 1e-9 {
		return "no speed of the joints gives it; close by, " + listed(names) + " would race for it"
	}
	linear, _ := lostParts(s)
	unit, rate := "1 °/s", 1/s.Smallest
	if straight := r3.Norm(linear); straight >= barely {
		unit, rate = "1 mm/s", kinematics.Degrees(1/(s.Smallest*straight*s.Length))
	}
	for i, joint := range joints {
		names[i] = fmt.Sprintf("%s °/s of %s", roughly(math.Abs(s.Racing[joint])*rate), names[i])
	}
	return unit + " of it takes " + listed(names)
}
