package kinematics

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Links are the displacements of the seven links from the zero pose, in the base frame: link 0 is the base and
// never moves, link i is the one that joint i carries. A point p of link i at the zero pose is now at
// Links[i].Apply(p).
type Links [7]Pose

// prepareForward gives every joint a frame of its own whose Z axis is the joint's axis and stores each in the one
// before, so that a joint's turn mixes just two columns of the running rotation.
func (a *Arm) prepareForward() {
	before := Identity
	for i, j := range a.Joints {
		frame := Pose{Position: j.At, Rotation: rotationToZ(j.Axis)}
		a.local[i] = before.Inverse().Mul(frame)
		before = frame
	}
	a.local[6] = before.Inverse().Mul(a.Flange)
}

// rotationToZ returns a frame whose Z axis is the unit vector z.
func rotationToZ(z r3.Vec) Rotation {
	other := r3.Vec{X: 1}
	if math.Abs(z.X) > 0.6 {
		other = r3.Vec{Y: 1}
	}
	x := r3.Unit(r3.Sub(other, r3.Scale(r3.Dot(other, z), z)))
	return Rotation{X: x, Y: r3.Cross(z, x), Z: z}
}

// turned returns r turned by the angle about its own Z axis.
func (r Rotation) turned(angle float64) Rotation {
	s, c := math.Sincos(angle)
	return Rotation{
		X: r3.Vec{X: c*r.X.X + s*r.Y.X, Y: c*r.X.Y + s*r.Y.Y, Z: c*r.X.Z + s*r.Y.Z},
		Y: r3.Vec{X: c*r.Y.X - s*r.X.X, Y: c*r.Y.Y - s*r.X.Y, Z: c*r.Y.Z - s*r.X.Z},
		Z: r.Z,
	}
}

// Forward returns the flange for the joint angles q, in the base frame (a product of exponentials, Lynch and
// Park, Modern Robotics, ch. 4, evaluated in the joints' own frames).
func (a *Arm) Forward(q Joints) Pose {
	p := Identity
	for i := range q {
		p = p.Mul(a.local[i])
		p.Rotation = p.Rotation.turned(q[i])
	}
	return p.Mul(a.local[6])
}

// Links returns where every link is for the joint angles q.
func (a *Arm) Links(q Joints) Links {
	links := Links{0: Identity}
	for i, j := range a.Joints {
		turn := RotationAbout(j.Axis, q[i])
		about := Pose{Position: r3.Sub(j.At, turn.Apply(j.At)), Rotation: turn}
		links[i+1] = links[i].Mul(about)
	}
	return links
}
