package jog_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/kinematics/jog"
)

// Where two ways to stand cross without a joint racing, the arm goes on straight. Here the arm's plane is beside axis 1, and
// the wrist centre passes axis 1 as near as it can: the two ways to turn joint 1 meet there, and the nearer one a step further
// on is now the one, now the other.
func TestTheArmGoesOnStraightWhereWaysCross(t *testing.T) {
	at := func(x, y, z float64) r3.Vec { return r3.Vec{X: x, Y: y, Z: z} }
	joint := func(at, axis r3.Vec) kinematics.Joint {
		return kinematics.Joint{At: at, Axis: axis, Min: -3, Max: 3, Speed: 3}
	}
	x, y, z := at(1, 0, 0), at(0, 1, 0), at(0, 0, 1)
	arm, err := kinematics.New([6]kinematics.Joint{
		joint(at(0, 0, 0), z), joint(at(0, 80, 300), y), joint(at(0, 80, 600), y),
		joint(at(100, 80, 600), x), joint(at(250, 80, 600), y), joint(at(300, 80, 600), x),
	}, kinematics.Pose{Position: at(320, 80, 600), Rotation: kinematics.FixedXYZ(0, math.Pi/2, 0)})
	if err != nil {
		t.Fatal(err)
	}
	for _, speed := range []float64{3, 50, 250} {
		for _, start := range []float64{0.3, 0.37, 0.5} {
			d := jog.NewDrive(arm, kinematics.Identity, kinematics.Joints{0, -start, 0.6, 0, 0.9, 0})
			back := jog.Direction{Frame: jog.BaseFrame, Axis: 0, Sign: -1}
			stop := run(t, d, jog.Jog{Direction: back, Amount: 250, Speed: speed}, func() {
				if math.Abs(d.Joints()[0]) > 1e-5 {
					t.Fatalf("at %g mm/s J1 turns to %g rad after %g mm", speed, d.Joints()[0], d.Travel())
				}
			})
			if stop.Reason != jog.Done {
				t.Errorf("at %g mm/s: %s", speed, stop)
			}
		}
	}
}
