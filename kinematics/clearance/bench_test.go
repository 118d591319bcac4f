package clearance_test

import (
	"math/rand/v2"
	"testing"

	"handrule/kinematics"
	"handrule/kinematics/clearance"
)

// A scene of nine capsules and twenty things, in a thousand postures near the zero pose and a thousand anywhere.
func BenchmarkSmallest(b *testing.B) {
	arm, scene := testScene(b)
	rng := rand.New(rand.NewPCG(1, 2))
	for _, c := range []struct {
		name   string
		range_ float64
	}{{"working", 0.6}, {"anywhere", 3}} {
		links := make([]kinematics.Links, 1000)
		for i := range links {
			var q kinematics.Joints
			for k := range q {
				q[k] = (2*rng.Float64() - 1) * c.range_
			}
			links[i] = arm.Links(q)
		}
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			i := 0
			for b.Loop() {
				sink += scene.Smallest(links[i%len(links)]).Distance
				i++
			}
		})
	}
}

var sink float64

func BenchmarkMaxMove(b *testing.B) {
	_, scene := testScene(b)
	b.ReportAllocs()
	for b.Loop() {
		sink += scene.MaxMove(kinematics.Joints{}, kinematics.Joints{1, 2, 3, 4, 5, 6})
	}
}

func BenchmarkBetween(b *testing.B) {
	shapes := []clearance.Thing{
		{Name: "box", Shape: clearance.Box{Size: vec(80, 60, 120)}},
		{Name: "cylinder", Shape: clearance.Cylinder{Radius: 40, Height: 110}},
		{Name: "sphere", Shape: clearance.Sphere{Radius: 45}},
		{Name: "half-space", Shape: clearance.HalfSpace{}},
	}
	rng := rand.New(rand.NewPCG(3, 4))
	capsules := make([]kinematics.Capsule, 1000)
	for i := range capsules {
		some := func() float64 { return 400 * (rng.Float64() - 0.5) }
		capsules[i] = kinematics.Capsule{From: vec(some(), some(), some()), To: vec(some(), some(), some()), Radius: 20}
	}
	for _, thing := range shapes {
		thing.Pose = kinematics.Identity
		b.Run(thing.Name, func(b *testing.B) {
			b.ReportAllocs()
			i := 0
			for b.Loop() {
				sink += clearance.Between(capsules[i%len(capsules)], thing).Distance
				i++
			}
		})
	}
	b.Run("capsule", func(b *testing.B) {
		b.ReportAllocs()
		i := 0
		for b.Loop() {
			sink += clearance.BetweenCapsules(capsules[i%1000], capsules[(i+7)%1000]).Distance
			i++
		}
	})
}
