package kinematics

// Track returns the joint angles that put the flange at target and are continuous with near, where the arm was just
// before: of all the ways to stand there, the one whose largest joint difference from near is the smallest, whole
// turns included and limits aside. It reports false only where the target is out of reach.
func (a *Arm) Track(target Pose, near Joints) (Joints, bool) {
	if !target.finite() || !near.finite() {
		return near, false
	}
	q, ok := a.method.track(target, near)
	if !ok {
		return near, false
	}
	for i := range q {
		q[i] -= turnsOff(q[i], near[i])
	}
	return q, true
}
