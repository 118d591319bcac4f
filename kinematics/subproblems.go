package kinematics

import "math"

// triangle is the planar two-link arm: two links of these lengths, the second bent from the first.
type triangle struct{ upper, fore float64 }

// bend returns cosine and sine of the angle in 0…π by which the second link bends from the first so that its end
// is at distance d from the start of the first; the other solution bends the other way. The two factors of the
// sine, unlike 1−cos², keep their digits where the links are nearly stretched or folded. It reports false out of
// reach; a miss of less than reachSlack counts as reached. (The law of cosines; the third of Paden and Kahan's
// subproblems, Murray, Li and Sastry, A Mathematical Introduction to Robotic Manipulation, ch. 3.)
func (t triangle) bend(d float64) (cos, sin float64, ok bool) {
	beyond, within := t.upper+t.fore-d, d-math.Abs(t.upper-t.fore)
	if beyond < -reachSlack || within < -reachSlack {
		return 0, 0, false
	}
	// Products of sums and differences of the three sides, as in Heron's formula.
	stretched := math.Max(0, beyond) * (t.upper + t.fore + d)
	folded := math.Max(0, within) * (d + math.Abs(t.upper-t.fore))
	scale := 1 / (2 * t.upper * t.fore)
	// 1+cos is folded·scale and 1−cos is stretched·scale.
	return clampUnit((folded - stretched) * scale / 2), math.Sqrt(stretched*folded) * scale, true
}

func clampUnit(x float64) float64 { return math.Max(-1, math.Min(1, x)) }

// reachSlack is how many mm a target may lie outside the reach and still be taken as on its edge. It is rounding,
// not tolerance: it stays below the accuracy every solution has.
const reachSlack = 5e-10
