package jog_test

import (
	"strings"
	"testing"

	"handrule/kinematics"
	"handrule/kinematics/jog"
)

// A turn about the TCP says how far the point has strayed, which is nothing that could be seen; other jogs do not.
func TestATurnSaysThatTheToolPointStayed(t *testing.T) {
	const says = "The TCP stayed in place, 0.00 mm off."
	bent := kinematics.Joints{4: 90 * degree}
	for axis := range 6 {
		d := jog.NewDrive(testArm(t), pen, bent)
		amount := 10.0
		if axis >= 3 {
			amount *= degree
		}
		stop := run(t, d, jog.Jog{Direction: base(axis, 1), Amount: amount, Speed: 15 * degree}, nil)
		if axis < 3 {
			stop = run(t, d, jog.Jog{Direction: base(axis, -1), Amount: amount, Speed: 50}, nil)
		}
		if stop.Strayed > 1e-6 {
			t.Errorf("axis %d: the TCP strayed by %g mm", axis, stop.Strayed)
		}
		if got := strings.Contains(stop.Sentence(), says); got != (axis >= 3) {
			t.Errorf("axis %d: %q", axis, stop.Sentence())
		}
	}
	// Turned by a joint alone, the TCP does not stay.
	d := jog.NewDrive(testArm(t), pen, bent)
	stop := run(t, d, jog.Jog{Direction: jog.Direction{Frame: jog.JointFrame, Axis: 4, Sign: 1}, Amount: 10 * degree, Speed: 15 * degree}, nil)
	if strings.Contains(stop.Sentence(), "stayed") {
		t.Error(stop.Sentence())
	}
}
