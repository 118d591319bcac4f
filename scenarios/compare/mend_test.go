package compare_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/internal/draws"
	"handrule/kinematics"
	"handrule/scenarios"
	"handrule/scenarios/armfile"
	"handrule/scenarios/compare"
)

// The arm file that a comparison writes agrees with the arm, for a cause that is named and for a fit, and also on arms whose displays
// count otherwise than from where they were measured. It is read from its own text.
func TestAMendedArmAgrees(t *testing.T) {
	r := rand.New(rand.NewPCG(draws.Seed(), 6))
	for _, shipped := range scenarios.ShippedArms() {
		for n := range 12 {
			arm := shipped
			if n%2 == 1 {
				var reads kinematics.Joints
				var reversed [6]bool
				for i := range reads {
					reads[i], reversed[i] = kinematics.Radians(float64(r.IntN(5)-2)*90), r.IntN(2) == 0
				}
				var err error
				if arm, err = shipped.ReadAs(reads, reversed); err != nil {
					t.Fatal(err)
				}
			}
			tool := arm.Tools[0]
			// The real arm: one cause, or everything a little.
			real := arm.Geometry.Joints
			tcp := tool.TCP
			count := 5
			switch joint := r.IntN(4); n / 2 % 4 {
			case 0:
				real[joint].Axis = r3.Scale(-1, real[joint].Axis)
			case 1:
				real[joint].Measured += kinematics.Radians(3 + 20*r.Float64())
			case 2:
				tcp.Position.Z += 12 + 30*r.Float64()
			default:
				count = 12
				for i := range 5 {
					real[i].Measured += kinematics.Radians(3 + 6*r.Float64())
				}
				tcp.Position.Z += 20
			}
			truth, err := arm.With(real)
			if err != nil {
				t.Fatal(err)
			}
			var readings []compare.Reading
			for _, q := range compare.Poses(arm, tool.TCP, count) {
				readings = append(readings, compare.Reading{Joints: q, At: truth.Geometry.Forward(q).Mul(tcp).Position})
			}
			result := compare.Diagnose(arm.Geometry, tool.TCP, readings)
			var mended *armfile.Arm
			ok := false
			switch result.Verdict {
			case compare.Named:
				mended, ok = result.Causes[0].Mend(arm, tool.Name)
			case compare.NoSingle:
				fit, fitted := compare.FitZeros(arm.Geometry, tool.TCP, readings)
				if mended, ok = fit.Mend(arm, tool.Name); !fitted {
					ok = false
				}
			}
			if !ok {
				t.Errorf("%s, %d: %s", arm.ID, n, result.Verdict)
				continue
			}
			again, err := armfile.Parse("a.yaml", mended.Text())
			if err != nil {
				t.Fatal(err)
			}
			if left := compare.Diagnose(again.Geometry, again.Tools[0].TCP, readings); left.RMS > 0.01 {
				t.Errorf("%s, %d: %+v left %g mm", arm.ID, n, result.Causes, left.RMS)
			}
			for i, j := range again.Geometry.Joints {
				if math.Abs(j.Min-arm.Geometry.Joints[i].Min)+math.Abs(j.Max-arm.Geometry.Joints[i].Max) > 1e-9 {
					t.Errorf("%s: limits of J%d moved", arm.ID, i+1)
				}
			}
		}
	}
}
