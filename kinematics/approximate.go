package kinematics

// approximate solves for an arm that is nearly of a special form. All solutions come by search, since the form may
// hide some that the arm as it is has; posture and singularities are told by the form.
type approximate struct {
	ideal  method
	search *search
}

func (m approximate) name() string { return m.ideal.name() + " (nearly); all solutions by search" }

func (m approximate) solve(dst []Solution, flange Pose, near Joints) []Solution {
	from := len(dst)
	dst = m.search.solve(dst, flange, near)
	for i := from; i < len(dst); i++ {
		dst[i].Posture = m.ideal.posture(dst[i].Joints)
	}
	return dst
}

func (m approximate) track(flange Pose, near, home Joints) (q Joints, steps int, ok bool) {
	return m.search.track(flange, near, home)
}

func (m approximate) posture(q Joints) Posture { return m.ideal.posture(q) }

func (m approximate) indicators(q Joints) Indicators { return m.ideal.indicators(q) }
