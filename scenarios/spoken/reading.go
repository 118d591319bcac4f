package spoken

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/words"
)

// Reading is a frame's place in the base frame as numbers to be read, its orientation in every form.
type Reading struct {
	PositionMM   [3]float64       `json:"position_mm"`
	FixedXYZDeg  [3]float64       `json:"fixed_xyz_deg"`  // about X, Y, Z
	MovingZYXDeg [3]float64       `json:"moving_zyx_deg"` // about Z, Y, X
	ZYZDeg       [3]float64       `json:"zyz_deg"`        // about Z, the turned Y, the turned Z
	AxisAngle    AxisAngle        `json:"axis_angle"`
	Quaternion   [4]float64       `json:"quaternion_wxyz"`
	Rotation     [3][3]float64    `json:"rotation"` // by rows
	Unique       UniqueForms      `json:"unique"`
	Notes        OrientationNotes `json:"notes"`
}

// AxisAngle is an orientation as one turn; the axis is zeros where there is no turn.
type AxisAngle struct {
	Axis     [3]float64 `json:"axis"`
	AngleDeg float64    `json:"angle_deg"`
}

// UniqueForms says of every form of an orientation whether other numbers than those shown would be as good. The
// matrix always is unique.
type UniqueForms struct {
	FixedXYZ   bool `json:"fixed_xyz"`
	MovingZYX  bool `json:"moving_zyx"`
	ZYZ        bool `json:"zyz"`
	AxisAngle  bool `json:"axis_angle"`
	Quaternion bool `json:"quaternion"`
}

// OrientationNotes says where a form is not unique what its numbers still mean, and where three angles are all new after a small
// turn, why; "" where there is nothing to say.
type OrientationNotes struct {
	FixedXYZ   string `json:"fixed_xyz"`
	MovingZYX  string `json:"moving_zyx"`
	ZYZ        string `json:"zyz"`
	AxisAngle  string `json:"axis_angle"`
	Quaternion string `json:"quaternion"`
}

// ReadingOf writes a frame as numbers to be read, with what is not unique about them in words.
func ReadingOf(p kinematics.Pose, in *words.Language) Reading {
	r := Reading{PositionMM: array(p.Position), Rotation: p.Rotation.Matrix()}

	fixed, unique := p.Rotation.FixedXYZ()
	r.FixedXYZDeg, r.Unique.FixedXYZ = kinematics.Degrees3(array(fixed)), unique
	moving, unique := p.Rotation.MovingZYX()
	r.MovingZYXDeg, r.Unique.MovingZYX = kinematics.Degrees3(moving), unique
	if !unique {
		side := "minus"
		if fixed.Y > 0 {
			side = "plus"
		}
		r.Notes.FixedXYZ, r.Notes.MovingZYX = in.Say("note.fixed_xyz."+side), in.Say("note.moving_zyx."+side)
	}

	zyz, unique := p.Rotation.ZYZ()
	r.ZYZDeg, r.Unique.ZYZ = kinematics.Degrees3(zyz), unique
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

// ReadingAfter is the reading of a pose, with a word on three angles that are all new since the one before although the turn
// was small, as happens near where they are not unique.
func ReadingAfter(before, now kinematics.Pose, in *words.Language) Reading {
	old, r := ReadingOf(before, in), ReadingOf(now, in)
	_, turn, _ := before.Rotation.Transpose().Mul(now.Rotation).AxisAngle()
	turn = kinematics.Degrees(turn)
	tell := func(note *string, old, now [3]float64, at float64) {
		if *note == "" && leapt(old, now, turn) {
			*note = in.Say("note.leap", "turn", in.Fixed(turn, 1)+"°", "at", in.Fixed(at, 0)+"°")
		}
	}
	tell(&r.Notes.FixedXYZ, old.FixedXYZDeg, r.FixedXYZDeg, math.Copysign(90, r.FixedXYZDeg[1]))
	tell(&r.Notes.MovingZYX, old.MovingZYXDeg, r.MovingZYXDeg, math.Copysign(90, r.MovingZYXDeg[1]))
	tell(&r.Notes.ZYZ, old.ZYZDeg, r.ZYZDeg, 180*math.Round(r.ZYZDeg[1]/180))
	return r
}

// leapt reports whether three angles are all new, and one of them by far more than the turn that they tell of. All in degrees.
func leapt(old, now [3]float64, turn float64) bool {
	most := 0.0
	for i := range now {
		change := math.Abs(math.Remainder(now[i]-old[i], 360))
		if change < 0.005 { // it reads as before
			return false
		}
		most = max(most, change)
	}
	return turn >= 0.1 && most >= 10+4*turn
}

func array(v r3.Vec) [3]float64 { return [3]float64{v.X, v.Y, v.Z} }
