package server

import (
	"math"

	"handrule/kinematics"
)

// ReadingOf writes a frame in the base frame as numbers to be read.
func ReadingOf(p kinematics.Pose) Reading {
	r := Reading{PositionMM: array(p.Position), Rotation: p.Rotation.Matrix()}

	fixed, unique := p.Rotation.FixedXYZ()
	r.FixedXYZDeg, r.Unique.FixedXYZ = degrees(array(fixed)), unique
	moving, unique := p.Rotation.MovingZYX()
	r.MovingZYXDeg, r.Unique.MovingZYX = degrees(moving), unique
	if !unique {
		r.Notes.FixedXYZ = sameLineXZ(fixed.Y, "about X", "about Z")
		r.Notes.MovingZYX = sameLineXZ(fixed.Y, "about Z", "about X")
	}

	zyz, unique := p.Rotation.ZYZ()
	r.ZYZDeg, r.Unique.ZYZ = degrees(zyz), unique
	if !unique {
		r.Notes.ZYZ = sameLineZZ(zyz[1])
	}

	axis, angle, unique := p.Rotation.AxisAngle()
	r.AxisAngle, r.Unique.AxisAngle = AxisAngle{array(axis), kinematics.Degrees(angle)}, unique
	q := p.Rotation.Quaternion()
	r.Quaternion = [4]float64{q.Real, q.Imag, q.Jmag, q.Kmag}
	halfTurn := !unique && angle > 1
	r.Unique.Quaternion = !halfTurn
	switch {
	case halfTurn:
		r.Notes.AxisAngle = "Half a turn: about the opposite axis it is the same orientation."
		r.Notes.Quaternion = "Half a turn: w is 0, and with all signs changed it is the same orientation."
	case !unique:
		r.Notes.AxisAngle = "No turn, so there is no axis."
	}
	return r
}

// sameLineXZ says what is left of angles about X and Z, in the order of the form, when the one about Y is ±90°.
func sameLineXZ(aboutY float64, first, last string) string {
	if aboutY > 0 {
		return "About Y is 90°: the other two turn about the same line and are not unique. Only " + first + " minus " + last + " means something."
	}
	return "About Y is −90°: the other two turn about the same line and are not unique. Only " + first + " plus " + last + " means something."
}

// sameLineZZ says what is left of the two angles about Z when the one about Y is 0° or 180°.
func sameLineZZ(aboutY float64) string {
	if aboutY < math.Pi/2 {
		return "About Y is 0°: the two about Z turn about the same line and are not unique. Only their sum means something."
	}
	return "About Y is 180°: the two about Z turn about the same line and are not unique. Only the first minus the last means something."
}

func degrees(rad [3]float64) (deg [3]float64) {
	for i, angle := range rad {
		deg[i] = kinematics.Degrees(angle)
	}
	return deg
}
