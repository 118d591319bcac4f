package server

import (
	"math"

	"handrule/kinematics"
	"handrule/words"
)

// ReadingOf writes a frame as numbers to be read, with what is not unique about them in words.
func ReadingOf(p kinematics.Pose, in *words.Language) Reading {
	r := Reading{PositionMM: array(p.Position), Rotation: p.Rotation.Matrix()}

	fixed, unique := p.Rotation.FixedXYZ()
	r.FixedXYZDeg, r.Unique.FixedXYZ = degrees(array(fixed)), unique
	moving, unique := p.Rotation.MovingZYX()
	r.MovingZYXDeg, r.Unique.MovingZYX = degrees(moving), unique
	if !unique {
		side := "minus"
		if fixed.Y > 0 {
			side = "plus"
		}
		r.Notes.FixedXYZ, r.Notes.MovingZYX = in.Say("note.fixed_xyz."+side), in.Say("note.moving_zyx."+side)
	}

	zyz, unique := p.Rotation.ZYZ()
	r.ZYZDeg, r.Unique.ZYZ = degrees(zyz), unique
	if !unique {
		r.Notes.ZYZ = in.Say("note.zyz.none")
		if zyz[1] > math.Pi/2 {
			r.Notes.ZYZ = in.Say("note.zyz.half")
		}
	}

	axis, angle, unique := p.Rotation.AxisAngle()
	r.AxisAngle, r.Unique.AxisAngle = AxisAngle{array(axis), kinematics.Degrees(angle)}, unique
	q := p.Rotation.Quaternion()
	r.Quaternion = [4]float64{q.Real, q.Imag, q.Jmag, q.Kmag}
	halfTurn := !unique && angle > 1
	r.Unique.Quaternion = !halfTurn
	switch {
	case halfTurn:
		r.Notes.AxisAngle = in.Say("note.axis_angle.half")
		r.Notes.Quaternion = in.Say("note.quaternion.half")
	case !unique:
		r.Notes.AxisAngle = in.Say("note.axis_angle.none")
	}
	return r
}

func degrees(rad [3]float64) (deg [3]float64) {
	for i, angle := range rad {
		deg[i] = kinematics.Degrees(angle)
	}
	return deg
}
