package kinematics

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// search finds all solutions of six joints of any geometry, of which there are at most sixteen (Primrose, Mechanism and
// Machine Theory 21(6), 1986; Lee and Liang, ibid. 23(3), 1988) or infinitely many.
//
// What is guaranteed: in exact arithmetic the polynomial of the elimination has every solution among its zeros, unless
// it vanishes everywhere. All its zeros on the unit circle or near it are found, each is completed to six joint angles
// and refined on the arm, and only what then puts the flange in its place counts, so a wrong solution is impossible. A
// right one can be missed only where rounding hides it from all six eliminations, one for each joint as the first, and then
// only together with another, or where 256 more starts do not lead to it. Two
// solutions nearer to each other than sameStand are given as one. Of infinitely many, those nearest to the arm's
// joints are given.
type search struct {
	arm  *Arm
	ring ring // the arm's axes, lengths as parts of the arm's length; the goal is not set
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
	from := len(dst)
	w := work{mostSteps}
	seek := func(start Joints) {
		dst = s.arm.from(dst, from, flange, start, near, s.posture, &w)
	}
	seek(near)
	ring := s.ring
	ring.goal = flange.Mul(s.arm.Flange.Inverse())
	ring.goal.Position = r3.Scale(1/s.arm.length, ring.goal.Position)
	for first := range 6 {
		turned := ring.startingAt(first)
		var candidates [mostCandidates]Joints
		for _, c := range candidates[:turned.candidates(&candidates)] {
			var start Joints
			for i := range c {
				start[(first+i)%6] = c[i]
			}
			if first == 0 || !known(dst[from:], &start, onTheWay) {
				seek(start)
			}
		}
	}
	// Solutions that are not at a singularity are even in number, as the zeros of a polynomial with real coefficients. An odd
	// one says that one is missing, or that two have met.
	for k := 1; k <= missingStarts && (len(dst)-from)%2 == 1 && s.countable(dst[from:]); k++ {
		seek(spreadFrom(near, k))
	}
	return dst
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
	for i := range solutions {
		if farthest(solutions[i].Joints[:], q[:]) < within {
			return true
		}
	}
	return false
}

// track goes a small step from near, and reports false where that leads nowhere, or so far that another may be nearer.
func (s *search) track(flange Pose, near, home Joints) (Joints, bool) {
	w := work{mostFollowed}
	if q, far, ok := s.arm.refineBeside(flange, near, &w); ok && far < smallStep {
		return s.arm.nearestAround(flange, q, near, home), true
	}
	return near, false
}

// isDear reports whether all solutions take thousands of times as long as a small step.
func isDear(m method) bool {
	switch m.(type) {
	case *search, approximate:
		return true
	}
	return false
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
