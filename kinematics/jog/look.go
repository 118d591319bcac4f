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

	// passing is the shortest stretch, mm or rad, in which a singularity is looked for. A path that leads
	// through one without a joint racing passes it within this.
	passing = 1e-6

	mostTurn = 0.05 // rad that a joint may turn in one stride of a path that it has to follow
	mostBend = 0.2  // part by which the joints' motion in a stride may differ from that in the stride before

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

	// mostLooks is after how many stretches it has to have got on by one first stride at least. Where it has not, the joints are too
	// uncertain to be followed, and the arm stops.
	mostLooks = 1000

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

// lookout is how far a path has been looked along, ahead of the arm, and what was found there. It is a value that goes on
// where it was left; a path may be looked along without an arm that moves.
type lookout struct {
	setup *Setup
	path  *path
	speed float64 // the highest along the path: the chosen one, or less where something holds it down all the way
	plan  *plan   // takes down what a motion needs to know of the path; nil where only its end is wanted

	s      float64           // the place it has got to
	q      kinematics.Joints // joint angles there
	slope  kinematics.Joints // rad per unit of the path on the last stretch
	last   float64           // the length of that stretch, 0 before the first
	steady steady
	sides  sides   // of the singularities
	stride float64 // the length of the next stretch
	looks  int     // how many stretches were looked at
	marked int     // how many there were when it was last seen that it gets on,
	mark   float64 // and the place then

	bad     float64 // the nearest place known that cannot be gone to; +Inf while there is none
	why     block   // what is there
	which   int     // the joint at its limit
	over    float64 // how far that is beyond its limit there, rad, or a distance below its floor, mm; 0 where there is no such number
	search  search  // for the place between s and bad where that begins
	cross   float64 // a place on the other side of a singularity; +Inf while none is known
	across  sides   // there
	skipped float64 // as in stretch
	stood   float64 // likewise
	past    bool    // a singularity has just been passed

	closed bool // the path is blocked at s
	stop   Stop // by what

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
	gaps       gaps    // at its end
	skipped    float64 // s, that joints need for this stretch and those before it that were too short to tell their speed
	stood      float64 // s, that joints need for this stretch and those just before it on which the arm is slower than slowest
	growth     float64 // a stretch so many times as long would do as well
	shorter    float64 // of one that will not do: one so many times as long may
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
	a.s, a.q, a.slope, a.last, a.steady = 0, a.start, kinematics.Joints{}, 0, steady{}
	// The first stretch is short, because nothing is known yet of how the joints will move.
	a.stride = p.stride() / 1024
	a.bad, a.why, a.over, a.search = math.Inf(1), goingOn, 0, search{}
	a.cross, a.past, a.skipped, a.stood = math.Inf(1), false, 0, 0
	a.marked, a.mark = a.looks, 0
	a.closed, a.stop = false, Stop{}
	if p.jog.Frame != JointFrame {
		a.sides = sidesOf(a.setup.Arm, a.setup.Tool.TCP, a.q)
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

// margin returns how far it still is from the lookout to what is wrong at bad: of a joint to its limit, rad, or of a
// distance to its floor, mm.
func (a *lookout) margin() float64 {
	switch {
	case a.why == atLimit:
		j := &a.setup.Arm.Joints[a.which]
		return math.Min(j.Max-a.q[a.which], a.q[a.which]-j.Min)
	case a.shortfall.near >= 0:
		return a.gaps.near[a.shortfall.near] - a.shortfall.floor
	}
	return a.gaps.rest[a.shortfall.link] - a.floors.rest
}

// search looks for the place where something begins to be wrong.
type search struct {
	within float64 // the place was known to lie within so much when it was last halved
	tries  int     // since then
}

// mostSecants is how often the place is looked for by the secant while what it lies within is not halved.
const mostSecants = 3

// towardsBad returns the length of the next stretch where it is known that the place that cannot be gone to is no farther off
// than that. As a rule it is found by the secant method, on the near side of the place; where that does not
// get on, or there is no number to go by, by halving (Press et al., Numerical Recipes, ch. 9).
func (a *lookout) towardsBad(known float64) float64 {
	if known <= a.search.within/2 || a.search.within == 0 {
		a.search = search{within: known}
	}
	a.search.tries++
	margin := 0.0
	if a.why == atLimit || a.why == tooNear && !a.shortfall.low {
		margin = a.margin()
	}
	if !(margin > 0 && a.over > 0) || a.search.tries > mostSecants {
		a.search = search{within: known / 2}
		return known / 2
	}
	if a.why == tooNear {
		return math.Max(known*(margin-contactReached/2)/(margin+a.over), resolution/4)
	}
	place := known * margin / (margin + a.over)
	if place <= resolution/2 {
		return 0.9 * resolution // beyond it, so that it is shut in
	}
	return place - resolution/4
}

// look goes one stretch further along the path. It reports whether there is more to be looked along.
func (a *lookout) look() bool {
	rest := a.path.jog.Amount - a.s
	if a.closed || rest <= 0 || a.plan != nil && a.plan.full() {
		return false
	}
	var t stretch
	length := math.Min(a.stride, rest)
	for {
		if a.looks-a.marked >= mostLooks {
			if a.s-a.mark < a.path.stride() {
				a.block(tooQuick, length, nil)
				return false
			}
			a.marked, a.mark = a.looks, a.s
		}
		if a.bad-a.s < resolution || a.why == tooNear && a.atFloor() {
			why := a.why
			if why == atLimit && a.margin() > limitReached {
				why = tooQuick // only a leap would take the joint there
			}
			if why != tooNear && why != atLimit && a.resettle() {
				return true
			}
			a.block(why, length, nil)
			return false
		}
		cross := a.cross
		if cross-a.s <= passing {
			length = math.Min(length, cross-a.s)
			cross = math.Inf(1) // it may be gone to now
		}
		if known := math.Min(a.bad, cross) - a.s; length > 0.75*known {
			if a.bad <= cross {
				length = a.towardsBad(known)
			} else {
				length = known / 2
			}
		}
		t.to, t.length = a.s+length, length
		if length == rest {
			t.to = a.path.jog.Amount
		}
		a.looks++
		good := a.try(&t)
		if a.closed {
			return a.stop.Reason == Singularity && a.resettle()
		}
		if !good {
			if t.to != math.Min(a.bad, a.cross) || t.to == a.cross && length <= passing { // of those the next length is found above
				length *= t.shorter
			}
			continue
		}
		if a.s == 0 && a.why == atLimit {
			// It may have been the other one of two ways to stand that meet here which led beyond a limit.
			a.bad, a.why, a.over, a.search = math.Inf(1), goingOn, 0, search{}
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
		case length < a.stride:
			a.stride = length
		default:
			a.stride = math.Min(t.growth*length, a.path.widest())
		}
		return true
	}
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
	if a.last > 0 {
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
	if which, over := a.path.onLimits(a.setup, to, &q, &a.q); which >= 0 {
		a.bad, a.why, a.which, a.over = to, atLimit, which, over
		return false
	}
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
	allowed, turn := mostBend, a.path.mostTurn()
	uncertain := a.last == 0 && longest*a.speed > length // it may be quicker further on, and has not been measured yet
	noted := longest                                     // the time that the plan takes down
	if t.skipped = a.skipped + longest; longest < unhurried && t.skipped < 4*unhurried {
		noted = 0
	} else {
		t.skipped = 0
	}
	hurried := noted*a.speed > length // the chosen speed is too quick for a joint
	if hurried {
		allowed /= 2
	}
	t.stood = 0
	if longest*slowest*a.speed > length {
		t.stood, noted = a.stood+longest, 0
	}
	dead := t.stood > standstill && a.path.known == nil // the way that was driven leads back too
	t.growth = 1
	for _, growth := range [2]float64{4, 2} {
		// Of the next stretch the bend is by so much the larger, because it is in proportion to the lengths of it and of the last.
		if growth*most < turn && (1+growth)*bend <= allowed*most {
			t.growth = growth
			break
		}
	}
	switch {
	case length <= finest && a.s == 0 && longest <= Tick/2:
		// A twitch at the start, where the arm stands in a singularity with a joint not quite where the path wants it.
		noted, t.stood, t.twitch = 0, 0, true
	case length <= finest:
		if dead || most > mostTurn/10 && a.path.known == nil {
			if a.touches(t) {
				return false
			}
			a.block(tooQuick, length, &q)
			return false
		}
	case most > turn, bend > allowed*most && most > 1e-4, uncertain:
		t.shorter = math.Min(math.Max(turn/most, 1./16), 0.5)
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
		t.sides = sidesOf(a.setup.Arm, a.setup.Tool.TCP, q)
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
	if a.setup.Scene != nil && !a.clear(t) {
		return false
	}
	if a.plan != nil {
		a.slowFor(t, noted, racing)
	}
	return true
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
	var move, bend [7]float64
	scene.MaxMoves(&far, &move)
	var near [7]bool // what has to be measured
	measure := f.n > 0
	for link, gap := range a.gaps.rest {
		room := gap - f.rest
		if near[link] = !(room > 2*move[link] && room-move[link] > farOff) || f.rest != f.setDistance; near[link] {
			measure = true
			continue
		}
		t.gaps.rest[link], t.gaps.pair[link], t.gaps.atLeast[link] = gap-move[link], clearance.NoPair, true
	}
	if !measure {
		return true
	}
	a.setup.Arm.PutLinks(&t.q, &a.links)
	a.bodies.Put(&a.links)
	for link := range near {
		if near[link] {
			f.measureLink(a.bodies, link, &t.gaps)
		}
	}
	f.measureNear(a.bodies, &t.gaps)
	if b, short := f.shortfall(&t.gaps, t.to); short {
		a.bad, a.why, a.shortfall, a.over = t.to, tooNear, b, b.by
		return false
	}
	scene.MaxMoves(&twice, &bend)
	turn, here := 0.0, false // whether the bodies are where the stretch begins
	for link := range near {
		if link > 0 {
			turn += far[link-1]
		}
		if !near[link] {
			continue
		}
		if a.gaps.atLeast[link] && a.gaps.rest[link]+t.gaps.rest[link]-2*f.rest <= 3*move[link] {
			if !here {
				a.setup.Arm.PutLinks(&a.q, &a.links)
				a.bodies.Put(&a.links)
				here = true
			}
			f.measureLink(a.bodies, link, &a.gaps)
		}
		if !t.passes(a.gaps.rest[link]-f.rest, t.gaps.rest[link]-f.rest, move[link], turn, scene.Slimmest(link), bend[link]) {
			return false
		}
	}
	for i, pair := range f.near[:f.n] {
		move, slim := scene.MaxMoveOf(pair, &far), scene.Slim(pair)
		floor := f.at(i, t.to)
		if !t.passes(a.gaps.near[i]-floor, t.gaps.near[i]-floor, move, turn, slim, scene.MaxMoveOf(pair, &twice)) {
			return false
		}
	}
	return true
}

// passes reports whether a distance cannot fall below its floor on a stretch at whose ends it is so much above it, and says
// how much longer the next one may be.
func (t *stretch) passes(here, there, move, turn, radius, bend float64) bool {
	if here+there <= move {
		if deepest := dip(move, turn, radius, bend); deepest > unseen && math.Min(here, there) <= deepest {
			return false
		}
	}
	for t.growth > 1 && here+there <= (2*t.growth-1)*move && t.growth*move >= math.Sqrt(8*radius*unseen) {
		t.growth /= 2
	}
	return true
}

// dip returns by how much a distance falls at most below the smaller of those at the ends of a stretch, on which the
// capsule of that radius moves by at most move, mm, the links turn by turn, rad, and speeding up adds bend, mm.
func dip(move, turn, radius, bend float64) float64 {
	return (move*move/radius + 2*turn*move + bend) / 8
}

// accept moves the lookout to the end of the stretch.
func (a *lookout) accept(t *stretch) {
	a.last, a.skipped, a.stood = t.length, t.skipped, t.stood
	if t.twitch {
		a.last = 0
	}
	for i := range t.q {
		a.slope[i] = (t.q[i] - a.q[i]) / t.length
	}
	a.q, a.s, a.sides = t.q, t.to, t.sides
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

// block closes the path where the lookout is. Length is of the stretch beyond that was tried, q where it led if it led
// anywhere.
func (a *lookout) block(why block, length float64, q *kinematics.Joints) {
	a.closed, a.stop = true, a.explain(a.first(why), length, q)
}

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
	if why == tooNear || a.setup.Scene == nil {
		return why
	}
	a.setup.Arm.PutLinks(&a.q, &a.links)
	a.bodies.Put(&a.links)
	for link := range a.gaps.rest {
		a.floors.measureLink(a.bodies, link, &a.gaps)
		if a.gaps.rest[link]-a.floors.rest < contactReached {
			a.shortfall = shortfall{pair: a.gaps.pair[link], floor: a.floors.rest, near: -1, link: link}
			return tooNear
		}
	}
	return why
}
