package clearance_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/kinematics/clearance"
)

func capsule(from, to r3.Vec, radius float64) kinematics.Capsule {
	return kinematics.Capsule{From: from, To: to, Radius: radius}
}

// Distances and points that a pencil finds: right triangles of whole numbers, diagonals of squares.
func TestByHand(t *testing.T) {
	half := math.Sqrt2 / 2
	box := clearance.Thing{Name: "box", Shape: clearance.Box{Size: vec(20, 20, 20)}, Pose: kinematics.Identity}
	slab := clearance.Thing{Name: "slab", Shape: clearance.Box{Size: vec(100, 60, 0)}, Pose: at(0, 0, 50)}
	drum := clearance.Thing{Name: "drum", Shape: clearance.Cylinder{Radius: 10, Height: 20}, Pose: kinematics.Identity}
	rod := clearance.Thing{Name: "rod", Shape: clearance.Cylinder{Radius: 10, Height: 60}, Pose: kinematics.Identity}
	ball := clearance.Thing{Name: "ball", Shape: clearance.Sphere{Radius: 10}, Pose: at(100, 0, 0)}
	floor := clearance.Floor(-20)
	for _, c := range []struct {
		name  string
		gap   clearance.Gap
		want  float64
		onA   r3.Vec
		onB   r3.Vec
		loose bool // the points are not unique
	}{
		{"crossing at 30", clearance.BetweenCapsules(
			capsule(vec(-50, 0, 0), vec(50, 0, 0), 10), capsule(vec(0, -50, 30), vec(0, 50, 30), 5)),
			15, vec(0, 0, 10), vec(0, 0, 25), false},
		{"end to end in line", clearance.BetweenCapsules(
			capsule(vec(0, 0, 0), vec(10, 0, 0), 2), capsule(vec(40, 0, 0), vec(30, 0, 0), 3)),
			15, vec(12, 0, 0), vec(27, 0, 0), false},
		{"parallel, side by side for a part", clearance.BetweenCapsules(
			capsule(vec(0, 0, 0), vec(10, 0, 0), 1), capsule(vec(5, 8, 0), vec(35, 8, 0), 2)),
			5, r3.Vec{}, r3.Vec{}, true},
		{"end above the middle of the other", clearance.BetweenCapsules(
			capsule(vec(0, 0, 0), vec(100, 0, 0), 4), capsule(vec(60, 0, 9), vec(80, 0, 90), 2)),
			3, vec(60, 0, 4), vec(60, 0, 7), false},
		{"axes that cross", clearance.BetweenCapsules(
			capsule(vec(-9, 0, 0), vec(9, 0, 0), 3), capsule(vec(0, -9, 0), vec(0, 9, 0), 4)),
			-7, r3.Vec{}, r3.Vec{}, true},
		{"two balls, 3-4-5", clearance.BetweenCapsules(
			capsule(vec(1, 1, 1), vec(1, 1, 1), 1), capsule(vec(4, 1, 5), vec(4, 1, 5), 1.5)),
			2.5, vec(1.6, 1, 1.8), vec(3.1, 1, 3.8), false},

		{"above a face", clearance.Between(capsule(vec(-3, 2, 15), vec(-3, 2, 90), 2), box),
			3, vec(-3, 2, 13), vec(-3, 2, 10), false},
		{"before a corner, 3-4-12-13", clearance.Between(capsule(vec(13, 14, 22), vec(16, 18, 34), 6), box),
			7, vec(13-6*3./13, 14-6*4./13, 22-6*12./13), vec(10, 10, 10), false},
		{"across an edge", clearance.Between(capsule(vec(40, 0, 3), vec(0, 40, 3), 4), box),
			20*half - 4, vec(20-4*half, 20-4*half, 3), vec(10, 10, 3), false},
		{"just touching a face", clearance.Between(capsule(vec(-30, 0, 15), vec(30, 0, 15), 5), box),
			0, r3.Vec{}, r3.Vec{}, true},
		{"a little in a face", clearance.Between(capsule(vec(12, 1, 0), vec(40, 1, 0), 5), box),
			-3, vec(7, 1, 0), vec(10, 1, 0), false},
		{"right through", clearance.Between(capsule(vec(-50, 4, 0), vec(50, 4, 0), 2), box),
			-8, r3.Vec{}, r3.Vec{}, true},
		{"through an edge: the deepest point of x+y=16 is 2 deep", clearance.Between(capsule(vec(20, -4, 0), vec(-4, 20, 0), 1), box),
			-3, r3.Vec{}, r3.Vec{}, true},
		{"through a flat box", clearance.Between(capsule(vec(7, 8, 0), vec(7, 8, 90), 6), slab),
			-6, r3.Vec{}, r3.Vec{}, true},

		{"beside a cylinder", clearance.Between(capsule(vec(13, -50, 0), vec(13, 50, 0), 1), drum),
			2, vec(12, 0, 0), vec(10, 0, 0), false},
		{"above a cylinder's end", clearance.Between(capsule(vec(2, 3, 14), vec(2, 3, 40), 3), drum),
			1, vec(2, 3, 11), vec(2, 3, 10), false},
		{"past a rim, 3-4-5", clearance.Between(capsule(vec(13, -70, 14), vec(13, 30, 14), 1), drum),
			4, vec(13-.6, 0, 14-.8), vec(10, 0, 10), false},
		{"sloping over a rim", clearance.Between(capsule(vec(40, 0, 0), vec(0, 0, 40), 2), drum),
			20*half - 2, vec(20-2*half, 0, 20-2*half), vec(10, 0, 10), false},
		{"along a cylinder's axis", clearance.Between(capsule(vec(0, 0, -90), vec(0, 0, 90), 2), drum),
			-12, r3.Vec{}, r3.Vec{}, true},
		{"right through a long cylinder", clearance.Between(capsule(vec(-50, 6, 0), vec(50, 6, 0), 2), rod),
			-6, vec(0, 4, 0), vec(0, 10, 0), false},
		{"an end in a cylinder's end", clearance.Between(capsule(vec(1, 2, 27), vec(1, 2, 70), 2), rod),
			-5, vec(1, 2, 25), vec(1, 2, 30), false},

		{"beside a ball", clearance.Between(capsule(vec(85, -50, 0), vec(85, 50, 0), 2), ball),
			3, vec(87, 0, 0), vec(90, 0, 0), false},
		{"in a ball", clearance.Between(capsule(vec(94, -50, 0), vec(94, 50, 0), 2), ball),
			-6, vec(96, 0, 0), vec(90, 0, 0), false},

		{"over the floor", clearance.Between(capsule(vec(5, 6, 0), vec(9, 9, 30), 4), floor),
			16, vec(5, 6, -4), vec(5, 6, -20), false},
		{"under the floor", clearance.Between(capsule(vec(5, 6, 0), vec(9, 9, -30), 4), floor),
			-14, vec(9, 9, -34), vec(9, 9, -20), false},
	} {
		if math.Abs(c.gap.Distance-c.want) > 1e-12 {
			t.Errorf("%s: distance %.15g, want %.15g", c.name, c.gap.Distance, c.want)
		}
		if c.loose {
			continue
		}
		if d := r3.Norm(r3.Sub(c.gap.OnA, c.onA)); d > 1e-12 {
			t.Errorf("%s: point on the capsule %v, want %v", c.name, c.gap.OnA, c.onA)
		}
		if d := r3.Norm(r3.Sub(c.gap.OnB, c.onB)); d > 1e-12 {
			t.Errorf("%s: point on the other %v, want %v", c.name, c.gap.OnB, c.onB)
		}
	}
}

// Ericson, Real-Time Collision Detection, 5.1.8, gives the distance of two lines by the cross product of their
// directions; for x-axis and the line through (0, 0, h) along (1, 1, 0) it is h. Lines through a cube of edge 1: two
// skew face diagonals, along (1, 1, 0) and (0, 1, 1), are 1/√3 apart: (1, −1, 1), their cross product, has the length √3, and the
// edge between them lies 1 along it.
func TestSkewDiagonalsOfACube(t *testing.T) {
	a := capsule(vec(0, 0, 0), vec(100, 100, 0), 0)
	b := capsule(vec(100, 0, 0), vec(100, 100, 100), 0)
	if d, want := clearance.BetweenCapsules(a, b).Distance, 100/math.Sqrt(3); math.Abs(d-want) > 1e-12 {
		t.Errorf("two skew face diagonals of a cube of edge 100 are %.15g apart, want %.15g", d, want)
	}
}
