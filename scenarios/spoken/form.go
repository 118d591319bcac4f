package spoken

import (
	"math"

	"handrule/kinematics"
	"handrule/words"
)

// Form is a way to write an orientation as numbers.
type Form string

const (
	FixedXYZ   Form = "fixed_xyz"  // three angles about the fixed X, Y, Z
	MovingZYX  Form = "moving_zyx" // about Z, Y, X, each turned with the ones before
	ZYZ        Form = "zyz"        // about Z, the turned Y, the turned Z
	AxisAngle  Form = "axis_angle" // the axis, zeros where there is no turn, and the angle
	Quaternion Form = "quaternion" // w, x, y, z
	Matrix     Form = "matrix"     // by rows
)

// Forms are all of them, in the order in which they are offered.
var Forms = []Form{FixedXYZ, MovingZYX, ZYZ, AxisAngle, Quaternion, Matrix}

// Numbers writes an orientation in the form, angles in degrees, and returns the part of the store that they take.
func (f Form) Numbers(r kinematics.Rotation, store *[9]float64) []float64 {
	switch f {
	case AxisAngle:
		axis, angle, _ := r.AxisAngle()
		return append(store[:0], axis.X, axis.Y, axis.Z, kinematics.Degrees(angle))
	case Quaternion:
		q := r.Quaternion()
		return append(store[:0], q.Real, q.Imag, q.Jmag, q.Kmag)
	case Matrix:
		numbers := store[:0]
		for _, row := range r.Matrix() {
			numbers = append(numbers, row[:]...)
		}
		return numbers
	}
	rad, _ := f.angles(r)
	for i, angle := range rad {
		store[i] = kinematics.Degrees(angle)
	}
	return store[:3]
}

// angles are those of a form of three angles, rad, and whether no others would do as well.
func (f Form) angles(r kinematics.Rotation) (rad [3]float64, unique bool) {
	switch f {
	case MovingZYX:
		return r.MovingZYX()
	case ZYZ:
		return r.ZYZ()
	}
	fixed, unique := r.FixedXYZ()
	return array(fixed), unique
}

// Note says what is to be known of an orientation in the form: whether no other numbers would be as good, and where others
// would what they still mean. Where all three angles are new since the orientation before although the turn was small, as
// happens near where they are not unique, it says why; else it is "".
func (f Form) Note(before, now kinematics.Rotation, in *words.Language) (unique bool, text string) {
	switch f {
	case Matrix:
		return true, ""
	case AxisAngle, Quaternion:
		_, angle, unique := now.AxisAngle()
		switch halfTurn := !unique && angle > 1; {
		case halfTurn:
			return false, in.Say("note." + string(f) + ".half")
		case f == Quaternion:
			return true, ""
		case !unique:
			return false, in.Say("note.axis_angle.none")
		}
		return true, ""
	}
	rad, unique := f.angles(now)
	if !unique {
		return false, in.Say("note." + string(f) + "." + f.side(rad))
	}
	if before == now {
		return true, ""
	}
	old, _ := f.angles(before)
	_, turn, _ := before.Transpose().Mul(now).AxisAngle()
	if leapt(kinematics.Degrees3(old), kinematics.Degrees3(rad), kinematics.Degrees(turn)) {
		text = in.Say("note.leap", "turn", in.Fixed(kinematics.Degrees(turn), 1)+"°", "at", in.Fixed(f.loses(rad), 0)+"°")
	}
	return true, text
}

// side names the place where a form of three angles is not unique.
func (f Form) side(rad [3]float64) string {
	switch {
	case f == ZYZ && rad[1] > math.Pi/2:
		return "half"
	case f == ZYZ:
		return "none"
	case rad[1] > 0:
		return "plus"
	}
	return "minus"
}

// loses is the middle angle nearby, degrees, at which a form of three angles is not unique.
func (f Form) loses(rad [3]float64) float64 {
	if f == ZYZ {
		return 180 * math.Round(rad[1]/math.Pi)
	}
	return math.Copysign(90, rad[1])
}
