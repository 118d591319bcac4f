package armfile

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Origin says where on the arm the origin of its base frame is, all in mm and at the measured pose.
type Origin struct {
	AboveMount  float64 // above the mounting surface
	FromJ1      float64 // from the axis of joint 1
	BelowJoint2 float64 // below the point of joint 2's axis that is nearest to joint 1's, along the base frame's Z
}

// Origin returns where the arm counts from. Where the axes of joints 1 and 2 are parallel, the point of joint 2's axis is
// the one that the file gives.
func (a *Arm) Origin() Origin {
	j1, j2 := a.Geometry.Joints[0], a.Geometry.Joints[1]
	fromJ1 := r3.Norm(r3.Cross(j1.At, j1.Axis))
	at := j2.At
	// The plane through joint 1's axis and the common perpendicular cuts joint 2's axis there.
	across := r3.Cross(j1.Axis, r3.Cross(j1.Axis, j2.Axis))
	if along := r3.Dot(j2.Axis, across); math.Abs(along) > 1e-9 {
		at = r3.Add(at, r3.Scale(r3.Dot(r3.Sub(j1.At, at), across)/along, j2.Axis))
	}
	return Origin{AboveMount: a.MountHeight, FromJ1: fromJ1, BelowJoint2: at.Z}
}
