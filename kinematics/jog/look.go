package jog

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/kinematics/clearance"
)

// How finely a path is looked along. None of it depends on the speed, so what blocks a path, and where, is the same
// for a jog, for its ghost and for the room to move. (A singularity is the exception: which path speed is too slow to be
// of use depends on the speed that was chosen.)
const (
	// slowest is the part of the chosen path speed below which the arm is said to stand: a joint near a
	// singularity would hold it to less than this.
	slowest = 1e-3

	resolution = 1e-10 // mm or rad, to which the place where the path is blocked is found
	finest     = 1e-7  // mm or rad, the shortest stretch over which a racing joint is measured
	mostLeap   = 0.005 // rad that it may turn on it

	// passing is the shortest stretch, mm or rad, in which a singularity is looked for. A path that leads
	// through one without a joint racing passes it within this.
	passing = 1e-6

	mostTurn    = 0.1  // rad that a joint may turn in one stride of a path that it has to follow,
	severalTurn = 0.05 // where several are jogged together
	mostBend    = 0.2  // part by which the joints' motion in a stride may differ from that in the stride before
	straight    = 1e-4 // rad that a joint may turn in a stride however it bends

	// The next stretch is aimed at that part of what is allowed, and is at most and at least so many times as long as the last.
	ample, mostGrowth, leastGrowth = 0.9, 4.0, 1.0 / 4

	// limitTolerance in rad is what rounding may put a joint beyond its limit; it is then set on the limit.
	limitTolerance = 2e-10

	// straightTurn in rad is how little the joints differ at two places, no more than passing apart, between which they are not
	// solved for: next to a straight elbow the solver's tolerance would turn them by more. A straight line between the
	// joint angles puts the TCP off the path by about twin²/8 times the arm's length, 1e-6 mm at one metre.
	straightTurn = 1e-4

	// limitReached in rad is how near to its limit a joint is that is said to stand at it.
	limitReached = 1e-6

	// leaving in rad, per mm or rad of the path, is how quickly a joint moves at least that goes back from its limit.
	leaving = 1e-6

	// unhurried in s is the time that a joint needs for a stretch so short that it says nothing of its speed over a tick: as
	// where a straight elbow begins to bend, with the root of the way, or rounding turns a joint a little. Of such stretches
	// next to each other only the first few are so.
	unhurried = Tick / 32

	// standstill in s is how long the arm may be slower than slowest, as where its elbow is all but straight. It is less than can be seen.
	standstill = Tick / 8

	// mostLooks is after how many stretches it has to have got on by one first stride at least, or after how many where something is so near
	// that they are short for that. Where it has not, the joints are too uncertain to be followed, or it cannot be told that nothing
	// comes nearer, and the arm stops.
	mostLooks     = 1000
	mostNearLooks = 16 * mostLooks

	// rounded in rad is what rounding may turn a joint by next to a singularity. It is no speed on a short stretch.
	rounded = 1e-7

	// grazing in rad is how much a joint's turn on a stretch at its limit may differ from a steady one. On the way it then goes
	// beyond by an eighth of that, at most limitTolerance.
	grazing = 8 * limitTolerance

	// withinSpeed is the part of a joint's highest speed that is planned with.
	withinSpeed = 0.995

	// withinReduced is the part of the reduced speed that several joints together are planned with; on a stretch the
	// speed of TCP and flange changes by less than the rest.
	withinReduced = 0.98
)

// Bounds of contact, mm.
const (
	// contactReached is how near to contact, or to the set distance, the arm comes to rest at the latest.
	contactReached = 5e-7

	// shrinkTolerance is how much a distance may shrink where the arm already touches, or is inside its set distance: more than
	// what rounding makes of joint angles next to a singularity.
	shrinkTolerance = 1e-7

	// unseen is how deep at most a capsule can dip into something on a stretch between two free places without being seen. A
	// stretch on which none can dip deeper is not halved any more.
	unseen = 2e-5

	// clearing is how far an arm moves at most on a stretch on which a pair may get clear and come near again unseen.
	clearing = 0.02

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
	unknown        // that could not be computed within the bound of work
)

// lookout is how far a path has been looked along, ahead of the arm, and what was found there. It is a value that goes on
// where it was left; a path may be looked along without an arm that moves.
type lookout struct {
	setup *Setup
	path  *path
	speed float64 // the highest along the path: the chosen one, or less where something holds it down all the way
	plan  *plan   // takes down what a motion needs to know of the path; nil where only its end is wanted

	unmeasured bool // how far the end of reach is from where the jog would go is not wanted

	s      float64           // the place it has got to
	q      kinematics.Joints // joint angles there
	slope  kinematics.Joints // rad per unit of the path on the last stretch
	last   float64           // the length of that stretch, 0 before the first
	even   float64           // its even, see pace
	onto   float64           // rad that a joint was set back on its limit there
	before struct {          // the stretch before the last
		slope  kinematics.Joints
		length float64
	}
	steady steady
	sides  sides   // of the singularities
	parity parity  // where the arm can stand in infinitely many ways and has no measures of its singularities
	stride float64 // the length of the next stretch
	tried  float64 // the length to be tried next of a stretch whose look was left off; 0: none was
	looks  int     // how many stretches were looked at
	marked int     // how many there were when it was last seen that it gets on,
	mark   float64 // and the place then,
	narrow int     // and how many since then were short because something is near

	bad     float64 // the nearest place known that cannot be gone to; +Inf while there is none
	why     block   // what is there
	which   int     // the joint at its limit
	outward int     // at the start, the last joint that a stretch took beyond its limit; −1: none
	over    float64 // how far that is beyond its limit there, rad, or a distance below its floor, mm; 0 where there is no such number
	search  search  // for the place between s and bad where that begins
	cross   float64 // a place on the other side of a singularity; +Inf while none is known
	across  sides   // there
	skipped float64 // as in stretch
	stood   float64 // likewise
	past    bool    // a singularity has just been passed

	closed bool         // the path is blocked at s
	stop   Stop         // by what
	asking *explanation // it is, and by what is not known yet

	start     kinematics.Joints
	links     kinematics.Links  // for use within a look
	bodies    *clearance.Bodies // likewise
	atStart   gaps
	gaps      gaps   // at q
	floors    floors // what they must not fall short of
	shortfall shortfall
	close     float64 // up to this place something is so near that all of it is looked at in every tick; the near pairs always are
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
	parity     parity
	gaps       gaps    // at its end
	skipped    float64 // s, that joints need for this stretch and those before it that were too short to tell their speed
	stood      float64 // s, that joints need for this stretch and those just before it on which the arm is slower than slowest
	even       float64 // see pace
	growth     float64 // a stretch so many times as long would do as well
	shorter    float64 // of one that will not do: one so many times as long may
	onto       float64 // as in lookout
	fromHere   bool    // its end is looked for from its beginning, and not from where the way seems to lead
	twitch     bool    // a joint sets itself right on it, so it says nothing of the next
}

// stand takes note of where an arm stands. What is near there is measured once, for however many paths begin there.
func (a *lookout) stand(setup *Setup, q *kinematics.Joints) { a.standOrLead(setup, q, nil) }

// standOrLead does so for an arm that may be led back to where it came from, however near to something that is; nil: it is not.
func (a *lookout) standOrLead(setup *Setup, q, back *kinematics.Joints) {
	a.setup, a.start = setup, *q
	if setup.Scene != nil {
		if a.bodies == nil {
			a.bodies = setup.Scene.NewBodies()
		}
		setup.Arm.PutLinks(q, &a.links)
		a.bodies.Put(&a.links)
		a.floors = newFloors(setup, &a.links)
		if back != nil {
			links := setup.Arm.Links(*back)
			a.floors.allow(setup, &links)
		}
		a.floors.measure(a.bodies, &a.atStart)
	}
}

// begin begins to look along a path from there.
func (a *lookout) begin(p *path, speed float64) {
	a.path, a.speed = p, speed
	a.s, a.q, a.slope, a.last, a.onto, a.steady = 0, a.start, kinematics.Joints{}, 0, 0, steady{}
	// The first stretch is short, because nothing is known yet of how the joints will move.
	a.stride = p.stride() / 1024
	a.tried, a.bad, a.why, a.over, a.search = 0, math.Inf(1), goingOn, 0, search{}
	a.cross, a.past, a.skipped, a.stood, a.outward = math.Inf(1), false, 0, 0, -1
	a.marked, a.mark, a.narrow = a.looks, 0, 0
	a.closed, a.stop, a.asking = false, Stop{}, nil
	if p.jog.Frame != JointFrame {
		a.parity = parity{}
		a.sides = sidesOf(a.setup.Arm, a.setup.Tool.TCP, a.q)
		if a.sides == 0 && p.homeCount > 0 {
			a.parity = newParity(a.setup.Arm, a.setup.Tool.TCP, &a.q)
			a.sides = a.parity.side
		}
	}
	a.close = -1
	if a.setup.Scene != nil {
		a.floors.begin()
		a.gaps = a.atStart
		a.watch()
	}
	if a.plan != nil {
		a.plan.begin(&a.q)
	}
}

// watch notes where something is near that has no floor of its own.
func (a *lookout) watch() {
	if a.gaps.least()-a.floors.rest < farOff || a.floors.rest < a.floors.setDistance {
		a.close = a.s
	}
}

// atFloor reports whether the lookout is as near as it need come to the place where something would be too near.
func (a *lookout) atFloor() bool {
	if a.shortfall.low { // all the way the distance may have been as small as it may be
		return a.bad-a.s < contactReached
	}
	return a.margin() < contactReached
}

// onLimit reports whether the lookout is as near as it need come to the place where a joint would be beyond its limit.
func (a *lookout) onLimit() bool {
	return a.bad-a.s < passing && a.over < limitReached && a.margin() < 2*limitTolerance
}

// margin returns how far it still is from the lookout to what is wrong at bad: of a joint to its limit, rad, or of a
// distance to its floor, mm.
func (a *lookout) margin() float64 {
	switch {
	case a.why == atLimit:
		j := &a.setup.Arm.Joints[a.which]
		return math.Min(j.Max-a.q[a.which], a.q[a.which]-j.Min) + limitTolerance - a.onto
	case a.shortfall.near >= 0:
		return a.gaps.near[a.shortfall.near] - a.shortfall.floor
	}
	return a.gaps.rest[a.shortfall.group] - a.floors.rest
}

// search looks for the place where something begins to be wrong.
type search struct {
	within float64 // the place was known to lie within so much,
	left   float64 // and thought to be so far off, when either was last much less than before
	tries  int     // since then
	beyond int     // how many of the last tries went beyond it

	from   float64 // where the lookout was when a length was last asked for,
	vainly int     // and how often since it got there that has been halved
}

// mostSecants is how often the place is looked for by the secant while nothing gets much less.
const mostSecants = 3

// towardsBad returns the length of the next stretch where it is known that the place that cannot be gone to is no farther off
// than that, and thought to be left so far off; 0: there is no number to go by. As a rule it is found by the secant method, on the
// near side of the place; where that does not get on, by halving (Press et al., Numerical Recipes, ch. 9). Where halving does not get on
// either, the place may be right here, as where only a leap of the joints would lead on. So it is halved twice at once, then four
// times, and so on (Bentley and Yao, An almost optimal algorithm for unbounded searching, Information Processing Letters 5(3), 1976).
func (a *lookout) towardsBad(known, left float64) float64 {
	g := &a.search
	if g.from != a.s {
		g.from, g.vainly = a.s, 0
	}
	if known <= g.within/2 || left > 0 && left <= g.left/4 || g.within == 0 {
		g.within, g.left, g.tries = known, left, 0
	}
	g.tries++
	switch {
	case left == 0 || g.tries > mostSecants:
		g.within, g.left, g.tries = known/2, left, 0
		if a.why == tooNear {
			return known / 2
		}
		leap := math.Ldexp(known, -1<<min(g.vainly, 4))
		g.vainly++
		return math.Max(leap, math.Min(known/2, 0.9*resolution))
	case a.why == tooNear:
		return math.Max(left, resolution/4)
	case left <= resolution/2:
		return 0.9 * resolution // beyond it, so that it is shut in
	}
	return left - resolution/4
}

// left returns about how far off the place is that cannot be gone to, where it is known to be no farther off than that; 0 where
// nothing tells.
func (a *lookout) left(known float64) (left float64) {
	// Where tries go beyond it again and again the secant is drawn from nearer by (the Illinois algorithm; Dowell and Jarratt, BIT 11,
	// 1971).
	margin := a.margin()
	lowered := math.Ldexp(margin, -max(a.search.beyond-1, 0))
	secant := known * lowered / (lowered + a.over)
	switch steep := math.Abs(a.slope[a.which]); {
	case a.why == tooNear && (a.shortfall.low || margin <= 0 || a.over <= 0):
		return 0
	case a.why == tooNear:
		return secant - contactReached/2*secant/margin
	case a.why == atLimit && a.last == 0:
		return secant
	case a.why == atLimit && margin+a.over < 4*steep*known: // more is a leap
		if left = margin / steep; left >= known || a.search.beyond > 0 {
			left = secant
		}
	}
	if !(left > 0 && left < known) {
		left = a.fold()
	}
	if left < known {
		return left
	}
	return 0
}

// fold returns how far off the place is where two ways to stand meet and end, as where an arm is straight: there the path, as a
// function of the joint that races, comes to a maximum. It is that of the parabola through the ends of the last two stretches;
// +Inf where there is none.
func (a *lookout) fold() float64 {
	racing := 0
	for i, rate := range a.slope {
		if math.Abs(rate) > math.Abs(a.slope[racing]) {
			racing = i
		}
	}
	now, before := a.slope[racing], a.before.slope[racing]
	if !(now*before > 0 && math.Abs(now) > math.Abs(before)) {
		return math.Inf(1)
	}
	turned := now * a.last
	curve := 2 * (1/before - 1/now) / (turned + before*a.before.length)
	steep := 1/now - curve*turned/2
	if !(steep*now > 0) {
		return math.Inf(1)
	}
	return 63. / 64 * steep * steep / (2 * math.Abs(curve)) // not quite, for rounding
}

// look goes one stretch further along the path. It reports whether there is more to be looked along.
func (a *lookout) look() bool { return a.lookFor(math.MaxInt) }

// lookFor does so as long as the path has taken no more than so many steps of iteration in all. Where it has, it goes on the next time.
func (a *lookout) lookFor(steps int) bool {
	if a.asking != nil {
		return a.ask(steps)
	}
	rest := a.path.jog.Amount - a.s
	if a.closed || rest <= 0 || a.plan != nil && a.plan.full() {
		return false
	}
	var t stretch
	length := math.Min(a.stride, rest)
	if a.tried > 0 {
		length = a.tried
	}
	for a.tried = 0; ; {
		if a.path.steps > steps {
			a.tried = length
			return true
		}
		if a.looks-a.marked >= mostLooks {
			slow := a.s-a.mark < a.path.stride()
			if slow && (!a.isNarrow() || a.looks-a.marked >= mostNearLooks) {
				a.block(a.uncertain(), length, nil)
				return a.asking != nil
			}
			if !slow {
				a.marked, a.mark, a.narrow = a.looks, a.s, 0
			}
		}
		if a.bad-a.s < resolution || a.why == tooNear && a.atFloor() || a.why == atLimit && a.onLimit() {
			if a.mistook() {
				return true
			}
			why := a.why
			if why == atLimit && a.margin() > limitReached {
				why = tooQuick // only a leap would take the joint there
			}
			if why != tooNear && why != atLimit && a.resettle() {
				return true
			}
			a.block(why, length, nil)
			return a.asking != nil
		}
		cross := a.cross
		if cross-a.s <= passing {
			length = math.Min(length, cross-a.s)
			cross = math.Inf(1) // it may be gone to now
		}
		if known := cross - a.s; a.bad > cross && length > 0.75*known {
			length = known / 2
		} else if known = a.bad - a.s; a.bad <= cross && !math.IsInf(known, 1) {
			if left := a.left(known); length > 0.75*known || left > 0 && length > left {
				length = math.Min(length, a.towardsBad(known, left))
			}
		}
		t.to, t.length = a.s+length, length
		if length == rest {
			t.to = a.path.jog.Amount
		}
		a.looks++
		good := a.try(&t)
		if a.asking != nil { // a joint is too quick there, also where that is called the end of reach
			a.resettle()
			return true
		}
		if a.closed {
			return false
		}
		if !good {
			if t.to == a.bad {
				a.search.beyond++
			}
			if t.to != math.Min(a.bad, a.cross) || t.to == a.cross && length <= passing || a.why == tooNear && t.to == a.bad { // of others the next length is found above
				length *= stepped(t.shorter)
			}
			continue
		}
		if a.search.beyond == 0 && a.why == tooNear {
			a.over /= 2 // as in left
		}
		a.search.beyond = 0
		if a.s == 0 && a.why == atLimit {
			// It may have been the other one of two ways to stand that meet here which led beyond a limit.
			a.bad, a.why, a.over, a.search = math.Inf(1), goingOn, 0, search{}
		}
		if a.leapt(&t) {
			a.cross, a.steady, a.past = math.Inf(1), steady{}, false
		}
		crossing := t.to >= a.cross || a.last > 0 && t.sides.opposite(a.sides) || !math.IsInf(a.cross, 1) && t.sides == a.across
		if crossing {
			a.cross = math.Inf(1)
		}
		a.accept(&t)
		a.past = crossing || a.past && length < a.path.stride()/64 && a.s-a.steady.s < a.path.stride()
		if !a.past && a.cross-a.s > a.path.stride()/64 {
			a.steady = steady{a.s, a.q, a.slope}
		}
		switch {
		case crossing:
			a.stride = a.path.stride() / 16
		default:
			a.stride = math.Min(stepped(t.growth)*length, a.path.widest())
		}
		return true
	}
}

// isNarrow reports whether the stretches that were looked at since it last got on are short because something is near.
func (a *lookout) isNarrow() bool { return 2*a.narrow > a.looks-a.marked }

// uncertain returns what it is that the arm does not get on for: that something is near, the nearest to what it must not be, or that the
// joints cannot be followed. What that comes to an explanation tells.
func (a *lookout) uncertain() block {
	if !a.isNarrow() {
		return tooQuick
	}
	f, least := &a.floors, math.Inf(1)
	a.setup.Arm.PutLinks(&a.q, &a.links)
	a.bodies.Put(&a.links)
	f.measure(a.bodies, &a.gaps)
	for group, gap := range a.gaps.rest[:a.gaps.groups] {
		if gap-f.rest < least {
			least, a.shortfall = gap-f.rest, shortfall{pair: a.gaps.pair[group], floor: f.rest, near: -1, group: group}
		}
	}
	for i, gap := range a.gaps.near[:f.n] {
		if floor := f.at(i, a.s); gap-floor < least {
			least, a.shortfall = gap-floor, shortfall{pair: f.near[i], floor: floor, near: i, group: -1, low: floor < f.setDistance}
		}
	}
	if a.setup.SetDistance == 0 && least > contactReached {
		return unknown // that nothing is touched on the way could not be told, but nothing is
	}
	return tooNear
}

// mistook looks again at the place that could not be gone to, now that the lookout is next to it: where a joint was beyond its limit by
// far more than it can turn from here, for seen from farther off it may have been on another branch, or where there were no joint angles,
// for from farther off iteration may not have led to them. It goes there and reports true where nothing is in the way.
func (a *lookout) mistook() bool {
	if !(a.why == atLimit && a.over >= limitReached || a.why == tooFar) || !(a.bad > a.s) {
		return false
	}
	steps := a.path.steps
	if a.regains(&stretch{to: a.bad, length: a.bad - a.s}) {
		return true
	}
	if a.why != tooFar || a.blocked() || a.path.steps == steps { // what takes no iteration is certain
		return false
	}
	// Next to a singularity it may have set out from where the way seemed to lead, and that led astray. And where two meet, there may be
	// a way on although hardly beyond this place iteration leads to none.
	bad := a.bad
	for _, length := range [3]float64{bad - a.s, finest / 10, finest} {
		if a.s+length < a.path.jog.Amount && a.regains(&stretch{to: a.s + length, length: length, fromHere: true}) {
			a.steady = steady{}
			return true
		}
		if a.blocked() || a.why == atLimit && a.margin() <= limitReached {
			return false
		}
	}
	a.bad, a.why, a.over = bad, tooFar, 0
	return false
}

// leapt reports whether a stretch passed a singularity only because its end was looked for from where the way seemed to lead, and that was
// nearer to another way to stand. It then goes where the way leads from here. Where a singularity is passed the joints hardly move on so
// short a stretch.
func (a *lookout) leapt(t *stretch) bool {
	if t.length > passing || t.fromHere || a.steady.s == a.s || !t.sides.opposite(a.sides) || farthestTurn(&t.q, &a.q) <= straightTurn {
		return false
	}
	before, here := *a, stretch{to: t.to, length: t.length, fromHere: true}
	slows := a.plan.forget(a.s)
	if a.try(&here) && !here.sides.opposite(a.sides) && farthestTurn(&here.q, &a.q) < farthestTurn(&t.q, &a.q)/2 {
		*t = here
		return true
	}
	*a = before
	a.plan.forget(a.s)
	for _, n := range slows {
		a.plan.slowDown(n)
	}
	return false
}

// regains goes along a stretch to, or beyond, the place that could not be gone to, and reports true where nothing is in the way.
func (a *lookout) regains(t *stretch) bool {
	if !a.try(t) || a.blocked() {
		return false
	}
	a.accept(t)
	a.bad, a.why, a.over, a.search = math.Inf(1), goingOn, 0, search{}
	a.stride = a.path.stride() / 1024
	return true
}

// try looks at a stretch. It reports false where a shorter one has to be looked at first, and closes the path where it is
// blocked at once.
func (a *lookout) try(t *stretch) (good bool) {
	joints, inFrame := &a.setup.Arm.Joints, a.path.jog.Frame != JointFrame
	to, length := t.to, t.length
	t.bent, t.twitch, t.shorter = kinematics.Joints{}, false, 0.5
	near := a.q
	if a.s == 0 {
		near = a.path.leaning(near)
	}
	if a.last > 0 && !t.fromHere {
		// Where two ways to stand cross, the one that goes on straight is the right one, and not the nearer one.
		from := a.steady
		if from.s == 0 { // none yet
			from = steady{a.s, a.q, a.slope}
		}
		for i := range near {
			near[i] = from.q[i] + from.slope[i]*(to-from.s)
		}
	}
	var q kinematics.Joints
	var found bool
	if a.path.known != nil {
		near = a.path.passed(to)
		q, found = a.path.jointsNear(a.setup.Arm, to, &near, &near)
	} else {
		q, found = a.path.jointsAt(a.setup.Arm, to, &near)
	}
	if !found {
		a.bad, a.why, a.over = to, tooFar, 0
		return false
	}
	if a.s == 0 && a.path.known == nil && a.beyond(&q) {
		// Where two ways to stand meet, as where an elbow is straight, the other one may be within the limits.
		other := a.q
		for i := range other {
			other[i] += other[i] - q[i]
		}
		other, found = a.path.jointsAt(a.setup.Arm, to, &other)
		if found && !a.beyond(&other) && farthestTurn(&other, &a.q) < 2*farthestTurn(&q, &a.q) {
			q = other
		}
	}
	which, over := a.path.onLimits(a.setup, to, &q, &a.q)
	if which >= 0 {
		a.bad, a.why, a.which, a.over = to, atLimit, which, over
		if a.s <= passing {
			a.outward = which
		}
		return false
	}
	t.onto = over
	t.q = q
	most, bend, longest, racing := 0.0, 0.0, 0.0, 0 // longest: the time that the racing joint needs
	for i := range q {
		turned := q[i] - a.q[i]
		if a.last > 0 && inFrame {
			t.bent[i] = math.Abs(turned - a.slope[i]*length)
			if a.past {
				t.bent[i] = math.Max(0, t.bent[i]-rounded*(1+length/a.last))
			}
		}
		turned = math.Abs(turned)
		most, bend = math.Max(most, turned), math.Max(bend, t.bent[i])
		turned += t.bent[i] / 2
		if length < a.path.stride()/64 {
			turned -= rounded
		}
		if time := turned / joints[i].Speed; time > longest {
			longest, racing = time, i
		}
	}
	uncertain := a.last == 0 && longest*a.speed > length // it may be quicker further on, and has not been measured yet
	noted := longest                                     // the time that the plan takes down
	if t.skipped = a.skipped + longest; longest < unhurried && t.skipped < 4*unhurried {
		noted = 0
	} else {
		t.skipped = 0
	}
	t.stood = 0
	if longest*slowest*a.speed > length {
		t.stood, noted = a.stood+longest, 0
	}
	dead := t.stood > standstill && a.path.known == nil // the way that was driven leads back too
	paced := a.pace(t, most, bend)
	switch {
	case length <= finest && a.s == 0 && longest <= Tick/2:
		// A twitch at the start, where the arm stands in a singularity with a joint not quite where the path wants it.
		noted, t.stood, t.twitch = 0, 0, true
	case length <= finest:
		if dead || most > mostLeap && a.path.known == nil {
			if a.touches(t) {
				return false
			}
			a.block(tooQuick, length, &q)
			return false
		}
	case !paced, uncertain:
		return false
	case dead && longest > standstill/8:
		return false // it may get on a little
	case dead:
		if a.touches(t) {
			return false
		}
		a.block(tooQuick, length, &q)
		return false
	}
	if inFrame {
		if t.parity = a.parity; a.parity.side != 0 {
			t.parity = a.parity.at(a.setup.Arm, a.setup.Tool.TCP, &q)
			t.sides = t.parity.side
		} else {
			t.sides = sidesOf(a.setup.Arm, a.setup.Tool.TCP, q)
		}
		if length > passing && t.sides.opposite(a.sides) && a.path.known == nil {
			a.cross, a.across = to, t.sides
			return false
		}
	}
	graze := grazing
	switch {
	case length <= finest:
		graze = math.Inf(1)
	case a.past || !math.IsInf(a.cross, 1):
		graze = limitReached // what rounding turns a joint by next to a singularity
	}
	for i := range q {
		// Near a limit the joint may have been beyond it on the way.
		if room := math.Min(joints[i].Max-q[i], q[i]-joints[i].Min); room >= 0 && room < t.bent[i]/2 && t.bent[i] > graze {
			return false
		}
	}
	if a.setup.Scene != nil {
		growth := t.growth
		clear := a.clear(t)
		if !clear || t.growth < growth {
			a.narrow++
		}
		if !clear {
			return false
		}
	}
	if a.plan != nil {
		a.slowFor(t, noted, racing)
	}
	return true
}

// pace notes how many times as long the next stretch may be as this one, on which a joint turns by at most that much and differs by at
// most the bend from how it turned before. It reports false where the stretch is too long, and notes how much shorter one may do.
//
// The bend is in proportion to the length of the stretch and of it and the last together. Over how much of the path it would be as
// much as the turn is the stretch's even; where joints begin to race it gets shorter along the path.
func (a *lookout) pace(t *stretch, most, bend float64) (good bool) {
	turn := a.path.mostTurn()
	good = most <= turn
	t.growth, t.shorter, t.even = mostGrowth, 0.7, math.Inf(1)
	if bend > 0 {
		t.even = (t.length + a.last) / 2 * most / bend
		good = good && (bend <= mostBend*most || most <= straight)
		t.shorter = math.Min(t.shorter, math.Max((2*ample*mostBend*t.even-a.last)/t.length, ample*straight/most))
		next := t.even
		if a.even < math.Inf(1) && next < a.even {
			next = math.Max(next-(a.even-next)*t.length/a.last, next/4)
		}
		t.growth = math.Min(t.growth, math.Min(ample*mostBend*next, 2*ample*mostBend*next-t.length)/t.length)
		t.growth = math.Max(t.growth, math.Min(ample*straight/most, mostGrowth))
	}
	turn = 0.97 * turn / (most + bend)
	t.growth = math.Max(math.Min(t.growth, turn), leastGrowth)
	t.shorter = math.Max(math.Min(t.shorter, turn), leastGrowth)
	return good
}

// octave is 2^(i/8) / 2.
var octave = [8]float64{0.5, 0.5452538663326288, 0.5946035575013605, 0.6484197773255048, 0.7071067811865476, 0.7711054127039704, 0.8408964152537145, 0.9170040432046712}

// stepped returns the factor, or the next smaller one of eight in an octave. So the last digits of joint angles, which count for much in the
// bend of a short stretch, decide no length, and an arm whose display has other zeros moves alike.
func stepped(factor float64) float64 {
	part, exponent := math.Frexp(factor)
	step := len(octave) - 1
	for part < octave[step] && step > 0 {
		step--
	}
	return math.Ldexp(octave[step], exponent)
}

// beyond reports whether a joint is farther beyond a limit than where the lookout is.
func (a *lookout) beyond(q *kinematics.Joints) bool {
	for i := range q {
		j := &a.setup.Arm.Joints[i]
		if q[i] > math.Max(j.Max, a.q[i])+limitTolerance || q[i] < math.Min(j.Min, a.q[i])-limitTolerance {
			return true
		}
	}
	return false
}

// resettle has an arm that can stand in infinitely many ways go on from the way it stands in, where the one nearest to where it
// began would have to leap. It reports whether there is anything to be gained.
func (a *lookout) resettle() bool {
	if a.path.homeCount == 0 || !a.path.settleFrom(a.s, &a.q) {
		return false
	}
	a.bad, a.why, a.over, a.search, a.closed, a.stop = math.Inf(1), goingOn, 0, search{}, false, Stop{}
	a.asking = nil
	a.cross, a.last, a.skipped, a.stood, a.stride = math.Inf(1), 0, 0, 0, a.path.stride()/1024
	return true
}

// touches reports whether the lookout is as near as it need come to the place where something would be too near. Of what is at
// the same place that is told before a singularity.
func (a *lookout) touches(t *stretch) bool {
	return a.setup.Scene != nil && a.why != tooNear && !a.clear(t) && a.why == tooNear && a.atFloor()
}

// clear reports whether the stretch is free of contact all along. It may be where a shorter one has to be looked at.
//
// Nothing is measured where all is so far off that the arm cannot get there on the stretch. Otherwise both ends are looked
// at. Between them the arm's points move by no more than MaxMove, so nothing is touched where the
// distances at the ends, above the floors, are together larger than that. Otherwise: a distance from something convex
// has at any place a second derivative of at most |v|²/ρ along a straight move with the speed v, where ρ is the
// radius of the capsule (it is the distance of a point from a convex body, at least ρ away, less ρ); turning links
// and joints that change speed add the acceleration of their points. So between ends at the distances f and g it
// falls by at most (second derivative)·length²/8 below the smaller of the two.
func (a *lookout) clear(t *stretch) bool {
	f, scene := &a.floors, a.setup.Scene
	var far, twice kinematics.Joints
	for i := range far {
		far[i] = math.Abs(t.q[i]-a.q[i]) + t.bent[i]
		twice[i] = 2 * t.bent[i]
	}
	var move [clearance.MaxGroups]float64
	scene.MaxMoves(&far, &move)
	var near [clearance.MaxGroups]bool // what has to be measured
	measure := f.n > 0
	t.gaps.groups = a.gaps.groups
	for group, gap := range a.gaps.rest[:a.gaps.groups] {
		if near[group] = !(gap-f.rest-move[group] > farOff) || f.rest != f.setDistance; near[group] {
			measure = true
			continue
		}
		t.gaps.rest[group], t.gaps.pair[group], t.gaps.bound[group] = gap-move[group], clearance.NoPair, true
	}
	if !measure {
		return true
	}
	a.setup.Arm.PutLinks(&t.q, &a.links)
	a.bodies.Put(&a.links)
	for group := range a.gaps.groups {
		if near[group] {
			f.measureGroup(a.bodies, group, &t.gaps)
		}
	}
	f.measureNear(a.bodies, &t.gaps)
	b, short := f.shortfall(&t.gaps, t.to)
	if short {
		a.bad, a.why, a.shortfall, a.over = t.to, tooNear, b, b.by
	}
	here := false // whether the bodies are where the stretch begins
	for group := range a.gaps.groups {
		if !near[group] || move[group] == 0 || short && group != b.group {
			continue
		}
		if a.gaps.bound[group] && a.gaps.rest[group]+t.gaps.rest[group]-2*f.rest <= move[group] {
			if !here {
				a.setup.Arm.PutLinks(&a.q, &a.links)
				a.bodies.Put(&a.links)
				here = true
			}
			f.measureGroup(a.bodies, group, &a.gaps)
		}
		deepest := dip(move[group], scene.Turn(group, &far), scene.Slimmest(group), scene.MaxMoveOfGroup(group, &twice))
		if !t.passes(a.gaps.rest[group]-f.rest, t.gaps.rest[group]-f.rest, move[group], deepest) {
			return false
		}
	}
	if short {
		return false
	}
	turn := 0.0
	for _, joint := range far {
		turn += joint
	}
	for i, pair := range f.near[:f.n] {
		move := scene.MaxMoveOf(pair, &far)
		if move == 0 {
			continue
		}
		floor, deepest := f.at(i, t.to), dip(move, turn, scene.Slim(pair), scene.MaxMoveOf(pair, &twice))
		if !t.passes(a.gaps.near[i]-floor, t.gaps.near[i]-floor, move, deepest) || floor < f.setDistance && !f.back && !t.stays(2*f.setDistance-a.gaps.near[i]-t.gaps.near[i], move) {
			return false
		}
	}
	return true
}

// stays reports whether a pair with a floor of its own cannot get clear and come near again on a stretch, unseen, at whose ends it is
// nearer than the set distance by so much together.
func (t *stretch) stays(nearer, move float64) bool {
	if nearer > 0 && nearer <= move && move > clearing {
		t.shorter = math.Max(math.Min(math.Max(nearer, clearing)/move, 0.5), 1./16)
		return false
	}
	t.growth = math.Min(t.growth, math.Max(ample*math.Max(nearer, clearing)/move, leastGrowth))
	return true
}

// passes reports whether a distance cannot fall below its floor on a stretch at whose ends it is so much above it, and at most so
// much below the smaller of the two in between. It says how much longer the next one may be, or how much shorter one has to be.
func (t *stretch) passes(here, there, move, deepest float64) bool {
	closing := math.Max(here-there, 0)
	// until returns how many times as long it may be before a distance that falls like that is less than what it can dip by.
	until := func(from float64) float64 {
		times := math.Sqrt(unseen / deepest)
		if from > 0 {
			times = math.Max(times, 2*from/(closing+math.Sqrt(closing*closing+4*deepest*from)))
		}
		return times
	}
	if there < 0 || here+there <= move && deepest > math.Max(math.Min(here, there), unseen) {
		t.shorter = math.Max(0.95*until(here), 1./16)
		return false
	}
	growth := 2 * there / (move + closing)
	if ample*growth < t.growth {
		growth = math.Max(growth, until(there))
	}
	t.growth = math.Min(t.growth, math.Max(ample*growth, 1))
	return true
}

// dip returns by how much a distance falls at most below the smaller of those at the ends of a stretch, on which the
// capsule of that radius moves by at most move, mm, the links turn by turn, rad, and speeding up adds bend, mm.
func dip(move, turn, radius, bend float64) float64 {
	return (move*move/radius + 2*turn*move + bend) / 8
}

// accept moves the lookout to the end of the stretch.
func (a *lookout) accept(t *stretch) {
	a.before.slope, a.before.length = a.slope, a.last
	a.last, a.even, a.onto, a.skipped, a.stood = t.length, t.even, t.onto, t.skipped, t.stood
	if t.twitch {
		a.last = 0
	}
	for i := range t.q {
		a.slope[i] = (t.q[i] - a.q[i]) / t.length
	}
	a.q, a.s, a.sides, a.parity = t.q, t.to, t.sides, t.parity
	if a.plan != nil {
		a.plan.pass(a.s, &a.q)
	}
	if a.setup.Scene != nil {
		a.gaps.take(&t.gaps, a.floors.n)
		a.floors.passed(&a.gaps, a.s)
		a.watch()
	}
}

// slowFor notes how slow the path speed must be on the stretch. The time is what its quickest joint needs.
func (a *lookout) slowFor(t *stretch, time float64, joint int) {
	n := slow{from: a.s, to: t.to, speed: withinSpeed * t.length / time, by: joint}
	if short := a.path.stride() / 64; a.last > short && t.length > short {
		// Where the path bends the joints, at this speed they need no more than their acceleration.
		apart := (t.length + a.last) / 2
		for i := range t.bent {
			j := &a.setup.Arm.Joints[i]
			if bend := t.bent[i] / t.length / apart; j.Accel > 0 && n.speed*n.speed*bend > j.Accel {
				n.speed, n.by = math.Sqrt(j.Accel/bend), i
			}
		}
	}
	if a.path.jog.Frame == JointFrame && a.path.jog.Several() {
		far := farthestMove(a.setup, &a.q, &t.q)
		if speed := withinReduced * ReducedSpeed * t.length / far; speed < n.speed {
			n.speed, n.by = speed, Ceiling
		}
	}
	if n.speed < a.speed {
		a.plan.slowDown(n)
	}
}

// farthestMove returns how far the TCP or the flange goes from p to q, mm, whichever goes farther.
func farthestMove(setup *Setup, p, q *kinematics.Joints) float64 {
	from, to := setup.Arm.Forward(*p), setup.Arm.Forward(*q)
	flange := r3.Norm(r3.Sub(to.Position, from.Position))
	tcp := setup.Tool.TCP.Position
	return math.Max(flange, r3.Norm(r3.Sub(to.Apply(tcp), from.Apply(tcp))))
}

// block closes the path where the lookout is, as soon as it is known why. Length is of the stretch beyond that was tried, q where it led
// if it led anywhere.
func (a *lookout) block(why block, length float64, q *kinematics.Joints) {
	a.closed, a.stop, a.asking = false, Stop{}, nil
	if why == unknown {
		a.closed, a.stop = true, Stop{Reason: Uncomputed}
		return
	}
	if why = a.first(why); why == atLimit || why == tooNear {
		a.closed, a.stop = true, a.explain(why)
		return
	}
	a.asking = a.newExplanation(length, q)
}

// blocked reports whether the path is blocked where the lookout is, by whatever.
func (a *lookout) blocked() bool { return a.closed || a.asking != nil }

// ask goes on asking what blocks the path, as long as the path has taken no more than so many steps of iteration in all. It reports
// whether that is still not known.
func (a *lookout) ask(steps int) (goesOn bool) {
	for a.path.steps <= steps {
		took, done := a.asking.step(a.asking, a)
		a.path.steps += took
		a.looks += 1 + took/stepsPerLook
		if done {
			a.closed, a.stop, a.asking = true, a.asking.stop, nil
			return false
		}
	}
	return true
}

// stepsPerLook is how many steps of iteration take about as long as looking at a stretch.
const stepsPerLook = 8

// first returns which of the reasons at this place is told: a joint that has come to its limit, then
// contact or set distance, then what it is given.
func (a *lookout) first(why block) block {
	if why == atLimit {
		return why
	}
	for i := range a.q {
		j := &a.setup.Arm.Joints[i]
		came := a.q[i] - a.start[i]
		if (a.slope[i] > leaving || came > limitReached && a.slope[i] > -leaving) && math.Abs(j.Max-a.q[i]) <= limitReached ||
			(a.slope[i] < -leaving || came < -limitReached && a.slope[i] < leaving) && math.Abs(a.q[i]-j.Min) <= limitReached {
			a.which = i
			return atLimit
		}
	}
	if a.s <= passing && why == tooNear && a.outward >= 0 { // on shorter stretches it was set back on its limit
		if j := &a.setup.Arm.Joints[a.outward]; math.Min(j.Max-a.q[a.outward], a.q[a.outward]-j.Min) <= limitReached {
			a.which = a.outward
			return atLimit
		}
	}
	if why == tooNear || a.setup.Scene == nil {
		return why
	}
	a.setup.Arm.PutLinks(&a.q, &a.links)
	a.bodies.Put(&a.links)
	for group := range a.gaps.groups {
		a.floors.measureGroup(a.bodies, group, &a.gaps)
		if a.gaps.rest[group]-a.floors.rest < contactReached {
			a.shortfall = shortfall{pair: a.gaps.pair[group], floor: a.floors.rest, near: -1, group: group}
			return tooNear
		}
	}
	return why
}
