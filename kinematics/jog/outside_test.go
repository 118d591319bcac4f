package jog_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"handrule/kinematics"
	"handrule/kinematics/jog"
)

// A joint that begins outside its limits, as after somebody has pushed the arm by hand, may come back and go no farther out.
func TestAJointThatBeginsOutsideItsLimits(t *testing.T) {
	arm := testArm(t)
	start := kinematics.Joints{0, 0, 95 * degree, 0, 60 * degree, 0} // J3 ends at 80°
	d := jog.NewDrive(arm, pen, start)
	out := run(t, d, jog.Jog{Direction: joint(2, 1), Amount: 5 * degree, Speed: 1}, nil)
	if out.Reason != jog.JointLimit || out.Joint != 2 || out.Limit != arm.Joints[2].Max || d.Joints() != start {
		t.Errorf("outwards: %s", out)
	}
	if other := run(t, d, jog.Jog{Direction: joint(0, 1), Amount: 5 * degree, Speed: 1}, nil); other.Reason != jog.Done {
		t.Errorf("another joint: %s", other)
	}
	if back := run(t, d, jog.Jog{Direction: joint(2, -1), Amount: 20 * degree, Speed: 1}, nil); back.Reason != jog.Done {
		t.Errorf("inwards: %s", back)
	}
	again := run(t, d, jog.Jog{Direction: joint(2, 1), Amount: 20 * degree, Speed: 1}, nil)
	if again.Reason != jog.JointLimit || math.Abs(again.Travel-5*degree) > 1e-9 {
		t.Errorf("outwards again: %s after %v rad", again, again.Travel)
	}
}

// Whatever is jogged, no joint goes farther beyond a limit than it was.
func TestNothingGoesFartherOutside(t *testing.T) {
	arm := testArm(t)
	rapid.Check(t, func(t *rapid.T) {
		q := joints(t, arm)
		for i, j := range arm.Joints {
			if rapid.Bool().Draw(t, "outside") {
				q[i] = j.Max + rapid.Float64Range(0, 0.3).Draw(t, "beyond")
			}
		}
		d := jog.NewDrive(arm, pen, q)
		last := q
		run(t, d, someJog(t, somewhere(t)), func() {
			now := d.Joints()
			for i, j := range arm.Joints {
				if low, high := math.Min(j.Min, last[i]), math.Max(j.Max, last[i]); now[i] < low || now[i] > high {
					t.Fatalf("%s went from %v to %v", j.Name, last[i], now[i])
				}
			}
			last = now
		})
	})
}
