package kinematics

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// search finds all solutions of six joints of any geometry, of which there are at most sixteen (Primrose, Mechanism and
// Machine Theory 21(6), 1986; Lee and Liang, ibid. 23(3), 1988) or infinitely many.
//
// What is guaranteed: in exact arithmetic the polynomial of the elimination has every solution among its zeros, unless
// it vanishes everywhere. All its zeros on the unit circle or near it are found, each is completed to six joint angles
// and refined on the arm, and only what then puts the flange in its place counts, so a wrong solution is impossible. Where
// rounding leaves no doubt which zeros are on the circle, and each of them is a solution, there are no others [TestSharpCandidatesAreAll].
// Elsewhere a right one can be missed only where rounding hides it from all six eliminations, one for each joint as the first, and then
// only together with another, or where 256 more starts do not lead to it. Two
// solutions nearer to each other than sameStand are given as one. Of infinitely many, those nearest to the arm's
// joints are given.
type search struct {
	arm  *Arm
	ring ring // the arm's axes, lengths as parts of the arm's length, angles from the measured pose; the goal is not set
}

func newSearch(a *Arm) *search {
	s := &search{arm: a}
	for i, j := range a.Joints {
		s.ring.joints[i] = Joint{At: r3.Scale(1/a.length, j.At), Axis: j.Axis}
	}
	return s
}

func (*search) name() string { return "search: elimination to a polynomial of degree sixteen, refined" }

// sameStand is the largest joint difference in rad up to which two solutions are taken for the same.
const sameStand = 1e-6

// onTheWay is the largest joint difference in rad up to which a start is taken to lead to a solution that is known
// already.
const onTheWay = 1e-5

func (s *search) solve(dst []Solution, flange Pose, near Joints) []Solution {
	h := s.hunt(dst, flange, near)
	for more := true; more; {
		_, more = h.next()
	}
	return h.found
}

// hunt is a search under way.
type hunt struct {
	search *search
	flange Pose
	near   Joints
	ring   ring
	work   work
	found  []Solution // from is where those of this search begin
	from   int

	begun      bool
	first      int // the joint that is the first of the next elimination
	candidates [mostCandidates]Joints
	n, at      int  // how many there are of the last one, and which is next
	sharp      bool // whether they are
	missing    int  // how many places a missing solution was sought from
	countable  bool
	of         int // how many solutions there were when that was found out
}

// hunt begins to search, and to append to dst.
func (s *search) hunt(dst []Solution, flange Pose, near Joints) *hunt {
	h := &hunt{search: s, flange: flange, near: near, ring: s.ring, found: dst, from: len(dst), of: -1}
	h.work = work{steps: mostSteps, trail: &trail{}}
	h.ring.goal = flange.Mul(s.arm.Flange.Inverse())
	h.ring.goal.Position = r3.Scale(1/s.arm.length, h.ring.goal.Position)
	return h
}

// eliminationSteps is how many steps of iteration take about as long as one elimination.
const eliminationSteps = 120

// next makes one elimination, or goes out from one start. It returns how long that took, in steps of iteration, and reports whether
// there is more to be done.
func (h *hunt) next() (steps int, more bool) {
	s, before := h.search, h.work.steps
	switch {
	case !h.begun:
		h.begun = true
		h.seek(&h.near)
	case h.at < h.n:
		start := &h.candidates[h.at]
		h.at++
		if h.first == 1 || !known(h.found[h.from:], start, onTheWay) {
			h.seek(start)
		}
	case h.first < 6:
		if h.sharp && h.isAll() {
			return 0, false
		}
		turned := h.ring.startingAt(h.first)
		h.at = 0
		h.n, h.sharp = turned.candidates(&h.candidates)
		for i := range h.candidates[:h.n] {
			c := h.candidates[i]
			for k := range c { // the ring counts from the measured pose
				joint := (h.first + k) % 6
				h.candidates[i][joint] = c[k] + s.arm.Joints[joint].Measured
			}
		}
		h.first++
		return eliminationSteps, true
	default:
		// Solutions that are not at a singularity are even in number, as the zeros of a polynomial with real coefficients. An odd
		// one says that one is missing, or that two have met.
		if h.missing == missingStarts || (len(h.found)-h.from)%2 == 0 {
			return 0, false
		}
		if len(h.found) != h.of {
			h.countable, h.of = s.countable(h.found[h.from:]), len(h.found)
		}
		if !h.countable {
			return 0, false
		}
		h.missing++
		start := spreadFrom(h.near, h.missing)
		h.seek(&start)
	}
	return before - h.work.steps, true
}

// isAll reports whether the solutions that were found are those of sharp candidates, one for one. Then there are no others.
func (h *hunt) isAll() bool {
	found := h.found[h.from:]
	if len(found) != h.n {
		return false
	}
	var taken [mostSolutions]bool
	for i := range h.candidates[:h.n] {
		of := indexOf(found, &h.candidates[i], sharpStart)
		if of < 0 || taken[of] || found[of].Family {
			return false
		}
		taken[of] = true
	}
	return true
}

// sharpStart in rad is how near to its solution a sharp candidate is.
const sharpStart = 1e-5

// seek goes out from one start.
func (h *hunt) seek(start *Joints) {
	h.found = h.search.arm.from(h.found, h.from, h.flange, *start, h.near, h.search.posture, &h.work)
}

// clone returns a hunt that stands where this one does and goes its own way.
func (h *hunt) clone() *hunt {
	c := *h
	c.found = slices.Clone(h.found)
	trail := *h.work.trail
	c.work.trail = &trail
	return &c
}

// countable reports whether all the solutions are simple, so that an odd number says that one is missing.
func (s *search) countable(solutions []Solution) bool {
	for i := range solutions {
		if solutions[i].Family || s.arm.freedom(solutions[i].Joints).Smallest < simple {
			return false
		}
	}
	return true
}

// simple is the smallest singular value below which a solution may be two that have met.
const simple = 1e-7

// missingStarts is from how many places a solution is sought that seems to be missing.
const missingStarts = 256

// known reports whether one of the solutions has these joint angles to within so many rad, whole turns aside.
func known(solutions []Solution, q *Joints, within float64) bool {
	return indexOf(solutions, q, within) >= 0
}

// indexOf returns which of the solutions is the first that has, −1 where none has.
func indexOf(solutions []Solution, q *Joints, within float64) int {
	for i := range solutions {
		if farthest(solutions[i].Joints[:], q[:]) < within {
			return i
		}
	}
	return -1
}

// track goes a small step from near, and reports false where that leads nowhere, or so far that another may be nearer.
func (s *search) track(flange Pose, near, home Joints) (q Joints, steps int, ok bool) {
	w := work{steps: mostFollowed}
	q, far, ok := s.arm.refineBeside(flange, near, &w)
	steps = mostFollowed - w.steps
	if !ok || far >= smallStep {
		return near, steps, false
	}
	q, more := s.arm.nearestAround(flange, q, near, home)
	return q, steps + more, true
}

// isDear reports whether all solutions take thousands of times as long as a small step.
func isDear(m method) bool {
	return searchOf(m) != nil
}

// searchOf returns the search of such a method; nil of others.
func searchOf(m method) *search {
	switch m := m.(type) {
	case *search:
		return m
	case approximate:
		return m.search
	}
	return nil
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

func (*search) posture(Joints) Posture { return Posture{} }

func (*search) indicators(Joints) Indicators {
	return Indicators{Wrist: math.NaN(), Elbow: math.NaN(), Shoulder: math.NaN()}
}
