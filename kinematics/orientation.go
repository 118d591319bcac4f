package kinematics

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// This file holds the orientations that are written as three angles; orientation_turn.go the other forms.
//
// The same rotation has two triples of fixed X-Y-Z angles, (x, y, z) and (x+π, π−y, z+π), and two of Z-Y-Z angles,
// (a, b, c) and (a+π, −b, c+π). The ranges of the middle angle below choose one of them.

// atSpecial is the distance in rad from a pose in which numbers are not unique, or jump by a whole turn, that counts as
// being there. A reading there may be off by twice that distance, which is mostly rounding; everywhere else it gives
// the rotation back to rounding.
const atSpecial = 1e-9

// FixedXYZ returns the rotation written as fixed X-Y-Z angles in rad: first about the fixed X axis, then about
// the fixed Y axis, then about the fixed Z axis. R = Rz·Ry·Rx (Craig, Introduction to Robotics, "X-Y-Z fixed
// angles"; Lynch and Park, Modern Robotics, app. B, where they are the roll-pitch-yaw angles).
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

// FixedXYZ returns the fixed X-Y-Z angles of r in rad, about Y within ±π/2, about X and Z above −π up to π. Where
// the angle about Y is ±π/2, X and Z turn about the same line and only their difference (at π/2) or sum (at −π/2) is
// defined: then unique is false and the angle about X is given as zero. Close to there the angles about X and Z are
// uncertain by the rounding of r over the cosine of the angle about Y, but together they still give r.
func (r Rotation) FixedXYZ() (angles r3.Vec, unique bool) {
	cy := math.Hypot(r.X.X, r.X.Y)
	unique = cy >= atSpecial
	if unique {
		angles.X = oneTurn(math.Atan2(r.Y.Z, r.Z.Z))
	}
	angles.Y = math.Atan2(-r.X.Z, cy)
	// Z from r·Rx⁻¹ = Rz·Ry, whose second column has no Y in it, so that what is uncertain in X is made good in Z.
	sx, cx := math.Sincos(angles.X)
	y := r3.Sub(r3.Scale(cx, r.Y), r3.Scale(sx, r.Z))
	angles.Z = oneTurn(math.Atan2(-y.X, y.Y))
	return angles, unique
}

// MovingZYX returns the rotation written as moving Z-Y-X angles in rad: first about Z, then about the Y axis where
// that turn has put it, then about the X axis where both have put it. R = Rz·Ry·Rx (Craig, "Z-Y-X Euler angles").
//
// They are the fixed X-Y-Z angles in reverse order. A turn about a fixed axis multiplies from the left, one about the
// frame's own axis from the right, so the two ways of turning build the same product from opposite ends.
func MovingZYX(rz, ry, rx float64) Rotation { return FixedXYZ(rx, ry, rz) }

// MovingZYX returns the moving Z-Y-X angles of r in rad, in the order in which they turn, and whether they are
// unique. Ranges, the cases that are not unique and the accuracy are those of FixedXYZ.
func (r Rotation) MovingZYX() (angles [3]float64, unique bool) {
	a, unique := r.FixedXYZ()
	return [3]float64{a.Z, a.Y, a.X}, unique
}

// ZYZ returns the rotation written as moving Z-Y-Z angles in rad: first about Z, then about the Y axis where that
// turn has put it, then about the Z axis where both have put it. R = Rz(a)·Ry(b)·Rz(c) (Craig, "Z-Y-Z Euler angles";
// Lynch and Park, app. B).
func ZYZ(a, b, c float64) Rotation {
	sa, ca := math.Sincos(a)
	sb, cb := math.Sincos(b)
	sc, cc := math.Sincos(c)
	return Rotation{
		X: r3.Vec{X: ca*cb*cc - sa*sc, Y: sa*cb*cc + ca*sc, Z: -sb * cc},
		Y: r3.Vec{X: -ca*cb*sc - sa*cc, Y: -sa*cb*sc + ca*cc, Z: sb * sc},
		Z: r3.Vec{X: ca * sb, Y: sa * sb, Z: cb},
	}
}

// ZYZ returns the moving Z-Y-Z angles of r in rad, in the order in which they turn, the middle one in 0…π, the others
// above −π up to π. Where the middle one is 0 or π, both others turn about the same line and only their sum (at 0)
// or difference (at π) is defined: then unique is false and the first is given as zero. Close to there the first
// and the last are uncertain by the rounding of r over the sine of the middle one, but together they still give r.
func (r Rotation) ZYZ() (angles [3]float64, unique bool) {
	sb := math.Hypot(r.Z.X, r.Z.Y)
	unique = sb >= atSpecial
	if unique {
		angles[0] = oneTurn(math.Atan2(r.Z.Y, r.Z.X))
	}
	angles[1] = math.Atan2(sb, r.Z.Z)
	// The last from Rz(a)⁻¹·r = Ry·Rz, whose second row has no Y in it, so that what is uncertain in the first is
	// made good in the last.
	sa, ca := math.Sincos(angles[0])
	angles[2] = oneTurn(math.Atan2(ca*r.X.Y-sa*r.X.X, ca*r.Y.Y-sa*r.Y.X))
	return angles, unique
}

// oneTurn takes an angle in −π…π and returns it above −π: what is −π to within atSpecial is given as π, so that half a
// turn with its rounding does not jump between −180° and 180°.
func oneTurn(angle float64) float64 {
	if angle < atSpecial-math.Pi {
		return math.Pi
	}
	return angle
}
