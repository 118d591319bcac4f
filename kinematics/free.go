package kinematics

import "math"

// Where the arm can move without its flange moving, its solutions form families. A family is given by the member that is
// nearest to the given joints: whose joints, the spare one aside, differ from them by the smallest sum of squares. The
// spare joint takes up what is left. It is joint 6, or joint 1 of an arm solved from its flange.

const (
	// freeBelow is the smallest singular value below which a pose may belong to a family. Of isolated solutions it is
	// only so small where the accuracy of a flange leaves them 1e-3 rad of play.
	freeBelow = 1e-9

	// exactlySingular is the smallest singular value that is nothing but rounding, and stillSingular that of a place which the accuracy of a
	// flange leaves beside a family of such poses. Where four solutions meet, what is missed grows with the fourth power of how far the joints
	// go, which may be within that accuracy for as far as they are probed; its derivative tells.
	exactlySingular = 1e-14
	stillSingular   = 1e-11

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
	on, free := a.free(flange, q, w)
	if !free {
		return q, false
	}
	way := a.wayAlong(&on, &q, &home)
	if end, ok := w.trail.joined(a, flange, &q, &on, way, w); ok {
		return end, true
	}
	w.trail.set()
	w.trail.note(&q, &on, way)
	descend(way, func(step float64) (gone, way float64) {
		if q, on, gone = a.along(flange, &q, &on, step, w); gone != 0 {
			way = a.wayAlong(&on, &q, &home)
			w.trail.note(&q, &on, way)
		}
		return gone, way
	})
	w.trail.end(&q)
	return q, true
}

// descend goes along a family to where there is no way left to go. Along goes so far, or less, and tells how far it went and the way from
// there; zero where it does not go on.
func descend(way float64, along func(step float64) (gone, way float64)) {
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
			} else { // the way is hardly shorter for what was gone: it leads much farther than it seems to
				step = math.Copysign(min(max(math.Abs(way), 4*math.Abs(last)), math.Abs(way)/max(bend, 1e-3)), way)
			}
		}
		gone, next := along(math.Copysign(min(math.Abs(step), settlingStep), step))
		if gone == 0 {
			break
		}
		last, lastWay, way = gone, way, next
	}
}

// along goes about so far along a family, whose direction at q is on, and less where it bends: so that its direction turns by no more
// than mostSettlingTurn. It returns where that leads, the direction there, and how far it is; zero where it does not go on.
func (a *Arm) along(flange Pose, q, on *Joints, step float64, w *work) (next, then Joints, gone float64) {
	for range 6 {
		next, _, ok := a.refineWithin(flange, moved(q, step, on), w)
		if ok && distance(&next, q) < 2*math.Abs(step) {
			if then, ok := a.onward(&next, on); ok {
				return next, then, step
			}
		}
		step /= 4
	}
	return *q, *on, 0
}

// freedom returns the smallest singular value at q, and the joint speeds that belong to it.
func (a *Arm) freedom(q Joints) Singularity {
	_, jac := a.Jacobian(q, Identity)
	jac.shorten(a.length)
	return decompose(&jac)
}

// free reports whether q belongs to a family, and returns the joint speeds that go along it, as a unit vector.
func (a *Arm) free(flange Pose, q Joints, w *work) (on Joints, free bool) {
	_, jac := a.Jacobian(q, Identity)
	jac.shorten(a.length)
	s, second, other := decomposeTwo(&jac)
	if s.Smallest > freeBelow {
		return on, false
	}
	if second > freeBelow {
		_, free = a.movesOn(flange, q, &s.Racing, s.Smallest < exactlySingular, w)
		return s.Racing, free
	}
	// Where the arm is singular in two ways, as with a straight wrist and a straight elbow, the two come mixed. Of any two mixtures
	// one has enough of what goes on.
	for _, along := range [2]*Joints{&s.Racing, &other} {
		if to, free := a.movesOn(flange, q, along, s.Smallest < exactlySingular, w); free {
			way := moved(&to, -1, &q)
			return inSpan(&way, &s.Racing, &other), true
		}
	}
	return on, false
}

// onward returns joint speeds at q that do not move the flange, the nearest to these, as a unit vector.
func (a *Arm) onward(q, along *Joints) (on Joints, ok bool) {
	_, jac := a.Jacobian(*q, Identity)
	jac.shorten(a.length)
	var n normal
	if !n.factor(&jac, 1e-12) {
		return on, false
	}
	// What moves the flange is taken away. Each time leaves of it the part that its singular value, squared, leaves of the damping.
	on = *along
	for range 3 {
		var moves, back [6]float64
		for i := range moves {
			moves[i] = dot(&jac[i], (*[6]float64)(&on))
		}
		n.solve(&moves, &back)
		for i := range on {
			on[i] -= back[i]
		}
	}
	size := math.Sqrt(dot((*[6]float64)(&on), (*[6]float64)(&on)))
	for i := range on {
		on[i] /= size
	}
	return on, size > mostSettlingTurn
}

// inSpan returns the unit vector of what two unit vectors square to each other have of a joint motion.
func inSpan(way, one, other *Joints) (to Joints) {
	x, y := dot((*[6]float64)(way), (*[6]float64)(one)), dot((*[6]float64)(way), (*[6]float64)(other))
	size := hypot(x, y)
	if size == 0 {
		return *one
	}
	for i := range to {
		to[i] = (x*one[i] + y*other[i]) / size
	}
	return to
}

// movesOn reports whether the arm can go along joint speeds that do not move the flange, and returns where that leads. Where two
// solutions only meet, the joints come back, or the pose that they come to is not as singular as one of a family.
func (a *Arm) movesOn(flange Pose, q Joints, along *Joints, exactly bool, w *work) (to Joints, free bool) {
	for _, by := range [4]float64{probe, -probe, probe / 16, -probe / 16} {
		to, _, ok := a.refineWithin(flange, moved(&q, by, along), w)
		if ok && distance(&to, &q) > math.Abs(by)/2 {
			return to, !exactly || a.freedom(to).Smallest < stillSingular
		}
	}
	return q, false
}

// wayAlong returns how far along the joint speeds that do not move the flange the joints come nearest to home.
func (a *Arm) wayAlong(on, q, home *Joints) float64 {
	along, size := 0.0, 1e-30
	for i, v := range on {
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
	_, free := a.free(a.Forward(q), q, &work{steps: mostStepsEach})
	return free
}
