package kinematics

import "math"

// Where the arm can move without its flange moving, its solutions form families. A family is given by the member that is
// nearest to the given joints: whose joints, the spare one aside, differ from them by the smallest sum of squares. The
// spare joint takes up what is left. It is joint 6, or joint 1 of an arm solved from its flange.

const (
	// freeBelow is the smallest singular value below which a pose may belong to a family. Of isolated solutions it is
	// only so small where the accuracy of a flange leaves them 1e-3 rad of play.
	freeBelow = 1e-9

	// sameFree is the largest joint difference in rad up to which two members that settle found are taken for the same.
	sameFree = 1e-3

	// probe is how far in rad the joints are moved to see whether they are free.
	probe = 0.005

	// settlingSteps is how often settle steps along a family at most, and settlingStep how far, in rad.
	settlingSteps = 40
	settlingStep  = 0.3

	// mostSettlingTurn is the cosine of the angle by which a family may turn in such a step.
	mostSettlingTurn = 0.8
)

// settle reports whether q, which puts the flange at its place, belongs to a family. If so it goes along the family to
// the member nearest to home.
func (a *Arm) settle(flange Pose, q, home Joints, w *work) (Joints, bool) {
	s := a.freedom(q)
	if s.Smallest > freeBelow || !a.movesOn(flange, q, &s, w) {
		return q, false
	}
	way := a.wayAlong(&s, &q, &home)
	last, lastWay := 0.0, 0.0
	for range settlingSteps {
		if math.Abs(way) < 1e-12 || math.Abs(way) < 1e-10 && math.Abs(way) > math.Abs(lastWay)/2 && last != 0 {
			break
		}
		// The way is that along a straight family. Two of them tell how this one bends.
		step := way
		if last != 0 {
			if bend := (lastWay - way) / last; bend > 0.2 {
				step = way / bend
			}
		}
		next, at, gone := a.along(flange, &q, &s, step, w)
		if gone == 0 {
			break
		}
		q, s, last = next, at, gone
		lastWay, way = way, a.wayAlong(&s, &q, &home)
	}
	return q, true
}

// along goes about so far along a family, and less where it bends: so that its direction turns by no more than mostSettlingTurn. It
// returns where that leads, what freedom says there, its direction as before, and how far it is; zero where it does not go on.
func (a *Arm) along(flange Pose, q *Joints, s *Singularity, step float64, w *work) (next Joints, at Singularity, gone float64) {
	step = math.Copysign(min(math.Abs(step), settlingStep), step)
	for range 8 {
		next, _, ok := a.refineWithin(flange, moved(q, step, &s.Racing), w)
		if ok && distance(&next, q) < 2*math.Abs(step) {
			at := a.freedom(next)
			turn := dot((*[6]float64)(&s.Racing), (*[6]float64)(&at.Racing))
			if turn < 0 {
				for i := range at.Racing {
					at.Racing[i] = -at.Racing[i]
				}
			}
			if math.Abs(turn) > mostSettlingTurn {
				return next, at, step
			}
		}
		step /= 4
	}
	return *q, *s, 0
}

// freedom returns the smallest singular value at q, and the joint speeds that belong to it.
func (a *Arm) freedom(q Joints) Singularity {
	_, jac := a.Jacobian(q, Identity)
	jac.shorten(a.length)
	return decompose(&jac)
}

// movesOn reports whether the arm can go along the joint speeds that do not move the flange. Where two solutions only
// meet, the joints come back.
func (a *Arm) movesOn(flange Pose, q Joints, s *Singularity, w *work) bool {
	to, _, ok := a.refineWithin(flange, moved(&q, probe, &s.Racing), w)
	return ok && distance(&to, &q) > probe/2
}

// wayAlong returns how far along the joint speeds that do not move the flange the joints come nearest to home.
func (a *Arm) wayAlong(s *Singularity, q, home *Joints) float64 {
	along, size := 0.0, 1e-30
	for i, v := range s.Racing {
		if i == a.spare {
			continue
		}
		way := home[i] - q[i]
		along += v * (way - turnsOff(way, 0))
		size += v * v
	}
	return along / size
}

// moved returns q moved by so much along a joint motion.
func moved(q *Joints, by float64, along *Joints) (to Joints) {
	for i := range to {
		to[i] = q[i] + by*along[i]
	}
	return to
}

// distance returns the length of the difference of two sets of joint angles, as they are.
func distance(p, q *Joints) float64 {
	sum := 0.0
	for i := range p {
		sum += (p[i] - q[i]) * (p[i] - q[i])
	}
	return math.Sqrt(sum)
}

// Free reports whether the arm can move at q without its flange moving, so that there are infinitely many ways to stand.
func (a *Arm) Free(q Joints) bool {
	if i := a.method.indicators(q); i.complete() && !a.nearlySingular(q) {
		return false
	}
	s := a.freedom(q)
	return s.Smallest < freeBelow && a.movesOn(a.Forward(q), q, &s, &work{mostStepsEach})
}
