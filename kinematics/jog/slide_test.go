package jog_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/kinematics/clearance"
	"handrule/kinematics/jog"
)

// needled is testArm with a needle of that radius for a tool, whose tip is the TCP, 3 mm above a table, inside a set distance of 5 mm.
func needled(t *testing.T, radius float64) *jog.Drive { return needledOver(t, radius, someTable, 5) }

func needledOver(t *testing.T, radius float64, things []clearance.Thing, setDistance float64) *jog.Drive {
	needle := kinematics.Tool{Name: "needle", TCP: pen, Body: []kinematics.Capsule{{Link: 6, From: r3.Vec{Z: 80}, To: r3.Vec{Z: 120 - radius}, Radius: radius}}}
	setup := jog.Setup{Arm: testArm(t), Tool: needle, Mount: kinematics.Identity, SetDistance: setDistance}
	var err error
	if setup.Scene, err = jog.Scene(setup.Arm, testBody, needle, kinematics.Identity, things); err != nil {
		t.Fatal(err)
	}
	d, err := jog.New(setup, bent)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

var someTable = []clearance.Thing{table(107)}

// However thin a tool is that is inside the set distance, it may go along where it comes no nearer, although what is looked at at once is
// the shorter the thinner it is. And what ends a jog there is the set distance, where it does, and no singularity that there is none.
func TestWhatSlidesInsideTheSetDistanceEndsForWhatItDoes(t *testing.T) {
	for _, radius := range []float64{0.3, 0.1, 0.03} {
		if stop := run(t, needled(t, radius), jog.Jog{Direction: base(0, 1), Amount: 2, Speed: 50}, nil); stop.Reason != jog.Done {
			t.Errorf("a needle of %g mm radius along the table: %v", radius, stop)
		}
	}
	for _, radius := range []float64{3, 0.3, 0.03, 0.01, 0.001} {
		for axis := 3; axis < 5; axis++ {
			stop := run(t, needled(t, radius), jog.Jog{Direction: tool(axis, 1), Amount: 0.3, Speed: 0.2}, nil)
			if stop.Reason != jog.SetDistance || stop.Touch.A.Name != "needle" || stop.Touch.B.Name != "table" || math.Abs(stop.Touch.Distance-3) > 2e-7 {
				t.Errorf("a needle of %g mm radius tilted: %v", radius, stop)
			}
			// The middle of the tip goes down by the radius times 1 − cos, until that is the 1e-7 mm that it may come nearer.
			if want := math.Sqrt(2e-7 / radius); radius > 0.005 && math.Abs(stop.Travel-want) > 1e-3*want {
				t.Errorf("a needle of %g mm radius tilts by %g rad, by hand %g", radius, stop.Travel, want)
			}
		}
	}
}

// A needle so thin and so near to a table that it would take too many looks to tell that it touches nothing on the way: that is said, and
// no contact that there is none. Where it is not so near, or not so thin, it goes along.
func TestWhatCannotBeToldToBeClearIsNotComputed(t *testing.T) {
	for _, c := range []struct {
		radius, gap float64
		reason      jog.Reason
	}{
		{1e-5, 2e-6, jog.Uncomputed},
		{1e-5, 0.5, jog.Done},
		{0.1, 2e-6, jog.Done},
	} {
		d := needledOver(t, c.radius, []clearance.Thing{table(110 - c.gap)}, 0)
		near, _ := d.Clearance()
		stop := run(t, d, jog.Jog{Direction: base(0, 1), Amount: 2, Speed: 50}, nil)
		if stop.Reason != c.reason || stop.Reason == jog.Uncomputed && stop.Touch != (clearance.Pair{}) {
			t.Errorf("a needle of %g mm radius %g mm above the table: %v, %+v", c.radius, near.Distance, stop, stop)
		}
	}
}
