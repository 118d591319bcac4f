package kinematics

import "gonum.org/v1/gonum/spatial/r3"

// Pose is the place of one frame in another: the position of its origin in mm and its axes.
type Pose struct {
	Position r3.Vec
	Rotation Rotation
}

// Identity is the pose of a frame in itself.
var Identity = Pose{Rotation: NoRotation}

// Apply returns the point v, given in the frame of p, in the frame p is given in.
func (p Pose) Apply(v r3.Vec) r3.Vec { return r3.Add(p.Position, p.Rotation.Apply(v)) }

// Mul returns the pose of frame C in A where p is B in A and q is C in B.
func (p Pose) Mul(q Pose) Pose {
	return Pose{Position: p.Apply(q.Position), Rotation: p.Rotation.Mul(q.Rotation)}
}

// Inverse returns the pose of A in B where p is B in A.
func (p Pose) Inverse() (q Pose) {
	q.invert(&p)
	return q
}

// invert is Inverse, of p, without copies.
func (q *Pose) invert(p *Pose) {
	r, s := &q.Rotation, &p.Rotation
	r.X.X, r.X.Y, r.X.Z = s.X.X, s.Y.X, s.Z.X
	r.Y.X, r.Y.Y, r.Y.Z = s.X.Y, s.Y.Y, s.Z.Y
	r.Z.X, r.Z.Y, r.Z.Z = s.X.Z, s.Y.Z, s.Z.Z
	q.Position = r3.Scale(-1, r.apply(&p.Position))
}

// Twist returns the straight way from p to q, both in the same frame: the translation of the origin in mm and
// the rotation vector (axis times angle, rad) that turns p's axes into q's, both in that frame.
func (p Pose) Twist(q Pose) (translation, rotation r3.Vec) {
	return r3.Sub(q.Position, p.Position), q.Rotation.Mul(p.Rotation.Transpose()).Vector()
}
