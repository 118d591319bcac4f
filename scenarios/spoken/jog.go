package spoken

import (
	"strings"

	"handrule/kinematics"
	"handrule/kinematics/jog"
	"handrule/words"
)

// Jog is a jog as a person says it: "J5, +90°", "30 mm along +X and 40 mm along −Y of the base frame"; of a held jog its
// way only.
func Jog(j jog.Jog, in *words.Language) string {
	if j.Held() {
		return way(j, in)
	}
	amounts := j.Asked.Amounts
	if amounts == [6]float64{} {
		amounts = j.Amounts(j.Amount)
	}
	return measured(j, amounts, 2, in)
}

// Driven is how far a jog got that was driven, said likewise.
func Driven(e *jog.Entry, in *words.Language) string {
	step, _ := e.Step()
	return measured(e.Jog, step.Amounts(step.Amount), 2, in)
}

// way is the direction of the jog within a sentence: "straight along +X of the base frame".
func way(j jog.Jog, in *words.Language) string {
	var all []string
	for _, d := range j.Directions() {
		sign := map[int]string{1: "+", -1: words.Minus}[d.Sign]
		switch {
		case !d.Frame.Traits().Axes:
			key := map[int]string{1: "direction.joint.plus", -1: "direction.joint.minus"}[d.Sign]
			all = append(all, in.Say(key, "joint", kinematics.JointNames[d.Axis]))
		case d.Axis < 3:
			all = append(all, in.Say("direction."+string(d.Frame)+".along", "axis", sign+string("XYZ"[d.Axis])))
		default:
			all = append(all, in.Say("direction."+string(d.Frame)+".about", "axis", sign+string("XYZ"[d.Axis-3])))
		}
	}
	return in.List(all)
}

// measured is the way of the jog with an amount for each of its axes, mm or rad, to so many decimals at most.
func measured(j jog.Jog, amounts [6]float64, decimals int, in *words.Language) string {
	var all []string
	for axis, part := range j.Amounts(1) {
		if part == 0 {
			continue
		}
		amount, sign := amounts[axis], "+"
		if part < 0 {
			sign = words.Minus
		}
		switch {
		case !j.Frame.Traits().Axes:
			turn := in.SignedShort(kinematics.Degrees(amount), decimals) + "°"
			all = append(all, in.Say("jog.joint", "joint", kinematics.JointNames[axis], "turn", turn))
		case axis < 3:
			far := in.ShortLength(max(amount, -amount), decimals)
			all = append(all, in.Say("jog.along", "amount", far, "axis", sign+string("XYZ"[axis])))
		default:
			turn := in.Short(kinematics.Degrees(max(amount, -amount)), decimals) + "°"
			all = append(all, in.Say("jog.about", "amount", turn, "axis", sign+string("XYZ"[axis-3])))
		}
	}
	if !j.Frame.Traits().Axes {
		return strings.Join(all, "; ")
	}
	return in.Say("jog.in", "moves", in.List(all), "frame", FrameName(j.Frame, j.Task, in))
}

// FrameName is a frame within a sentence: "base frame", "task frame tile".
func FrameName(f jog.Frame, task string, in *words.Language) string {
	if f.Traits().Named && task != "" {
		return in.Say("frame.named", "name", in.Named(task))
	}
	return in.Say("jog.frame." + string(f))
}

// Amount writes a distance along the jog's path with its unit.
func Amount(j jog.Jog, a float64, in *words.Language) string {
	if j.Straight() {
		return in.Length(a, decimals(a))
	}
	a = kinematics.Degrees(a)
	return in.Fixed(a, decimals(a)) + "°"
}

// decimals is to how many decimals an amount is told.
func decimals(a float64) int {
	if a != 0 && a < 1 {
		return 2
	}
	return 1
}

// Angle writes an angle to a tenth of a degree.
func Angle(rad float64, in *words.Language) string {
	return in.Fixed(kinematics.Degrees(rad), 1) + "°"
}

// Turns lists the joints that turned, and by how much: "J1 +1.8°, J6 −0.3°".
func Turns(by kinematics.Joints, in *words.Language) string {
	var all []string
	for i, turn := range by {
		if text := in.Signed(kinematics.Degrees(turn), 1); text != in.Fixed(0, 1) {
			all = append(all, kinematics.JointNames[i]+" "+text+"°")
		}
	}
	return strings.Join(all, in.Say("number.list"))
}
