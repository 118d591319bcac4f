package kinematics

import "math"

// numerical solves for any arm by iteration from many starts.
type numerical struct{ arm *Arm }

func (numerical) name() string { return "numerical: iteration from near and from other starts" }

func (n numerical) solve(dst []Solution, flange Pose, near Joints) []Solution {
	from := len(dst)
	start := near
	for k := range 80 {
		if q, _, ok := n.arm.refine(flange, start); ok && !known(dst[from:], &q) {
			dst = append(dst, Solution{Joints: q})
		}
		start = spreadFrom(near, k)
	}
	return dst
}

// spreadFrom returns the k-th of a sequence of joint angles that fills the turns of the joints evenly (the additive
// recurrence by powers of the root of x⁷ = x + 1, after Roberts).
func spreadFrom(q Joints, k int) Joints {
	for i, step := range [6]float64{5.6464, 5.0742, 4.5599, 4.0978, 3.6825, 3.3093} {
		q[i] += float64(k) * step
	}
	return q
}

func known(solutions []Solution, q *Joints) bool {
	for i := range solutions {
		if farthest(solutions[i].Joints[:], q[:]) < 1e-6 {
			return true
		}
	}
	return false
}

func (n numerical) track(flange Pose, near Joints) (Joints, bool) {
	q, _, ok := n.arm.refine(flange, near)
	return q, ok
}

func (numerical) posture(Joints) Posture { return Posture{} }

func (numerical) indicators(Joints) Indicators {
	return Indicators{Wrist: math.NaN(), Elbow: math.NaN(), Shoulder: math.NaN()}
}
