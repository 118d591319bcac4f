package kinematics

import (
	"math"

	"gonum.org/v1/gonum/num/quat"
	"gonum.org/v1/gonum/spatial/r3"
)

// FixedXYZ returns the rotation written as fixed X-Y-Z angles in rad: first about the fixed X axis, then about
// the fixed Y axis, then about the fixed Z axis. R = Rz·Ry·Rx (Craig, Introduction to Robotics, "X-Y-Z fixed
// angles").
func FixedXYZ(rx, ry, rz float64) Rotation {
	sx, cx := math.Sincos(rx)
	sy, cy := math.Sincos(ry)
	sz, cz := math.Sincos(rz)
	return Rotation{
		X: r3.Vec{X: cz * cy, Y: sz * cy, Z: -sy},
		Y: r3.Vec{X: cz*sy*sx - sz*cx, Y: sz*sy*sx + cz*cx, Z: cy * sx},
		Z: r3.Vec{X: cz*sy*cx + sz*sx, Y: sz*sy*cx - cz*sx, Z: cy * cx},
	}
}

// fixedXYZUnique is the cosine of the angle about Y below which the other two angles are not unique.
const fixedXYZUnique = 1e-9

// FixedXYZ returns the fixed X-Y-Z angles of r in rad, about Y within ±π/2. Where that angle is ±π/2, X and Z
// turn about the same line and only their sum or difference is defined: then unique is false and the angle about
// X is given as zero.
func (r Rotation) FixedXYZ() (angles r3.Vec, unique bool) {
	cy := math.Hypot(r.X.X, r.X.Y)
	if cy < fixedXYZUnique {
		return r3.Vec{Y: math.Atan2(-r.X.Z, cy), Z: math.Atan2(-r.Y.X, r.Y.Y)}, false
	}
	return r3.Vec{
		X: math.Atan2(r.Y.Z, r.Z.Z),
		Y: math.Atan2(-r.X.Z, cy),
		Z: math.Atan2(r.X.Y, r.X.X),
	}, true
}

// Quaternion returns the unit quaternion of r with a real part that is not negative.
func (r Rotation) Quaternion() quat.Number {
	m := r.Matrix()
	// The largest of the four components is found first and the others are divided by it, so that no
	// component is computed from a small square root.
	squares := [4]float64{
		1 + m[0][0] + m[1][1] + m[2][2],
		1 + m[0][0] - m[1][1] - m[2][2],
		1 - m[0][0] + m[1][1] - m[2][2],
		1 - m[0][0] - m[1][1] + m[2][2],
	}
	big := 0
	for i, s := range squares {
		if s > squares[big] {
			big = i
		}
	}
	d := 2 * math.Sqrt(squares[big])
	var q quat.Number
	switch big {
	case 0:
		q = quat.Number{Real: d / 4, Imag: (m[2][1] - m[1][2]) / d, Jmag: (m[0][2] - m[2][0]) / d, Kmag: (m[1][0] - m[0][1]) / d}
	case 1:
		q = quat.Number{Real: (m[2][1] - m[1][2]) / d, Imag: d / 4, Jmag: (m[0][1] + m[1][0]) / d, Kmag: (m[0][2] + m[2][0]) / d}
	case 2:
		q = quat.Number{Real: (m[0][2] - m[2][0]) / d, Imag: (m[0][1] + m[1][0]) / d, Jmag: d / 4, Kmag: (m[1][2] + m[2][1]) / d}
	default:
		q = quat.Number{Real: (m[1][0] - m[0][1]) / d, Imag: (m[0][2] + m[2][0]) / d, Jmag: (m[1][2] + m[2][1]) / d, Kmag: d / 4}
	}
	if q.Real < 0 {
		q = quat.Scale(-1, q)
	}
	return q
}
