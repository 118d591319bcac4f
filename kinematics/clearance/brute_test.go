package clearance_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	_ "handrule/internal/draws"
	"handrule/internal/reference"
	"handrule/kinematics"
	"handrule/kinematics/clearance"
)

// This file holds distances against a search that shares no code and no derivation with the package (internal/reference).

func mix(c kinematics.Capsule, t float64) r3.Vec {
	return r3.Add(r3.Scale(1-t, c.From), r3.Scale(t, c.To))
}

// solid is a thing's shape by its definition.
func solid(thing clearance.Thing) reference.Solid {
	switch s := thing.Shape.(type) {
	case clearance.Sphere:
		return reference.Ball(s.Radius)
	case clearance.HalfSpace:
		return reference.HalfSpace
	case clearance.Box:
		return reference.Box(s.Size)
	case clearance.Cylinder:
		return reference.Cylinder(s.Radius, s.Height)
	}
	panic("a shape that this test does not know")
}

// pointDistance returns the signed distance of the point p of the base frame from the thing.
func pointDistance(p r3.Vec, thing clearance.Thing) float64 {
	return solid(thing)(thing.Pose.Inverse().Apply(p))
}

func bruteBetween(c kinematics.Capsule, thing clearance.Thing) float64 {
	into := thing.Pose.Inverse()
	return reference.Axis{From: into.Apply(c.From), To: into.Apply(c.To)}.ToSolid(solid(thing)) - c.Radius
}

func bruteCapsules(a, b kinematics.Capsule) float64 {
	return reference.Axis{From: a.From, To: a.To}.ToAxis(reference.Axis{From: b.From, To: b.To}) - a.Radius - b.Radius
}

// Numbers that meet and line up are drawn as often as any others.
var (
	lengths = rapid.OneOf(
		rapid.SampledFrom([]float64{0, 0, 20, 50, 100, 1e-9, 1e-3}), rapid.Float64Range(0, 200), rapid.Float64Range(0, 2000))
	coordinates = rapid.OneOf(
		rapid.SampledFrom([]float64{0, 0, 10, -10, 25, -25, 50, -50, 100, -100}),
		rapid.Float64Range(-200, 200), rapid.Float64Range(-2000, 2000))
	points = rapid.Custom(func(t *rapid.T) r3.Vec {
		return vec(coordinates.Draw(t, "x"), coordinates.Draw(t, "y"), coordinates.Draw(t, "z"))
	})
	turns = rapid.OneOf(
		rapid.Just(kinematics.NoRotation),
		rapid.SampledFrom([]kinematics.Rotation{
			{X: vec(0, 1, 0), Y: vec(-1, 0, 0), Z: vec(0, 0, 1)},
			{X: vec(0, 0, -1), Y: vec(0, 1, 0), Z: vec(1, 0, 0)},
			{X: vec(1, 0, 0), Y: vec(0, -1, 0), Z: vec(0, 0, -1)},
		}),
		rapid.Custom(func(t *rapid.T) kinematics.Rotation {
			angle := rapid.Float64Range(-math.Pi, math.Pi)
			return kinematics.FixedXYZ(angle.Draw(t, "rx"), angle.Draw(t, "ry"), angle.Draw(t, "rz"))
		}))
	poses = rapid.Custom(func(t *rapid.T) kinematics.Pose {
		return kinematics.Pose{Position: points.Draw(t, "position"), Rotation: turns.Draw(t, "turn")}
	})
	capsules = rapid.Custom(func(t *rapid.T) kinematics.Capsule {
		c := kinematics.Capsule{From: points.Draw(t, "from"), Radius: lengths.Draw(t, "radius")}
		switch rapid.IntRange(0, 4).Draw(t, "kind") {
		case 0: // along one of the axes
			c.To = c.From
			switch rapid.IntRange(0, 2).Draw(t, "axis") {
			case 0:
				c.To.X += coordinates.Draw(t, "length")
			case 1:
				c.To.Y += coordinates.Draw(t, "length")
			default:
				c.To.Z += coordinates.Draw(t, "length")
			}
		case 1:
			c.To = c.From
		default:
			c.To = points.Draw(t, "to")
		}
		return c
	})
	shapes = rapid.OneOf(
		rapid.Just(clearance.Shape(clearance.HalfSpace{})),
		rapid.Custom(func(t *rapid.T) clearance.Shape { return clearance.Sphere{Radius: lengths.Draw(t, "radius")} }),
		rapid.Custom(func(t *rapid.T) clearance.Shape {
			return clearance.Box{Size: vec(lengths.Draw(t, "x"), lengths.Draw(t, "y"), lengths.Draw(t, "z"))}
		}),
		rapid.Custom(func(t *rapid.T) clearance.Shape {
			return clearance.Cylinder{Radius: lengths.Draw(t, "radius"), Height: lengths.Draw(t, "height")}
		}))
	things = rapid.Custom(func(t *rapid.T) clearance.Thing {
		return clearance.Thing{Name: "thing", Shape: shapes.Draw(t, "shape"), Pose: poses.Draw(t, "pose")}
	})
)

func TestBetweenAgainstSearch(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c, thing := capsules.Draw(t, "capsule"), things.Draw(t, "thing")
		got, want := clearance.Between(c, thing).Distance, bruteBetween(c, thing)
		if !(math.Abs(got-want) <= 1e-9) {
			t.Fatalf("distance %.15g, the search finds %.15g, off by %g", got, want, got-want)
		}
	})
}

func TestBetweenCapsulesAgainstSearch(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := capsules.Draw(t, "a"), capsules.Draw(t, "b")
		got, want := clearance.BetweenCapsules(a, b).Distance, bruteCapsules(a, b)
		if !(math.Abs(got-want) <= 1e-9) {
			t.Fatalf("distance %.15g, the search finds %.15g, off by %g", got, want, got-want)
		}
	})
}

// Segments at every angle down to parallel, crossing or passing each other, are where the textbook's formula loses its
// digits.
func TestNearlyParallelCapsules(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		turn := turns.Draw(t, "turn")
		angle := math.Pow(10, rapid.Float64Range(-17, 0).Draw(t, "log angle"))
		apart := rapid.OneOf(rapid.Just(0.0), rapid.Float64Range(0, 1e-6), rapid.Float64Range(0, 50)).Draw(t, "apart")
		shift := rapid.Float64Range(-600, 600).Draw(t, "shift")
		a := kinematics.Capsule{From: turn.Apply(vec(-500, 0, 0)), To: turn.Apply(vec(500, 0, 0))}
		y := 400 * math.Sin(angle)
		b := kinematics.Capsule{From: turn.Apply(vec(shift-400, -y, apart)), To: turn.Apply(vec(shift+400, y, apart))}
		if rapid.Bool().Draw(t, "turned round") {
			b.From, b.To = b.To, b.From
		}
		for range 2 {
			got, want := clearance.BetweenCapsules(a, b).Distance, bruteCapsules(a, b)
			if !(math.Abs(got-want) <= 1e-9) {
				t.Fatalf("angle %g: distance %.15g, the search finds %.15g, off by %g", angle, got, want, got-want)
			}
			a, b = b, a
		}
	})
}

// The capsules of the reference against the things of the reference, where FCL iterates.
func TestFCLCasesAgainstSearch(t *testing.T) {
	for i, g := range readFCL(t) {
		got, thing := g.gap(t)
		if thing.Shape == nil {
			continue
		}
		if want := bruteBetween(g.capsule(), thing); !(math.Abs(got.Distance-want) <= 1e-11) {
			t.Errorf("case %d, %+v: distance %.15g, the search finds %.15g", i, g, got.Distance, want)
		}
	}
}
