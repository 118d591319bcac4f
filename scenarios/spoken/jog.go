package spoken

import (
	"fmt"
	"math"
	"strings"

	"handrule/kinematics"
	"handrule/kinematics/jog"
	"handrule/words"
)

// way is the direction of the jog within a sentence: "straight along +X of the base frame".
func way(j jog.Jog, in *words.Language) string {
	var all []string
	for _, d := range j.Directions() {
		sign := map[int]string{1: "+", -1: "−"}[d.Sign]
		switch {
		case !d.Frame.Traits().Axes:
			name := map[int]string{1: "sign.plus", -1: "sign.minus"}[d.Sign]
			all = append(all, in.Say("direction.joint", "joint", kinematics.JointNames[d.Axis], "sign", in.Say(name)))
		case d.Axis < 3:
			all = append(all, in.Say("direction."+string(d.Frame)+".along", "axis", sign+string("XYZ"[d.Axis])))
		default:
			all = append(all, in.Say("direction."+string(d.Frame)+".about", "axis", sign+string("XYZ"[d.Axis-3])))
		}
	}
	return strings.Join(all, " + ")
}

// amount writes a distance along the jog's path with its unit.
func amount(j jog.Jog, a float64) string {
	unit, decimals := " mm", 1
	if !j.Straight() {
		a, unit, decimals = kinematics.Degrees(a), "°", 1
	}
	if a != 0 && a < 1 {
		decimals = 2
	}
	return fmt.Sprintf("%.*f%s", decimals, a, unit)
}

// angle writes an angle with a true minus sign and without a negative zero.
func angle(rad float64) string {
	text := fmt.Sprintf("%.1f°", math.Abs(kinematics.Degrees(rad)))
	if kinematics.Degrees(rad) <= -0.05 {
		return "−" + text
	}
	return text
}

// thousands writes a whole number with its digits in threes, apart by a narrow space: a comma or a point there would
// read as a decimal sign in one language or another (ISO 80000-1, 7.3.1).
func thousands(x float64) string {
	text := fmt.Sprintf("%.0f", x)
	for at := len(text) - 3; at > 0; at -= 3 {
		text = text[:at] + "\u202f" + text[at:]
	}
	return text
}
