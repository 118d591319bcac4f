package scenarios

import (
	"fmt"
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

// A tick of a straight jog to and fro over the glazing bench, as a learner makes it; the place that is streamed with it
// every fourth tick is a Links and a Forward more.
func BenchmarkTickOnTheGlazingBench(b *testing.B) {
	for _, arm := range ShippedArms() {
		d := glazingPoses(b, arm, 1)[0]
		start := d.Joints()
		for _, speed := range []float64{50, 250} {
			b.Run(fmt.Sprintf("%s/%v", arm.ID, speed), func(b *testing.B) {
				run, err := jog.New(d.Setup(), start)
				if err != nil {
					b.Fatal(err)
				}
				j := jog.Jog{Direction: jog.Direction{Frame: jog.BaseFrame, Axis: 2, Sign: 1}, Amount: 100, Speed: speed}
				b.ReportAllocs()
				for b.Loop() {
					if !run.Tick() {
						j.Sign = -j.Sign
						if err := run.Start(j); err != nil {
							b.Fatal(err)
						}
					}
				}
			})
		}
	}
}

// The two ways to a place, driven to see whether they hold.
func BenchmarkWaysOnTheGlazingBench(b *testing.B) {
	arm := ShippedArms()[0]
	poses := glazingPoses(b, arm, 2)
	goal := poses[1].TCP()
	speeds := jog.Speeds{Straight: 100, Turn: kinematics.Radians(30)}
	for name, begin := range map[string]func() *jog.WaySearch{
		"joints":   func() *jog.WaySearch { return poses[0].JointWay(goal, speeds) },
		"straight": func() *jog.WaySearch { return poses[0].StraightWay(goal, speeds) },
	} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				for s := begin(); !s.Advance(1000); {
				}
			}
		})
	}
}
