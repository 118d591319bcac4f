package jog

import (
	"math"
	"testing"

	"handrule/kinematics"
)

// A stop never contradicts itself: where a joint would race on the short stretch that was tried, although the next tick as a whole could
// be gone, its numbers are those of the stretch.
func TestARaceIsToldByTheStretchOnWhichItIs(t *testing.T) {
	arm := roundArm(t)
	q := kinematics.Joints{0.2, 0.3, -0.4, 0.1, 0.8, 0}
	setup := &Setup{Arm: arm, Mount: kinematics.Identity, Tool: kinematics.Tool{TCP: kinematics.Identity}}
	j := Jog{Direction: Direction{Frame: BaseFrame, Axis: 0, Sign: 1}, Amount: math.Inf(1), Speed: 50}
	p, err := newPath(setup, q, j)
	if err != nil {
		t.Fatal(err)
	}
	explained := func(length float64, led *kinematics.Joints) Stop {
		var a lookout
		a.stand(setup, &q)
		a.begin(&p, j.Speed)
		a.block(tooQuick, length, led)
		for !a.closed {
			a.lookFor(math.MaxInt)
		}
		return a.stop
	}
	// Where nothing is in the way, as where the look ahead did not get on within the bound of its work, no singularity is told.
	if s := explained(finest, nil); s.Reason != Uncomputed {
		t.Fatalf("the arm can go on, but it is said that it stops for this: %+v", s)
	}
	leap := q
	leap[3] += 2 * mostLeap
	s := explained(finest, &leap)
	if s.Joint != 3 || s.Over != finest || math.Abs(s.Turn-2*mostLeap) > 1e-12 || !(s.Needed > s.Allowed) {
		t.Errorf("J%d needs %g rad/s of %g for %g rad over %g mm; not J4, for %g rad over %g mm", s.Joint+1, s.Needed, s.Allowed, s.Turn, s.Over, 2*mostLeap, finest)
	}
}

// Where no way to stand was found further on the end of reach is told, but not where the search for one came to the bound of its work:
// then nobody knows.
func TestASearchThatRanOutTellsNoEndOfReach(t *testing.T) {
	for _, ranOut := range []bool{false, true} {
		q := kinematics.Joints{0.2, 0.3, -0.4, 0.1, 0.8, 0}
		setup := &Setup{Arm: roundArm(t), Mount: kinematics.Identity, Tool: kinematics.Tool{TCP: kinematics.Identity}}
		p, err := newPath(setup, q, Jog{Direction: Direction{Frame: BaseFrame, Axis: 0, Sign: 1}, Amount: 1e4, Speed: 50})
		if err != nil {
			t.Fatal(err)
		}
		var a lookout
		a.stand(setup, &q)
		a.begin(&p, 1e4/Tick) // so that a tick leads far out of reach
		a.block(tooQuick, finest, nil)
		for done := false; !done; {
			_, done = a.asking.onward.look(&a)
		}
		if a.asking.onward.found {
			t.Fatal("the arm can stand there")
		}
		a.asking.onward.ranOut = ranOut
		a.asking.step = (*explanation).measure
		for !a.closed {
			a.lookFor(math.MaxInt)
		}
		if want := map[bool]Reason{false: OutOfReach, true: Uncomputed}[ranOut]; a.stop.Reason != want || (a.stop.Short > 0) == ranOut {
			t.Errorf("ran out: %v, and what is told is %+v", ranOut, a.stop)
		}
	}
}
