package kinematics

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Rotation holds the axes of a turned frame as unit vectors of the frame it is given in; they are the columns
// of the rotation matrix.
type Rotation struct{ X, Y, Z r3.Vec }

// NoRotation leaves every vector as it is.
var NoRotation = Rotation{X: r3.Vec{X: 1}, Y: r3.Vec{Y: 1}, Z: r3.Vec{Z: 1}}

// Apply returns the vector v, given in the turned frame, in the frame r is given in.
func (r Rotation) Apply(v r3.Vec) r3.Vec { return r.apply(&v) }

// apply is Apply without copies.
func (r *Rotation) apply(v *r3.Vec) r3.Vec {
	return r3.Vec{
		X: r.X.X*v.X + r.Y.X*v.Y + r.Z.X*v.Z,
		Y: r.X.Y*v.X + r.Y.Y*v.Y + r.Z.Y*v.Z,
		Z: r.X.Z*v.X + r.Y.Z*v.Y + r.Z.Z*v.Z,
	}
}

// unapply returns the vector v, given in the frame r is given in, in the turned frame.
func (r *Rotation) unapply(v *r3.Vec) r3.Vec {
	return r3.Vec{X: r3.Dot(r.X, *v), Y: r3.Dot(r.Y, *v), Z: r3.Dot(r.Z, *v)}
}

// Mul returns the rotation matrix product r·q.
func (r Rotation) Mul(q Rotation) Rotation {
	return Rotation{X: r.Apply(q.X), Y: r.Apply(q.Y), Z: r.Apply(q.Z)}
}

// Transpose returns the inverse rotation.
func (r Rotation) Transpose() Rotation {
	return Rotation{
		X: r3.Vec{X: r.X.X, Y: r.Y.X, Z: r.Z.X},
		Y: r3.Vec{X: r.X.Y, Y: r.Y.Y, Z: r.Z.Y},
		Z: r3.Vec{X: r.X.Z, Y: r.Y.Z, Z: r.Z.Z},
	}
}

// Matrix returns r by rows.
func (r Rotation) Matrix() [3][3]float64 {
	return [3][3]float64{{r.X.X, r.Y.X, r.Z.X}, {r.X.Y, r.Y.Y, r.Z.Y}, {r.X.Z, r.Y.Z, r.Z.Z}}
}

// Axis returns axis i of the turned frame: 0 is X, 1 is Y, 2 is Z.
func (r Rotation) Axis(i int) r3.Vec { return [3]r3.Vec{r.X, r.Y, r.Z}[i] }

// RotationAbout returns the rotation by angle about the unit vector axis, by the right-hand rule.
func RotationAbout(axis r3.Vec, angle float64) Rotation {
	s, c := math.Sincos(angle)
	// 1-cos without cancellation, so that small turns keep their digits.
	h := math.Sin(angle / 2)
	v := 2 * h * h
	x, y, z := axis.X, axis.Y, axis.Z
	return Rotation{
		X: r3.Vec{X: c + v*x*x, Y: v*x*y + s*z, Z: v*x*z - s*y},
		Y: r3.Vec{X: v*x*y - s*z, Y: c + v*y*y, Z: v*y*z + s*x},
		Z: r3.Vec{X: v*x*z + s*y, Y: v*y*z - s*x, Z: c + v*z*z},
	}
}

// Vector returns axis times angle of r, the angle in 0…π. At π the axis is one of two; either is right.
func (r Rotation) Vector() r3.Vec {
	// Twice the sine times the axis.
	w := r3.Vec{X: r.Y.Z - r.Z.Y, Y: r.Z.X - r.X.Z, Z: r.X.Y - r.Y.X}
	sin, cos := r3.Norm(w)/2, (r.X.X+r.Y.Y+r.Z.Z-1)/2
	switch {
	case sin > 0.1 || cos > 0 && sin > 1e-4:
		return r3.Scale(math.Atan2(sin, cos)/(2*sin), w)
	case cos > 0:
		return r3.Scale(0.5*(1+sin*sin/6), w) // angle/sin near zero
	}
	// Near a half turn w vanishes; the quaternion still has the axis.
	axis, angle := turnOf(r.quaternion())
	return r3.Scale(angle, axis)
}

// Orthonormal returns r with its axes made exactly perpendicular and of length one, X kept in direction.
// It mends the rounding of long products; r must already be near a rotation.
func (r Rotation) Orthonormal() Rotation {
	x := r3.Unit(r.X)
	z := r3.Unit(r3.Cross(x, r.Y))
	return Rotation{X: x, Y: r3.Cross(z, x), Z: z}
}
