package kinematics

// numerical solves for any arm by iteration from many starts.
type numerical struct{ arm *Arm }

func (numerical) name() string { return "numerical: iteration from near and from other starts" }

func (n numerical) solve(dst []Solution, flange Pose, near Joints) []Solution {
	from := len(dst)
	start := near
	for k := range 80 {
		if q, ok := n.arm.refine(flange, start); ok && !known(dst[from:], &q) {
			dst = append(dst, Solution{Joints: q})
		}
		// Starts spread evenly over the joints' turns (the additive recurrence of Roberts for six dimensions).
		for i, step := range spread {
			start[i] = near[i] + float64(k)*step
		}
	}
	return dst
}

var spread = Joints{5.6356, 5.0548, 4.5338, 4.0666, 3.6475, 3.2716}

func known(solutions []Solution, q *Joints) bool {
	for i := range solutions {
		if farthest(solutions[i].Joints[:], q[:]) < 1e-6 {
			return true
		}
	}
	return false
}

func (n numerical) track(flange Pose, near Joints) (Joints, bool) {
	return n.arm.refine(flange, near)
}

func (numerical) posture(Joints) Posture { return Posture{} }
