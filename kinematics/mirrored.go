package kinematics

import "math"

// mirrored solves an arm by the closed form of its mirror image: the same axes counted from the flange, with the
// base in the place of the flange.
type mirrored struct{ image method }

// mirror returns the axes of an arm counted from its flange, in the frame of the flange at the measured pose. The image's
// flange is the base. Its joint angles are those of the arm the other way round, since a joint turned the other way
// about the opposite axis is the same turn.
func mirror(joints [6]Joint, flange Pose) ([6]Joint, Pose) {
	from := flange.Inverse()
	var image [6]Joint
	for i, j := range joints {
		m := &image[5-i]
		*m = j
		m.At = from.Apply(j.At)
		m.Axis = from.Rotation.Apply(j.Axis)
		m.Axis.X, m.Axis.Y, m.Axis.Z = -m.Axis.X, -m.Axis.Y, -m.Axis.Z
	}
	return image, from
}

func backwards(q Joints) Joints {
	q.reverse()
	return q
}

func (q *Joints) reverse() { q[0], q[1], q[2], q[3], q[4], q[5] = q[5], q[4], q[3], q[2], q[1], q[0] }

func (m mirrored) name() string {
	const prefix = "closed form"
	return prefix + ", from the flange" + m.image.name()[len(prefix):]
}

func (m mirrored) solve(dst []Solution, flange Pose, near Joints) []Solution {
	from := len(dst)
	dst = m.image.solve(dst, flange.Inverse(), backwards(near))
	for i := from; i < len(dst); i++ {
		dst[i].Joints = backwards(dst[i].Joints)
		dst[i].Posture = Posture{}
	}
	return dst
}

func (m mirrored) track(flange Pose, near, home Joints) (q Joints, steps int, ok bool) {
	q, steps, ok = m.image.track(flange.Inverse(), backwards(near), backwards(home))
	return backwards(q), steps, ok
}

func (m mirrored) sure(flange Pose, near Joints, found bool) bool {
	image, can := m.image.(certain)
	return can && image.sure(flange.Inverse(), backwards(near), found)
}

func (m mirrored) posture(Joints) Posture { return Posture{} }

func (m mirrored) indicators(Joints) Indicators {
	return Indicators{Wrist: math.NaN(), Elbow: math.NaN(), Shoulder: math.NaN()}
}
