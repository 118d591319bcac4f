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
	AxisAngle    AxisAngleReading `json:"axis_angle"`
	Quaternion   [4]float64       `json:"quaternion_wxyz"`
	Rotation     [3][3]float64    `json:"rotation"` // by rows
	Unique       UniqueForms      `json:"unique"`
	Notes        OrientationNotes `json:"notes"`
}

// AxisAngleReading is an orientation as one turn; the axis is zeros where there is no turn.
type AxisAngleReading struct {
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
	fixed, _ := p.Rotation.FixedXYZ()
	moving, _ := p.Rotation.MovingZYX()
	zyz, _ := p.Rotation.ZYZ()
	axis, angle, _ := p.Rotation.AxisAngle()
	q := p.Rotation.Quaternion()
	r := Reading{
		PositionMM: array(p.Position), Rotation: p.Rotation.Matrix(), FixedXYZDeg: kinematics.Degrees3(array(fixed)),
		MovingZYXDeg: kinematics.Degrees3(moving), ZYZDeg: kinematics.Degrees3(zyz),
		AxisAngle: AxisAngleReading{array(axis), kinematics.Degrees(angle)}, Quaternion: [4]float64{q.Real, q.Imag, q.Jmag, q.Kmag},
	}
	note := func(f Form, unique *bool, text *string) { *unique, *text = f.Note(p.Rotation, p.Rotation, in) }
	note(FixedXYZ, &r.Unique.FixedXYZ, &r.Notes.FixedXYZ)
	note(MovingZYX, &r.Unique.MovingZYX, &r.Notes.MovingZYX)
	note(ZYZ, &r.Unique.ZYZ, &r.Notes.ZYZ)
	note(AxisAngle, &r.Unique.AxisAngle, &r.Notes.AxisAngle)
	note(Quaternion, &r.Unique.Quaternion, &r.Notes.Quaternion)
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
