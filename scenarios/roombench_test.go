package scenarios

import (
	"math/rand/v2"
	"testing"

	"handrule/kinematics"
	"handrule/kinematics/jog"
	"handrule/scenarios/armfile"
)

// glazingPoses returns the arm with its first tool on the glazing bench in fixed poses, clear of everything.
func glazingPoses(b *testing.B, arm *armfile.Arm, count int) (poses []*jog.Drive) {
	b.Helper()
	cell, err := OpenCell("glazing-bench")
	if err != nil {
		b.Fatal(err)
	}
	setup, err := cell.Setup(arm, arm.Tools[0], 0)
	if err != nil {
		b.Fatal(err)
	}
	rng := rand.New(rand.NewPCG(7, 11))
	for len(poses) < count {
		var q kinematics.Joints
		for i, j := range arm.Geometry.Joints {
			middle, half := (j.Min+j.Max)/2, (j.Max-j.Min)/2
			q[i] = middle + 0.6*half*(2*rng.Float64()-1)
		}
		d, err := jog.New(setup, q)
		if err != nil {
			b.Fatal(err)
		}
		if near, ok := d.Clearance(); ok && near.Distance > 1 {
			poses = append(poses, d)
		}
	}
	return poses
}

// The room in all twelve directions, mean of 64 fixed poses on the glazing bench.
func BenchmarkRoomsOnTheGlazingBench(b *testing.B) {
	for _, arm := range ShippedArms() {
		poses := glazingPoses(b, arm, 64)
		for _, frame := range []jog.Frame{jog.JointFrame, jog.BaseFrame} {
			b.Run(arm.ID+"/"+string(frame), func(b *testing.B) {
				for i := 0; b.Loop(); i++ {
					for _, d := range poses {
						s, err := d.Survey(frame, "", jog.Speeds{Straight: 50, Turn: kinematics.Radians(15)})
						if err != nil {
							b.Fatal(err)
						}
						for !s.Advance(1000) {
						}
					}
				}
				b.ReportMetric(float64(b.Elapsed().Microseconds())/float64(b.N*len(poses)), "µs/survey")
			})
		}
	}
}
