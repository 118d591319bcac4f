package kinematics

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/num/quat"
	"gonum.org/v1/gonum/spatial/r3"
)

// This file holds the orientations that are written as one turn about one axis, as a quaternion and as a matrix.
// Numbers that people type are rounded; each form takes them as far as nearlyOne allows and makes them a rotation.

// nearlyOne is by how much a length that has to be one may be off when it was written with few decimals.
const nearlyOne = 0.01

// FromQuaternion returns the rotation of a quaternion of length one: cos(angle/2) + sin(angle/2)·axis (Lynch and
// Park, app. B; Craig, "Euler parameters"). A length that is off by no more than a hundredth is taken for rounding;
// any other is an error. q and −q are the same rotation.
func FromQuaternion(q quat.Number) (Rotation, error) {
	length := quat.Abs(q)
	if !(math.Abs(length-1) <= nearlyOne) {
		return Rotation{}, fmt.Errorf("a rotation's quaternion has length 1; this one has length %.4g", length)
	}
	q = quat.Scale(1/length, q)
	w, x, y, z := q.Real, q.Imag, q.Jmag, q.Kmag
	return Rotation{
		X: r3.Vec{X: 1 - 2*(y*y+z*z), Y: 2 * (x*y + w*z), Z: 2 * (x*z - w*y)},
		Y: r3.Vec{X: 2 * (x*y - w*z), Y: 1 - 2*(x*x+z*z), Z: 2 * (y*z + w*x)},
		Z: r3.Vec{X: 2 * (x*z + w*y), Y: 2 * (y*z - w*x), Z: 1 - 2*(x*x+y*y)},
	}, nil
}

// Quaternion returns the unit quaternion of r. Of q and −q, which are the same rotation, it is the one whose real
// part is positive. At a half turn (to within 1e-9 rad) the real part is zero but for rounding and
// leaves both; there it is the one whose first other part that is not zero is positive, so that rounding does not make
// all signs jump. Every other part is right to rounding.
func (r Rotation) Quaternion() quat.Number {
	q := r.quaternion()
	if q.Real < atSpecial/2 && !leadsPositive(r3.Vec{X: q.Imag, Y: q.Jmag, Z: q.Kmag}) {
		return quat.Number{Imag: -q.Imag, Jmag: -q.Jmag, Kmag: -q.Kmag}
	}
	return q
}

// leadsPositive reports whether the first part of a unit vector that is not zero but for rounding is positive.
func leadsPositive(v r3.Vec) bool {
	for _, part := range [3]float64{v.X, v.Y, v.Z} {
		if math.Abs(part) > atSpecial {
			return part > 0
		}
	}
	return true
}

// quaternion returns the unit quaternion of r with a real part that is not negative (Shepperd, Journal of Guidance
// and Control 1(3), 1978): the largest part is found first and the others are divided by it, so that none is computed
// from a small square root.
func (r Rotation) quaternion() quat.Number {
	m := r.Matrix()
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

// FromAxisAngle returns the rotation by an angle in rad about an axis of any length, by the right-hand rule
// (Rodrigues' formula; Craig, "equivalent angle-axis"; Lynch and Park, ch. 3). An axis of no length is an error, but
// for an angle of zero, which needs none.
func FromAxisAngle(axis r3.Vec, angle float64) (Rotation, error) {
	length := r3.Norm(axis)
	switch {
	case !finite(axis) || math.IsNaN(angle) || math.IsInf(angle, 0):
		return Rotation{}, errors.New("axis and angle must be finite numbers")
	case angle == 0:
		return NoRotation, nil
	case !(length > 1e-9) || math.IsInf(length, 0):
		return Rotation{}, errors.New("the axis must be a direction of some length")
	}
	return RotationAbout(r3.Scale(1/length, axis), angle), nil
}

// AxisAngle returns r as one turn: the unit vector of its axis and the angle in rad, 0…π, by the right-hand rule.
// unique is false in two cases, each to within 1e-9 rad. Where the angle is zero there is no axis: both are given as
// zero. Where it is π, the axis and its opposite are the same turn: it is the one whose first part that is not zero is
// positive. The angle is right to rounding, the axis to the rounding of r over the angle.
func (r Rotation) AxisAngle() (axis r3.Vec, angle float64, unique bool) {
	axis, angle = turnOf(r.Quaternion())
	if angle < atSpecial {
		return r3.Vec{}, 0, false
	}
	return axis, angle, angle < math.Pi-atSpecial
}

// turnOf returns the axis and the angle in rad of a unit quaternion; the axis is zeros where the angle is zero.
func turnOf(q quat.Number) (axis r3.Vec, angle float64) {
	axis = r3.Vec{X: q.Imag, Y: q.Jmag, Z: q.Kmag}
	sin := r3.Norm(axis)
	if sin == 0 {
		return axis, 0
	}
	return r3.Scale(1/sin, axis), 2 * math.Atan2(sin, q.Real)
}

// FromMatrix returns the rotation with this matrix, given by rows. Its columns are the turned frame's axes: each must
// have length one, be at right angles to the others, and together they must be right-handed. Lengths and cosines that
// are off by no more than a hundredth are taken for rounding and mended; the error says what else is wrong.
func FromMatrix(m [3][3]float64) (Rotation, error) {
	r := Rotation{
		X: r3.Vec{X: m[0][0], Y: m[1][0], Z: m[2][0]},
		Y: r3.Vec{X: m[0][1], Y: m[1][1], Z: m[2][1]},
		Z: r3.Vec{X: m[0][2], Y: m[1][2], Z: m[2][2]},
	}
	for i := range 3 {
		if length := r3.Norm(r.Axis(i)); !(math.Abs(length-1) <= nearlyOne) {
			return Rotation{}, fmt.Errorf("column %d must have length 1, not %.4g", i+1, length)
		}
	}
	for i := range 3 {
		j := (i + 1) % 3
		if cos := r3.Dot(r.Axis(i), r.Axis(j)); !(math.Abs(cos) <= nearlyOne) {
			return Rotation{}, fmt.Errorf("columns %d and %d must be at right angles, not at %.4g°", min(i, j)+1, max(i, j)+1,
				Degrees(math.Acos(math.Max(-1, math.Min(1, cos)))))
		}
	}
	if r3.Dot(r3.Cross(r.X, r.Y), r.Z) < 0 {
		return Rotation{}, errors.New("the columns are left-handed: a mirror image, not a rotation")
	}
	return r.Orthonormal(), nil
}
