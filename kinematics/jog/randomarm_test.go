package jog_test

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"handrule/kinematics"
)

// randomArm draws an arm of any form that the solver tells apart, and of none: its six axes somewhere in space, some of them
// made to meet or to be parallel, and a capsule from each joint to the next.
func randomArm(t *rapid.T) (*kinematics.Arm, []kinematics.Capsule) {
	number := func(low, high float64, what string) float64 { return rapid.Float64Range(low, high).Draw(t, what) }
	direction := func(what string) r3.Vec {
		angle, height := number(-math.Pi, math.Pi, what), number(-1, 1, what)
		flat := math.Sqrt(1 - height*height)
		return r3.Vec{X: flat * math.Cos(angle), Y: flat * math.Sin(angle), Z: height}
	}
	var joints [6]kinematics.Joint
	at := r3.Vec{}
	for i := range joints {
		j := &joints[i]
		j.At, j.Axis = at, direction("axis")
		for i > 0 && r3.Norm(r3.Cross(j.Axis, joints[i-1].Axis)) < 0.3 {
			j.Axis = r3.Vec{X: j.Axis.Y, Y: j.Axis.Z, Z: j.Axis.X + 0.1}
			j.Axis = r3.Unit(j.Axis)
		}
		j.Min, j.Max = -number(1, 3.1, "limit"), number(1, 3.1, "limit")
		j.Speed = number(1, 8, "speed")
		at = r3.Add(at, r3.Scale(number(40, 300, "length"), direction("to the next")))
	}
	form := rapid.SampledFrom([]string{"spherical wrist", "elbow", "three parallel", "spherical shoulder", "any"}).Draw(t, "form")
	switch form {
	case "elbow":
		joints[2].Axis = joints[1].Axis
		fallthrough
	case "spherical wrist":
		joints[4].At, joints[5].At = joints[3].At, joints[3].At
	case "three parallel":
		joints[2].Axis, joints[3].Axis = joints[1].Axis, joints[1].Axis
	case "spherical shoulder":
		joints[1].At, joints[2].At = joints[0].At, joints[0].At
	}
	if rapid.Bool().Draw(t, "round") {
		// As in lessons: axes along the base frame's, points on a grid of 10 mm, so that axes meet and are parallel by construction.
		grid := func(v r3.Vec) r3.Vec {
			return r3.Vec{X: 10 * math.Round(v.X/10), Y: 10 * math.Round(v.Y/10), Z: 10 * math.Round(v.Z/10)}
		}
		for i := range joints {
			joints[i].At, joints[i].Axis = grid(joints[i].At), alongAnAxis(joints[i].Axis)
		}
	}
	flange := kinematics.Pose{Position: at, Rotation: kinematics.FixedXYZ(number(-3, 3, "rx"), number(-1.5, 1.5, "ry"), number(-3, 3, "rz"))}
	arm, err := kinematics.New(joints, flange)
	if err != nil {
		t.Skip(err) // axes that nearly fall together
	}
	var body []kinematics.Capsule
	for link := 1; link <= 6; link++ {
		end := flange.Position
		if link < 6 {
			end = joints[link].At
		}
		body = append(body, kinematics.Capsule{Link: link, From: joints[link-1].At, To: end, Radius: number(5, 40, "radius")})
	}
	return arm, body
}

// alongAnAxis is the axis of the base frame that is nearest to a direction.
func alongAnAxis(d r3.Vec) r3.Vec {
	x, y, z := math.Abs(d.X), math.Abs(d.Y), math.Abs(d.Z)
	switch {
	case x >= y && x >= z:
		return r3.Vec{X: math.Copysign(1, d.X)}
	case y >= z:
		return r3.Vec{Y: math.Copysign(1, d.Y)}
	}
	return r3.Vec{Z: math.Copysign(1, d.Z)}
}
