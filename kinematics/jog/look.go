package jog

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
)

// How finely a path is looked along. None of it depends on the speed, so what blocks a path, and where, is the same
// for a jog, for its ghost and for the room to move. (A singularity is the exception: which path speed is too slow to be
// of use depends on the speed that was chosen.)
const (
	// slowest is the part of the chosen path speed below which the arm is said to stand: a joint near a
	// singularity would hold it to less than this.
	slowest = 1e-3

	widest     = 4.0   // a stride grows to at most this many times the first
	resolution = 1e-10 // mm or rad, to which the place where the path is blocked is found
	finest     = 1e-7  // mm or rad, the shortest stretch over which a racing joint is measured

	// passing is the shortest stretch, mm or rad, in which a singularity is looked for. A path that leads
	// through one without a joint racing passes it within this.
	passing = 1e-6

	mostTurn = 0.05 // rad that a joint may turn in one stride
	mostBend = 0.2  // part by which the joints' motion in a stride may differ from that in the stride before

	// limitTolerance in rad is what rounding may put a joint beyond its limit; it is then set on the limit.
	limitTolerance = 1e-12

	// twin in rad is how little the joints differ at two places, no more than passing apart, between which they are not
	// solved for: next to a straight elbow the solver's tolerance would turn them by more. A straight line between the
	// joint angles puts the TCP off the path by about twin²/8 times the arm's length, 1e-6 mm at one metre.
	twin = 1e-4

	// grazing in rad is how far a joint may go to and fro unseen on a stretch at its limit.
	grazing = 1e-10

	// withinSpeed is the part of a joint's highest speed that is planned with.
	withinSpeed = 0.995

	// withinReduced is the part of the reduced speed that several joints together are planned with; on a stretch the
	// speed of TCP and flange changes by less than the rest.
	withinReduced = 0.98
)

// Bounds of contact, mm.
const (
	// touching is how near to contact, or to the set distance, the arm comes to rest at the latest.
	touching = 5e-7

	// scraping is how much a distance may shrink where the arm already touches, or is inside its set distance.
	scraping = 1e-9

	// shortestHop is the motion of the arm's points below which a stretch between two free places is not halved any
	// more. On it, a capsule of 3 mm radius can dip at most 0.02²/(8·3) ≈ 2e-5 mm into something without being seen.
	shortestHop = 0.02

	// unseen is how deep that dip is at most, whatever the capsule.
	unseen = 2e-5

	// farOff is the distance above which a tick on a stretch that has been looked along is not looked at again.
	farOff = 0.5
)

// block is what keeps the arm from a place further along the path.
type block int

const (
	goingOn  block = iota
	tooFar         // no joint angles put the TCP there
	atLimit        // a joint would be beyond its limit
	tooQuick       // a joint would have to be faster than it can be
	tooNear        // something would be touched, or nearer than the set distance
)

// slow is a stretch of the path on which the path speed has to be lower than the chosen one.
type slow struct {
	from, to float64 // places, mm or rad
	speed    float64
	by       int // the joint, or Ceiling
}

// slowsKept is how many slow stretches are remembered. Where there are more, the arm looks less far ahead and goes
// slower.
const slowsKept = 192

// node is a place that has been looked at, with the joint angles there.
type node struct {
	s float64
	q kinematics.Joints
}

// nodesKept is how many nodes are remembered. Where there are more, the arm looks less far ahead and goes slower.
const nodesKept = 256

// lookout is how far a path has been looked along, ahead of the arm, and what was found there.
type lookout struct {
	s      float64           // the place it has got to
	q      kinematics.Joints // joint angles there
	slope  kinematics.Joints // rad per unit of the path on the last stretch
	last   float64           // the length of that stretch, 0 before the first
	steady steady
	sides  sides   // of the singularities
	stride float64 // the length of the next stretch

	bad   float64 // the nearest place known that cannot be gone to; +Inf while there is none
	why   block   // what is there
	which int     // the joint at its limit
	cross float64 // a place on the other side of a singularity; +Inf while none is known
	past  bool    // a singularity has just been passed

	closed bool // the path is blocked at s
	stop   Stop // by what

	gaps   gaps    // at q
	fence  fence   // what they must not fall short of
	breach breach  // what does at bad
	close  float64 // up to this place something is so near that all of it is looked at in every tick; the near pairs always are

	slows       [slowsKept]slow // a ring
	first, kept int

	nodes         [nodesKept]node // a ring, from the last one before the arm to the one at s
	oldest, knots int
}

// steady is the last place from which it is certain how the joints go on. Next to a singularity two ways to stand are one but
// for rounding, which says nothing of where each of them leads.
type steady struct {
	s        float64
	q, slope kinematics.Joints
}

// stretch is a piece of the path from where the lookout is.
type stretch struct {
	to, length float64
	q          kinematics.Joints // at its end
	bent       kinematics.Joints // by how much the joints' turn differs from what the last stretch let expect
	sides      sides
	gaps       gaps // at its end
	smooth     bool // a stretch of twice the length would do as well
	twitch     bool // a joint sets itself right on it, so it says nothing of the next
}

// lookFrom begins to look along the path from where the arm stands.
func (d *Drive) lookFrom() {
	a := &d.ahead
	// The first stretch is short, because nothing is known yet of how the joints will move.
	*a = lookout{q: d.q, stride: d.path.stride() / 1024, bad: math.Inf(1), cross: math.Inf(1), close: -1, knots: 1}
	a.nodes[0] = node{q: d.q}
	if d.path.jog.Frame != JointFrame {
		a.sides = sidesOf(d.setup.Arm, d.setup.Tool.TCP, d.q)
	}
	if d.setup.Scene != nil {
		a.fence = newFence(&d.setup, &d.q)
		a.gaps = a.fence.measure(&d.setup, &d.q)
		a.watch()
	}
}

// watch notes where something is near that has no floor of its own.
func (a *lookout) watch() {
	if a.gaps.rest-a.fence.rest < farOff || a.fence.rest < a.fence.setDistance {
		a.close = a.s
	}
}

// atFence reports whether the lookout is as near as it need come to the place where something would be too near.
func (a *lookout) atFence() bool {
	if a.breach.near {
		return a.bad-a.s < touching
	}
	return a.gaps.rest-a.fence.rest < touching
}

// look goes one stretch further along the path. It reports whether there is more to be looked along.
func (d *Drive) look() bool {
	a := &d.ahead
	rest := d.path.jog.Amount - a.s
	if a.closed || rest <= 0 || a.kept == slowsKept || a.knots == nodesKept {
		return false
	}
	length := math.Min(a.stride, rest)
	for {
		if a.bad-a.s < resolution || a.why == tooNear && a.atFence() {
			why := a.why
			if j := &d.setup.Arm.Joints[a.which]; why == atLimit && math.Min(j.Max-a.q[a.which], a.q[a.which]-j.Min) > mostTurn {
				why = tooQuick // only a leap would take the joint there
			}
			d.block(why, length, nil)
			return false
		}
		crossing := a.cross-a.s <= passing
		if crossing {
			length = math.Min(length, a.cross-a.s)
			a.cross = math.Inf(1)
		}
		if known := math.Min(a.bad, a.cross) - a.s; length > 0.75*known {
			length = known / 2
		}
		to := a.s + length
		if length == rest {
			to = d.path.jog.Amount
		}
		t, good := d.measure(to, length)
		if a.closed {
			return false
		}
		if !good {
			length /= 2
			continue
		}
		d.accept(&t)
		a.past = crossing || a.past && length < d.path.stride()/64 && a.s-a.steady.s < d.path.stride()
		if !a.past && math.IsInf(a.cross, 1) {
			a.steady = steady{a.s, a.q, a.slope}
		}
		switch {
		case crossing:
			a.stride = d.path.stride() / 16
		case !t.smooth || length < a.stride:
			a.stride = length
		default:
			a.stride = math.Min(2*length, widest*d.path.stride())
		}
		return true
	}
}

// measure looks at the stretch to that place. It reports false where a shorter one has to be looked at first, and
// closes the path where it is blocked at once.
func (d *Drive) measure(to, length float64) (t stretch, good bool) {
	a, joints := &d.ahead, &d.setup.Arm.Joints
	t = stretch{to: to, length: length}
	near := a.q
	if a.s == 0 {
		near = d.path.leaning(near)
	}
	if a.last > 0 {
		// Where two ways to stand cross, the one that goes on straight is the right one, and not the nearer one.
		for i := range near {
			near[i] = a.steady.q[i] + a.steady.slope[i]*(to-a.steady.s)
		}
	}
	q, found := d.path.jointsAt(d.setup.Arm, to, &near)
	if !found {
		a.bad, a.why = to, tooFar
		return t, false
	}
	for i := range q {
		// A joint that starts outside its limits may only come back.
		low, high := math.Min(joints[i].Min, a.q[i]), math.Max(joints[i].Max, a.q[i])
		if q[i] > high+limitTolerance || q[i] < low-limitTolerance {
			a.bad, a.why, a.which = to, atLimit, i
			return t, false
		}
		q[i] = math.Min(math.Max(q[i], low), high)
	}
	t.q = q
	most, bend, longest, racing := 0.0, 0.0, 0.0, 0 // longest: the time that the racing joint needs
	for i := range q {
		turned := q[i] - a.q[i]
		if a.last > 0 {
			t.bent[i] = math.Abs(turned - a.slope[i]*length)
		}
		turned = math.Abs(turned)
		most, bend = math.Max(most, turned), math.Max(bend, t.bent[i])
		if time := (turned + t.bent[i]/2) / joints[i].Speed; time > longest {
			longest, racing = time, i
		}
	}
	allowed := mostBend
	hurried := longest*d.limits.speed > length // the chosen speed is too quick for a joint
	if hurried {
		allowed /= 2
	}
	dead := longest*slowest*d.limits.speed > length
	t.smooth = most < mostTurn/2 && bend <= allowed/2.5*most
	switch {
	case length <= finest && a.s == 0 && longest <= Tick/2:
		// A twitch at the start, where the arm stands in a singularity with a joint not quite where the path wants it.
		longest, t.twitch = 0, true
	case length <= finest:
		if dead || most > mostTurn/10 {
			d.block(tooQuick, length, &q)
			return t, false
		}
	case most > mostTurn, bend > allowed*most && most > 1e-4, hurried && a.last == 0:
		return t, false
	case dead:
		d.block(tooQuick, length, &q)
		return t, false
	}
	if d.path.jog.Frame != JointFrame {
		t.sides = sidesOf(d.setup.Arm, d.setup.Tool.TCP, q)
		if length > passing && t.sides.opposite(a.sides) {
			a.cross = to
			return t, false
		}
	}
	for i := range q {
		// Near a limit the joint may have been beyond it on the way.
		if room := math.Min(joints[i].Max-q[i], q[i]-joints[i].Min); room >= 0 && room < t.bent[i]/2 && t.bent[i] > grazing {
			return t, false
		}
	}
	if d.setup.Scene != nil && !d.clear(&t) {
		return t, false
	}
	d.slowFor(&t, longest, racing)
	return t, true
}

// clear reports whether the stretch is free of contact all along. It may be where a shorter one has to be looked at.
//
// Both ends are looked at. Between them the arm's points move by no more than MaxMove, so nothing is touched where the
// distances at the ends, above the fence, are together larger than that. Otherwise: a distance from something convex
// has at any place a second derivative of at most |v|²/ρ along a straight move with the speed v, where ρ is the
// radius of the capsule (it is the distance of a point from a convex body, at least ρ away, less ρ); turning links
// and joints that change speed add the acceleration of their points. So between ends at the distances f and g it
// falls by at most (second derivative)·length²/8 below the smaller of the two.
func (d *Drive) clear(t *stretch) bool {
	a, scene := &d.ahead, d.setup.Scene
	t.gaps = a.fence.measure(&d.setup, &t.q)
	if b, breached := a.fence.breached(&t.gaps, t.to); breached {
		a.bad, a.why, a.breach = t.to, tooNear, b
		return false
	}
	var far, twice kinematics.Joints
	turn := 0.0
	for i := range far {
		far[i] = math.Abs(t.q[i]-a.q[i]) + t.bent[i]
		twice[i] = 2 * t.bent[i]
		turn += far[i]
	}
	move := scene.MaxMove(kinematics.Joints{}, far)
	here, there := a.gaps.rest-a.fence.rest, t.gaps.rest-a.fence.rest
	t.smooth = t.smooth && (here+there > 3*move || move < shortestHop/2)
	if here+there <= move && move >= shortestHop &&
		math.Min(here, there) <= dip(move, turn, scene.Slimmest(), scene.MaxMove(kinematics.Joints{}, twice)) {
		return false
	}
	for i, pair := range a.fence.near[:a.fence.n] {
		move, slim := scene.MaxMoveOf(pair, kinematics.Joints{}, far), scene.Slim(pair)
		floor := a.fence.at(i, t.to)
		here, there := a.gaps.near[i]-floor, t.gaps.near[i]-floor
		hop := math.Max(shortestHop, math.Sqrt(8*slim*unseen))
		t.smooth = t.smooth && (here+there > 3*move || move < hop/2)
		if here+there <= move && move >= hop &&
			math.Min(here, there) <= dip(move, turn, slim, scene.MaxMoveOf(pair, kinematics.Joints{}, twice)) {
			return false
		}
	}
	return true
}

// dip returns by how much a distance falls at most below the smaller of those at the ends of a stretch, on which the
// capsule of that radius moves by at most move, mm, the links turn by turn, rad, and speeding up adds bend, mm.
func dip(move, turn, radius, bend float64) float64 {
	return (move*move/radius + 2*turn*move + bend) / 8
}

// accept moves the lookout to the end of the stretch.
func (d *Drive) accept(t *stretch) {
	a := &d.ahead
	a.last = t.length
	if t.twitch {
		a.last = 0
	}
	for i := range t.q {
		a.slope[i] = (t.q[i] - a.q[i]) / t.length
	}
	a.q, a.s, a.sides, a.gaps = t.q, t.to, t.sides, t.gaps
	a.nodes[(a.oldest+a.knots)%nodesKept] = node{a.s, a.q}
	a.knots++
	if d.setup.Scene != nil {
		a.fence.passed(&a.gaps, a.s)
		a.watch()
	}
}

// slowFor notes how slow the path speed must be on the stretch. The time is what its quickest joint needs.
func (d *Drive) slowFor(t *stretch, time float64, joint int) {
	a := &d.ahead
	n := slow{from: a.s, to: t.to, speed: withinSpeed * t.length / time, by: joint}
	if a.last > 0 && t.length > d.path.stride()/64 {
		// Where the path bends the joints, at this speed they need no more than their acceleration.
		apart := (t.length + a.last) / 2
		for i := range t.bent {
			j := &d.setup.Arm.Joints[i]
			if bend := t.bent[i] / t.length / apart; j.Accel > 0 && n.speed*n.speed*bend > j.Accel {
				n.speed, n.by = math.Sqrt(j.Accel/bend), i
			}
		}
	}
	if d.path.jog.Frame == JointFrame && d.path.jog.Several() {
		far := d.farthestMove(&a.q, &t.q)
		if speed := withinReduced * ReducedSpeed * t.length / far; speed < n.speed {
			n.speed, n.by = speed, Ceiling
		}
	}
	if n.speed < d.limits.speed {
		a.slows[(a.first+a.kept)%slowsKept] = n
		a.kept++
	}
}

// farthestMove returns how far the TCP or the flange goes from p to q, mm, whichever goes farther.
func (d *Drive) farthestMove(p, q *kinematics.Joints) float64 {
	from, to := d.setup.Arm.Forward(*p), d.setup.Arm.Forward(*q)
	flange := r3.Norm(r3.Sub(to.Position, from.Position))
	tcp := d.setup.Tool.TCP.Position
	return math.Max(flange, r3.Norm(r3.Sub(to.Apply(tcp), from.Apply(tcp))))
}

// drop forgets what has been found before the place s.
func (a *lookout) drop(s float64) {
	for a.kept > 0 && a.slows[a.first].to <= s {
		a.first = (a.first + 1) % slowsKept
		a.kept--
	}
	for a.knots > 1 && a.node(1).s <= s {
		a.oldest = (a.oldest + 1) % nodesKept
		a.knots--
	}
}

// node returns one of the nodes that are remembered.
func (a *lookout) node(k int) *node { return &a.nodes[(a.oldest+k)%nodesKept] }

// between returns joint angles near those at a place that has been looked along. They tell which way to stand the arm comes
// by, also where several meet, and are exact where the places beside it are twins.
func (a *lookout) between(s float64) (q kinematics.Joints, exact bool) {
	k := 1
	for k < a.knots && a.node(k).s < s {
		k++
	}
	from := a.node(k - 1)
	q = from.q
	if k < a.knots {
		to := a.node(k)
		part := (s - from.s) / (to.s - from.s)
		for i := range q {
			q[i] += part * (to.q[i] - from.q[i])
		}
		exact = to.s-from.s <= passing && farthestTurn(&from.q, &to.q) <= twin
	}
	return q, exact
}

// block closes the path where the lookout is. Length is of the stretch beyond that was tried, q where it led if it led
// anywhere.
func (d *Drive) block(why block, length float64, q *kinematics.Joints) {
	a := &d.ahead
	a.closed, a.stop = true, d.explain(why, length, q)
}
