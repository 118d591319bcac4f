package jog

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
)

// Ahead is what a jog would do from where the arm is now.
type Ahead struct {
	Joints kinematics.Joints // at its end
	Stop   Stop
	Path   []r3.Vec          // of the TCP in the base frame, from the start to the end, mm
	Work   kinematics.Joints // how far each joint travels on the way, to and fro, rad
}

const (
	pathPoints = 48      // about so many points are kept of a path
	aheadTicks = 100_000 // a jog is not followed for longer than this: 400 s
)

// Ahead runs the jog on a copy of the arm, with the same motion that Tick makes, and says what came of it. A step
// that is not over after aheadTicks is told as if it were released there. The arm must be at rest and the jog must
// end by itself.
func (d *Drive) Ahead(j Jog) (Ahead, error) {
	run := *d
	if err := run.Start(j); err != nil {
		return Ahead{}, err
	}
	every := max(1, int(j.Amount/(run.limits.speed*Tick)/pathPoints))
	a := Ahead{Path: []r3.Vec{run.TCP().Position}}
	for tick := 1; ; tick++ {
		before := run.q
		goesOn := run.Tick()
		for i := range a.Work {
			a.Work[i] += math.Abs(run.q[i] - before[i])
		}
		if goesOn && tick == aheadTicks {
			run.end(Stop{Reason: Released})
			goesOn = false
		}
		if !goesOn || tick%every == 0 {
			a.Path = append(a.Path, run.TCP().Position)
		}
		if !goesOn {
			a.Joints, a.Stop = run.q, run.stop
			return a, nil
		}
	}
}

// Share returns each joint's part of the joint travel, summing to one; all zero where nothing moves.
func (a Ahead) Share() (share [6]float64) {
	total := 0.0
	for _, w := range a.Work {
		total += w
	}
	if total < 1e-12 {
		return share
	}
	for i, w := range a.Work {
		share[i] = w / total
	}
	return share
}
