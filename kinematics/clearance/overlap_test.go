package clearance_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"handrule/kinematics"
	"handrule/kinematics/clearance"
)

// The largest ball in both, where a pencil finds it.
func TestOverlapByHand(t *testing.T) {
	box := func(x, y, z float64, pose kinematics.Pose) clearance.Thing {
		return clearance.Thing{Name: "box", Shape: clearance.Box{Size: vec(x, y, z)}, Pose: pose}
	}
	cube := box(100, 100, 100, kinematics.Identity)
	cylinder := func(radius, height float64, pose kinematics.Pose) clearance.Thing {
		return clearance.Thing{Name: "cylinder", Shape: clearance.Cylinder{Radius: radius, Height: height}, Pose: pose}
	}
	ball := func(radius, x, y, z float64) clearance.Thing {
		return clearance.Thing{Name: "ball", Shape: clearance.Sphere{Radius: radius}, Pose: at(x, y, z)}
	}
	onEdge := kinematics.Pose{Position: vec(50+50*math.Sqrt2-20, 0, 0), Rotation: kinematics.RotationAbout(vec(0, 0, 1), 45*degree)}
	for _, c := range []struct {
		name string
		a, b clearance.Thing
		want float64
	}{
		{"one box in another", cube, box(40, 60, 80, at(10, 0, 0)), 20},
		{"itself", cube, cube, 50},
		{"20 mm into a face", cube, box(100, 100, 100, at(80, 0, 0)), 10},
		{"touching faces", cube, box(100, 100, 100, at(100, 0, 0)), 0},
		{"apart", cube, box(100, 100, 100, at(130, 0, 0)), 0},
		{"far apart", cube, box(100, 100, 100, at(1e5, 0, 0)), 0},
		// The centre is r from the face and r√2 from the edge, which is 20 mm behind the face.
		{"an edge 20 mm in a face", cube, box(100, 100, 100, onEdge), 20 / (1 + math.Sqrt2)},
		{"balls, 10 mm into each other", ball(30, 0, 0, 0), ball(40, 36, 48, 0), 5},
		{"a ball in a box", ball(30, 10, 0, 0), cube, 30},
		{"crossing rods", cylinder(10, 300, kinematics.Identity),
			cylinder(10, 300, kinematics.Pose{Rotation: kinematics.RotationAbout(vec(1, 0, 0), 90*degree)}), 10},
		{"rods side by side", cylinder(10, 300, kinematics.Identity), cylinder(10, 300, at(16, 0, 0)), 2},
		{"a pot on a table", cylinder(60, 120, at(0, 0, 60)), box(800, 500, 40, at(0, 0, -20)), 0},
		{"a pot 3 mm in a table", cylinder(60, 120, at(0, 0, 57)), box(800, 500, 40, at(0, 0, -20)), 1.5},
		{"a box on the floor", clearance.Floor(-50), cube, 0},
		{"a box in the floor", clearance.Floor(-40), cube, 5},
		{"two floors", clearance.Floor(-40), clearance.Floor(0), 0},
	} {
		for _, got := range []float64{clearance.Overlap(c.a, c.b), clearance.Overlap(c.b, c.a)} {
			if !(math.Abs(got-c.want) <= 1.001e-3) {
				t.Errorf("%s: a ball of %.6g mm, want %.6g", c.name, got, c.want)
			}
		}
	}
}

// Either way round it is the same ball, and about no point does a larger one fit.
func TestOverlapOfRandomThings(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := things.Draw(t, "a"), things.Draw(t, "b")
		if a.Shape == (clearance.HalfSpace{}) && b.Shape == (clearance.HalfSpace{}) {
			t.Skip("two half-spaces are not compared")
		}
		radius := clearance.Overlap(a, b)
		if again := clearance.Overlap(b, a); !(math.Abs(radius-again) <= 2e-3) {
			t.Fatalf("a ball of %g mm, the other way round %g", radius, again)
		}
		for range 20 {
			// Somewhere about the way from the one's origin to the other's.
			p := r3.Add(a.Pose.Position, r3.Scale(rapid.Float64Range(0, 1).Draw(t, "along"), r3.Sub(b.Pose.Position, a.Pose.Position)))
			p = r3.Add(p, r3.Scale(rapid.Float64Range(0, 0.2).Draw(t, "beside"), points.Draw(t, "way")))
			if deep := -math.Max(pointSigned(p, a), pointSigned(p, b)); deep > radius+1e-3 {
				t.Fatalf("a ball of %g mm fits about %v, more than %g", deep, p, radius)
			}
		}
	})
}

// pointSigned is the signed distance of a point from a thing.
func pointSigned(p r3.Vec, t clearance.Thing) float64 {
	return clearance.Between(kinematics.Capsule{From: p, To: p}, t).Distance
}
