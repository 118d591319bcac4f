package kinematics

import "math"

// approximate solves for an arm that is nearly of a special form: by that form, and then on the arm as it is.
type approximate struct {
	arm   *Arm
	ideal method
}

func (m approximate) name() string { return m.ideal.name() + " (nearly), refined" }

func (m approximate) solve(dst []Solution, flange Pose, near Joints) []Solution {
	from := len(dst)
	dst = m.ideal.solve(dst, flange, near)
	kept := from
	for _, s := range dst[from:] {
		q, _, ok := m.arm.refine(flange, s.Joints)
		if ok && !known(dst[from:kept], &q) {
			s.Joints = q
			dst[kept] = s
			kept++
		}
	}
	return dst[:kept]
}

func (m approximate) track(flange Pose, near Joints) (Joints, bool) {
	if q, _, ok := m.arm.refine(flange, near); ok {
		return q, true
	}
	return nearest(m.solve(nil, flange, near), &near)
}

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

func (m approximate) posture(q Joints) Posture { return m.ideal.posture(q) }

func (m approximate) indicators(q Joints) Indicators { return m.ideal.indicators(q) }
