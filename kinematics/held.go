package kinematics

// Held returns joint angles near q that put the flange as nearly at target as they can while some joints are held where they
// are, by at most heldSteps damped steps of least joint motion (Levenberg and Marquardt's, see refine).
func (a *Arm) Held(target Pose, q Joints, held [6]bool) Joints {
	at := a.descentFrom(target, q)
	lambda := 1e-9
	for range heldSteps {
		for row := range at.jac {
			for i := range held {
				if held[i] {
					at.jac[row][i] = 0
				}
			}
		}
		if !at.shortStep(a, target, lambda, at.cost) {
			break
		}
		lambda = max(lambda/100, 1e-20)
	}
	return at.q
}

// heldSteps is how many steps Held takes at most.
const heldSteps = 8
