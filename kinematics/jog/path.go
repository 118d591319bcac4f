package jog

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
)

// ReducedSpeed is the highest speed of the TCP and of the flange in mm/s while people jog (ISO 10218-1, reduced
// speed control: the tool centre point at no more than 250 mm/s; from memory of the standard).
const ReducedSpeed = 250.0

// path is the way of a jog, laid down once when it starts, so that nothing accumulates along it.
type path struct {
	jog  Jog
	from kinematics.Pose // the TCP at the start, in the base frame
	axis r3.Vec          // unit vector of the direction, sign included, in the base frame
	unit float64         // +1 or -1, for joints
}

func newPath(arm *kinematics.Arm, tool kinematics.Pose, q kinematics.Joints, j Jog) path {
	p := path{jog: j, from: arm.Forward(q).Mul(tool), unit: float64(j.Sign)}
	switch j.Frame {
	case BaseFrame:
		p.axis = kinematics.NoRotation.Axis(j.Axis % 3)
	case ToolFrame:
		p.axis = p.from.Rotation.Axis(j.Axis % 3)
	}
	p.axis = r3.Scale(p.unit, p.axis)
	return p
}

// tcp returns where the TCP of a straight or turning jog is after the distance s, mm or rad.
func (p *path) tcp(s float64) kinematics.Pose {
	to := p.from
	if p.jog.Straight() {
		to.Position = r3.Add(p.from.Position, r3.Scale(s, p.axis))
	} else {
		to.Rotation = kinematics.RotationAbout(p.axis, s).Mul(p.from.Rotation)
	}
	return to
}

// ceiling returns the highest speed along the path, mm/s or rad/s, at which neither the TCP nor the flange is
// faster than ReducedSpeed. Both keep their distance from the axis of a turn, so it holds for the whole path.
func (p *path) ceiling(arm *kinematics.Arm, tool kinematics.Pose, q kinematics.Joints) float64 {
	if p.jog.Straight() {
		return ReducedSpeed
	}
	axis, through := p.axis, p.from.Position
	if p.jog.Frame == JointFrame {
		link, joint := arm.Links(q)[p.jog.Axis], arm.Joints[p.jog.Axis]
		axis, through = link.Rotation.Apply(joint.Axis), link.Apply(joint.At)
	}
	radius := 0.0
	for _, point := range []r3.Vec{p.from.Position, p.from.Mul(tool.Inverse()).Position} {
		radius = math.Max(radius, r3.Norm(r3.Cross(axis, r3.Sub(point, through))))
	}
	return ReducedSpeed / radius // +Inf where both lie on the axis
}
