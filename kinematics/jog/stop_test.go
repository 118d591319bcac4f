package jog_test

import (
	"testing"

	"handrule/kinematics"
	"handrule/kinematics/jog"
)

// In a turn about the TCP the point stays where it is, to rounding.
func TestATurnKeepsTheToolPoint(t *testing.T) {
	bent := kinematics.Joints{4: 90 * degree}
	for axis := 3; axis < 6; axis++ {
		d := jog.NewDrive(testArm(t), pen, bent)
		stop := run(t, d, jog.Jog{Direction: base(axis, 1), Amount: 10 * degree, Speed: 15 * degree}, nil)
		if stop.Reason != jog.Done || stop.Strayed > 1e-6 {
			t.Errorf("axis %d: %v, the TCP strayed by %g mm", axis, stop, stop.Strayed)
		}
	}
}

// The joint that can be moved to get out of a stop is named where there is one.
func TestTheAdvisedJoint(t *testing.T) {
	for _, c := range []struct {
		stop jog.Stop
		want int
	}{
		{jog.Stop{Reason: jog.JointLimit, Joint: 3}, 3},
		{jog.Stop{Reason: jog.Singularity, Kind: "wrist", Joint: 3}, 4},
		{jog.Stop{Reason: jog.Singularity, Kind: "elbow", Joint: 1}, 2},
		{jog.Stop{Reason: jog.Singularity, Kind: "shoulder"}, -1},
		{jog.Stop{Reason: jog.Done}, -1}, {jog.Stop{Reason: jog.Contact}, -1}, {jog.Stop{Reason: jog.OutOfReach}, -1},
	} {
		if joint, ok := c.stop.Advised(); ok != (c.want >= 0) || ok && joint != c.want {
			t.Errorf("%v: joint %d, %v", c.stop, joint, ok)
		}
	}
}
