package jog_test

import (
	"testing"

	"handrule/kinematics"
	"handrule/kinematics/jog"
)

// One tick of a straight jog, limits, speeds and path included. The arm goes to and fro, so that it never stops.
func BenchmarkStraightTick(b *testing.B) {
	d := jog.NewDrive(testArm(b), pen, kinematics.Joints{0, 0, 0, 0, 90 * degree, 0})
	j := jog.Jog{Direction: base(1, 1), Amount: 100, Speed: 50}
	b.ReportAllocs()
	for b.Loop() {
		if !d.Tick() {
			j.Sign = -j.Sign
			if err := d.Start(j); err != nil {
				b.Fatal(err)
			}
		}
	}
}
