package kinematics

// Track returns the joint angles that put the flange at target and are continuous with near, where the arm was
// just before. It reports false where no such angles exist close by.
func (a *Arm) Track(target Pose, near Joints) (Joints, bool) {
	return a.refine(target, near)
}
