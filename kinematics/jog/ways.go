package jog

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
)

// Way is a sequence of jogs from where an arm stands, run by the motion code, and what it costs.
type Way struct {
	Jogs  []Jog
	Poses []kinematics.Joints // where the arm passes: at most posesKept, evenly in time from where it stands, and the last
	Every int                 // ticks from one pose to the next; the last may come sooner
	Cost
	Stop Stop // how the last jog ended
}

// posesKept is how many poses of a way are kept at most.
const posesKept = 320

// Done reports whether every jog was completed.
func (w *Way) Done() bool { return len(w.Jogs) == 0 || w.Stop.Reason == Done }

// Speeds are what the jogs of a way are driven at.
type Speeds struct {
	Straight float64 // mm/s
	Turn     float64 // rad/s, of turns about the TCP and of single joints
}

func (s Speeds) of(d Direction) float64 {
	if d.Straight() {
		return s.Straight
	}
	return s.Turn
}

// Step returns the jog by a signed amount, mm or rad, along or about the axis of d, whose Sign it sets.
func (s Speeds) Step(d Direction, amount float64) Jog {
	d.Sign = 1
	if amount < 0 {
		d.Sign, amount = -1, -amount
	}
	return Jog{Direction: d, Amount: amount, Speed: s.of(d)}
}

// trial drives jogs one after the other on a copy of the arm, a tick at a time, up to the first that cannot be completed.
type trial struct {
	run  *Drive
	left []Jog
	way  Way
}

func newTrial(from *Drive, jogs []Jog) *trial {
	t := &trial{run: from.Copy(), left: jogs, way: Way{Every: 1, Poses: []kinematics.Joints{from.q}}}
	t.way.Cost = t.run.NewCost()
	return t
}

// tick makes a tick, and reports whether there is more to be driven.
func (t *trial) tick() bool {
	w := &t.way
	if t.run.motion == nil {
		if len(t.left) == 0 {
			return false
		}
		next := t.left[0]
		t.left = t.left[1:]
		w.Jogs = append(w.Jogs, next)
		if err := t.run.Start(next); err != nil {
			w.Stop, t.left = Stop{Reason: OutOfReach, Jog: next}, nil
			return false
		}
	}
	t.run.Tick()
	w.Cost.Add(t.run)
	if t.run.motion == nil {
		if w.Stop = t.run.stop; w.Stop.Reason != Done {
			t.left = nil
		}
	}
	more := t.run.motion != nil || len(t.left) > 0
	if w.Ticks%w.Every == 0 || !more {
		t.keep()
	}
	return more
}

// keep takes down a pose. Where there are too many, every other is given up.
func (t *trial) keep() {
	w := &t.way
	if len(w.Poses) == posesKept {
		for i := range posesKept / 2 {
			w.Poses[i] = w.Poses[2*i]
		}
		w.Poses = w.Poses[:posesKept/2]
		w.Every *= 2
	}
	w.Poses = append(w.Poses, t.run.q)
}

const (
	// mostTries is how many jogs are looked along in search of one way.
	mostTries = 2000
	// mostDriven is how many ticks are driven at most to see whether what was found holds: 4000 s.
	mostDriven = 1_000_000
	// negligible is how little, in mm or rad, is left over as no jog of its own.
	negligible = 1e-9
)

// WaySearch looks for the shortest way to a place, fewest jogs first, then least time, a piece of work at a time. It looks
// along the jogs' paths, which takes no time for the motion, and drives what it has found on a copy of the arm before that counts.
type WaySearch struct {
	start       *Drive // stands where the search begins
	itineraries []itinerary

	at       int      // the itinerary that is searched
	branches []branch // what is open of it, from the first jog on
	farthest []Jog    // its longest attempt, with the jog that could not be completed
	simplest []Jog    // that of the first, whose trouble is told where none works out
	tries    int
	driven   int

	path    path
	ahead   lookout
	looking bool // along the path of the jog that is tried

	trial *trial // of a way that was found, or, where none was, of the simplest; nil for none
	told  bool   // it is the latter
	way   Way
	found bool
	done  bool
}

// branch is a place that a part of an itinerary has led to.
type branch struct {
	q    kinematics.Joints
	via  []Jog // the jogs that led there
	left []Jog // those that are still to be made,
	free int   // of which the first so many may come in any order
	next int   // which of them is tried next
}

// JointWay begins to look for the shortest way to the target by single joints. Where no order of them gets there, the way is
// the attempt with the fewest jogs that got farthest; it has no jog where no joint angles within the limits put the TCP there.
func (d *Drive) JointWay(target kinematics.Pose, speeds Speeds) *WaySearch {
	var all []itinerary
	for _, end := range d.Ends(target) {
		var p itinerary
		for i := range end {
			if turn := end[i] - d.q[i]; math.Abs(turn) > negligible {
				p.add(Direction{Frame: JointFrame, Axis: i}, turn, speeds)
			}
		}
		all = append(all, p)
	}
	return d.searchWay(all)
}

// Ends returns the joint angles within the limits that put the TCP there, in every posture and with every number of turns.
func (d *Drive) Ends(target kinematics.Pose) (ends []kinematics.Joints) {
	var store [16]kinematics.Solution
	for _, s := range d.setup.Arm.Inverse(store[:0], target.Mul(d.setup.Tool.TCP.Inverse()), d.q) {
		ends = d.setup.Arm.Turns(ends, s.Joints)
	}
	return ends
}

// StraightWay begins to look for the shortest way to the target by jogs straight along and about the base frame's axes. Where
// no order of them gets there, the way is the attempt with the fewest jogs that got farthest.
func (d *Drive) StraightWay(target kinematics.Pose, speeds Speeds) *WaySearch {
	from := d.TCP()
	move := r3.Sub(target.Position, from.Position)
	turn := target.Rotation.Mul(from.Rotation.Transpose())
	var all []itinerary
	for _, turns := range turnsAboutAxes(turn) {
		var p itinerary
		for axis, mm := range [3]float64{move.X, move.Y, move.Z} {
			if math.Abs(mm) > negligible {
				p.add(Direction{Frame: BaseFrame, Axis: axis}, mm, speeds)
			}
		}
		p.free = len(p.jogs)
		for _, t := range turns {
			if math.Abs(t.angle) > negligible {
				p.add(Direction{Frame: BaseFrame, Axis: 3 + t.axis}, t.angle, speeds)
			}
		}
		all = append(all, p)
	}
	return d.searchWay(all)
}

// itinerary is a set of jogs whose order is open: the first so many in any order, the others in theirs.
type itinerary struct {
	jogs    []Jog
	free    int
	seconds float64
}

func (p *itinerary) add(d Direction, amount float64, speeds Speeds) {
	step := speeds.Step(d, amount)
	p.jogs = append(p.jogs, step)
	p.seconds += step.Amount / step.Speed
	if d.Frame == JointFrame {
		p.free = len(p.jogs)
	}
}

// searchWay begins to look for the first of the itineraries, the shortest first, that gets to its end in some order.
func (d *Drive) searchWay(all []itinerary) *WaySearch {
	slices.SortStableFunc(all, func(a, b itinerary) int {
		if n := len(a.jogs) - len(b.jogs); n != 0 {
			return n
		}
		return cmp.Compare(a.seconds, b.seconds)
	})
	s := &WaySearch{start: d.Standing(), itineraries: all, at: -1}
	s.turnTo(0)
	return s
}

// turnTo begins with another itinerary; where there is none left, it tells the trouble with the simplest.
func (s *WaySearch) turnTo(at int) {
	if s.at == 0 {
		s.simplest = s.farthest
	}
	if s.at = at; at == len(s.itineraries) || s.tries >= mostTries {
		s.told, s.trial = true, newTrial(s.start, s.simplest)
		return
	}
	p := s.itineraries[at]
	s.branches = append(s.branches[:0], branch{q: s.start.q, left: p.jogs, free: p.free})
}

// Advance does so many pieces of work more, a piece being to look at a stretch of a path or to drive a tick, or a few dozen
// beyond that, and reports whether the search is over.
func (s *WaySearch) Advance(pieces int) (done bool) {
	for ; pieces > 0 && !s.done; pieces-- {
		switch {
		case s.trial != nil:
			s.drive()
		case s.looking:
			before := s.ahead.looks
			if !s.ahead.look() || s.ahead.blocked() {
				s.looking = false
				s.arrive()
			}
			pieces -= s.ahead.looks - before
		default:
			s.tryNext()
		}
	}
	return s.done
}

// Way returns what was found, once Advance has reported that the search is over, and whether it gets there.
func (s *WaySearch) Way() (w Way, found bool) { return s.way, s.found }

// drive drives a tick of the trial.
func (s *WaySearch) drive() {
	if s.driven++; s.trial.tick() && s.driven < mostDriven {
		return
	}
	w := s.trial.way
	if s.driven >= mostDriven && s.trial.run.motion != nil {
		w.Stop = Stop{Reason: Released, Jog: s.trial.run.jog, Travel: s.trial.run.now.s}
	}
	s.trial = nil
	// Looking along the path takes no time, and so has not seen all: a way counts when it has been driven.
	if s.told || s.driven >= mostDriven || w.Done() {
		s.way, s.found, s.done = w, !s.told && w.Done(), true
	}
}

// tryNext begins to look along the next jog that is to be tried.
func (s *WaySearch) tryNext() {
	top := len(s.branches) - 1
	if top < 0 {
		s.turnTo(s.at + 1)
		return
	}
	b := &s.branches[top]
	switch {
	case len(b.left) == 0:
		s.trial = newTrial(s.start, b.via)
		s.branches = s.branches[:top]
		return
	case b.next == len(b.left) || b.next > b.free: // only the first of those that have an order can be next
		s.branches = s.branches[:top]
		return
	case s.tries == mostTries:
		s.branches = s.branches[:0]
		return
	}
	s.tries++
	p, err := newPath(s.start.setup, b.q, b.left[b.next])
	if err != nil {
		b.next++ // not reached: they are of frames that every arm has
		return
	}
	l, _ := p.limits(s.start.setup)
	s.path = p
	s.ahead.stand(s.start.setup, &b.q)
	s.ahead.begin(&s.path, l.speed)
	s.looking = true
}

// arrive goes on from where the path that was looked along ends, if nothing on it ends the jog earlier.
func (s *WaySearch) arrive() {
	b := &s.branches[len(s.branches)-1]
	i := b.next
	b.next++
	via := append(slices.Clone(b.via), b.left[i])
	if s.ahead.blocked() {
		if len(via) > len(s.farthest) {
			s.farthest = via
		}
		return
	}
	free := b.free
	if i < free {
		free--
	}
	s.branches = append(s.branches, branch{q: s.ahead.q, via: via, left: slices.Delete(slices.Clone(b.left), i, i+1), free: free})
}

// axisTurn is a turn about an axis of the base frame.
type axisTurn struct {
	axis  int
	angle float64
}

// turnsAboutAxes returns the ways to make a turn by three turns about the fixed X, Y and Z axes, each once: the six
// orders, each with its two solutions (Craig, Introduction to Robotics, appendix B, lists the 24 conventions; these
// are the fixed ones with three different axes). Those that need fewer turns have zeros.
func turnsAboutAxes(turn kinematics.Rotation) [][3]axisTurn {
	var ways [][3]axisTurn
	for first := range 3 {
		for _, step := range [2]int{1, 2} {
			second := (first + step) % 3
			third := (second + step) % 3
			sign := float64(3 - 2*step) // the order is cyclic or not
			// turn = T3(c)·T2(b)·T1(a): the first axis, turned, has the third axis' component −sign·sin b.
			m := turn.Matrix()
			sin := -sign * m[third][first]
			cos := math.Hypot(m[third][second], m[third][third])
			for _, branch := range [2]float64{1, -1} {
				cos := branch * cos
				b := math.Atan2(sin, cos)
				var a, c float64
				if math.Abs(cos) < negligible {
					// The first and third axis coincide: the first does it all.
					a = math.Atan2(-sign*m[second][third], m[second][second])
				} else {
					a = math.Atan2(sign*branch*m[third][second], branch*m[third][third])
					c = math.Atan2(sign*branch*m[second][first], branch*m[first][first])
				}
				ways = append(ways, [3]axisTurn{{first, a}, {second, b}, {third, c}})
			}
		}
	}
	return ways
}
