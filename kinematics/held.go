package kinematics

// Held returns joint angles near q that put the flange as nearly at target as they can while some joints are held where they
// are, by at most heldSteps damped steps of least joint motion (Levenberg and Marquardt's, see refine).
func (a *Arm) Held(target Pose, q Joints, held [6]bool) Joints {
	err, jac := a.residual(target, q)
	cost := norm2(&err)
	lambda := 1e-9
	for range heldSteps {
		for row := range jac {
			for i := range held {
				if held[i] {
					jac[row][i] = 0
				}
			}
		}
		step, ok := dampedStep(&jac, err, lambda)
		if !ok || longest(&step) > smallStep {
			break
		}
		next := q
		for i := range next {
			next[i] += step[i]
		}
		nextErr, nextJac := a.residual(target, next)
		nextCost := norm2(&nextErr)
		if !(nextCost < cost) {
			break
		}
		q, err, jac, cost = next, nextErr, nextJac, nextCost
		lambda = max(lambda/100, 1e-20)
	}
	return q
}

// heldSteps is how many steps Held takes at most.
const heldSteps = 8
