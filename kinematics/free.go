package kinematics

import (
	"math"
)

// sameFree is the largest joint difference in rad up to which two ends of settleFree are taken for the same.
const sameFree = 1e-3

// settleFree reports whether the arm can move at q, where it puts the flange at its place, without the flange moving.
// If it can, it returns the way to stand that is nearest to near along that motion: the joint differences, as far as
// they are free, are followed until nothing is left of them.
func (a *Arm) settleFree(flange Pose, q, near Joints) (Joints, bool) {
	_, jac := a.residual(flange, q)
	s := decompose(&jac)
	if s.Smallest > 1e-9 {
		return q, false
	}
	// At a pose that is only the meeting of two solutions the joints come back.
	const probe = 0.05
	to := q
	for i := range to {
		to[i] += probe * s.Racing[i]
	}
	if to, _, ok := a.refine(flange, to); !ok || distance(&to, &q) < probe/2 {
		return q, false
	}
	for range 60 {
		step := freePart(&s, &q, &near)
		size := distance(&step, &Joints{})
		if size < 1e-9 {
			break
		}
		next := q
		for i := range next {
			next[i] += step[i] * math.Min(1, 0.3/size)
		}
		next, _, ok := a.refine(flange, next)
		if !ok {
			break
		}
		q = next
		_, jac = a.residual(flange, q)
		s = decompose(&jac)
	}
	return q, true
}

// freePart returns the part of the way from q to near along the joint speeds that do not move the flange.
func freePart(s *Singularity, q, near *Joints) (step Joints) {
	along := 0.0
	for i, v := range s.Racing {
		way := near[i] - q[i]
		along += v * (way - turnsOff(way, 0))
	}
	for i, v := range s.Racing {
		step[i] = along * v
	}
	return step
}

// distance returns the length of the difference of two sets of joint angles, as they are.
func distance(p, q *Joints) float64 {
	sum := 0.0
	for i := range p {
		sum += (p[i] - q[i]) * (p[i] - q[i])
	}
	return math.Sqrt(sum)
}
