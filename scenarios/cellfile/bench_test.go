package cellfile_test

import (
	"handrule/kinematics"
	"handrule/scenarios"
	"math/rand/v2"
	"testing"
)

// Wren with its pen on the glazing bench, in a thousand poses of ordinary work.
func BenchmarkSmallestOnTheGlazingBench(b *testing.B) {
	arm, cell := scenarios.ShippedArms()[0], scenarios.ShippedCells()[0]
	scene, err := cell.Scene(arm, arm.Tools[0])
	if err != nil {
		b.Fatal(err)
	}
	rng := rand.New(rand.NewPCG(1, 2))
	links := make([]kinematics.Links, 1000)
	for i := range links {
		var q kinematics.Joints
		for k, most := range [6]float64{1, 0.8, 0.8, 1, 1.5, 1} {
			q[k] = (2*rng.Float64() - 1) * most
		}
		links[i] = arm.Geometry.Links(q)
	}
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		sink = scene.Smallest(links[i%len(links)]).Distance
	}
}

var sink float64
