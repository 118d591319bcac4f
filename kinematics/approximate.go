package kinematics

import "math"

// approximate solves for an arm that is nearly of a special form. All solutions come by search, since the form may
// hide some that the arm as it is has; posture and singularities are told by the form.
type approximate struct {
	arm    *Arm
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

func (m approximate) track(flange Pose, near Joints) (Joints, bool) {
	return m.arm.follow(m.search, flange, near)
}

func (m approximate) posture(q Joints) Posture { return m.ideal.posture(q) }

func (m approximate) indicators(q Joints) Indicators { return m.ideal.indicators(q) }

// follow tracks by iteration from near and asks m for all solutions where that leads nowhere, or so far that another
// may be nearer.
func (a *Arm) follow(m method, flange Pose, near Joints) (Joints, bool) {
	if q, _, ok := a.refine(flange, near); ok && farthest(q[:], near[:]) < smallStep {
		return q, true
	}
	var store [mostSolutions]Solution
	return nearest(m.solve(store[:0], flange, near), &near)
}

// mostSolutions is how many isolated solutions six revolute joints can have.
const mostSolutions = 16

// nearest returns of these solutions the one whose largest joint difference from near is the smallest.
func nearest(solutions []Solution, near *Joints) (best Joints, ok bool) {
	least := math.Inf(1)
	for i := range solutions {
		q := &solutions[i].Joints
		if apart := farthest(q[:], near[:]); apart < least {
			best, least, ok = *q, apart, true
		}
	}
	return best, ok
}
