package jog

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
)

func TestTurnsAboutAxes(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	turns := []kinematics.Rotation{
		kinematics.NoRotation,
		kinematics.FixedXYZ(0, math.Pi/2, 0),
		kinematics.FixedXYZ(0.3, math.Pi/2, 0.4),
		kinematics.FixedXYZ(math.Pi, 0, 0),
		kinematics.FixedXYZ(math.Pi/2, 0, math.Pi/2),
	}
	for range 50 {
		turns = append(turns, kinematics.FixedXYZ(6*r.Float64()-3, 6*r.Float64()-3, 6*r.Float64()-3))
	}
	for _, want := range turns {
		ways := turnsAboutAxes(want)
		if len(ways) != 12 {
			t.Fatalf("%d ways", len(ways))
		}
		for _, way := range ways {
			got := kinematics.NoRotation
			for _, turn := range way {
				got = kinematics.RotationAbout(kinematics.NoRotation.Axis(turn.axis), turn.angle).Mul(got)
			}
			_, off := kinematics.Pose{Rotation: got}.Twist(kinematics.Pose{Rotation: want})
			if r3.Norm(off) > 1e-9 {
				t.Errorf("%v makes another turn, off by %g rad", way, r3.Norm(off))
			}
		}
	}
}
