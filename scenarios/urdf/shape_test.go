package urdf

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/internal/draws"
	"handrule/kinematics"
)

// inside reports by how much a point is within the nearest of the capsules; less than 0 is outside.
func inside(capsules []kinematics.Capsule, p r3.Vec) float64 {
	most := math.Inf(-1)
	for _, c := range capsules {
		along := r3.Sub(c.To, c.From)
		s := 0.0
		if n := r3.Norm2(along); n > 0 {
			s = min(1, max(0, r3.Dot(r3.Sub(p, c.From), along)/n))
		}
		most = max(most, c.Radius-r3.Norm(r3.Sub(p, r3.Add(c.From, r3.Scale(s, along)))))
	}
	return most
}

// beyond is how far a point is from the shape, in the shape's frame.
func (s *shape) beyond(p r3.Vec) float64 {
	if s.kind == "cylinder" {
		return math.Hypot(max(0, math.Hypot(p.X, p.Y)-s.size.X), max(0, math.Abs(p.Z)-s.size.Z/2))
	}
	return r3.Norm(r3.Vec{X: max(0, math.Abs(p.X)-s.size.X/2), Y: max(0, math.Abs(p.Y)-s.size.Y/2), Z: max(0, math.Abs(p.Z)-s.size.Z/2)})
}

// By brute force: every point of a shape is within its capsules, and no point of these is further from the shape than is
// told; some is nearly as far.
func TestCapsulesHoldTheirShapes(t *testing.T) {
	r := rand.New(rand.NewPCG(draws.Seed(), 3))
	for range 200 {
		s := shape{kind: "box", size: r3.Vec{X: 1 + 300*r.Float64(), Y: 1 + 300*r.Float64(), Z: 1 + 300*r.Float64()}}
		if r.IntN(2) == 0 {
			s = shape{kind: "cylinder", size: r3.Vec{X: 1 + 100*r.Float64(), Z: 1 + 400*r.Float64()}}
		}
		if r.IntN(8) == 0 {
			s.size.Y, s.size.Z = s.size.X, s.size.X
		}
		s.pose = kinematics.Pose{Position: r3.Vec{X: 5, Y: -7, Z: 9}, Rotation: kinematics.FixedXYZ(r.Float64(), r.Float64(), r.Float64())}
		capsules, off := s.hold(r.IntN(4) == 0)
		for range 300 {
			// A point on the faces or edges, where a shape is furthest out.
			p := r3.Vec{X: 2*r.Float64() - 1, Y: 2*r.Float64() - 1, Z: float64(2*r.IntN(2) - 1)}
			if s.kind == "cylinder" {
				angle := 7 * r.Float64()
				p = r3.Vec{X: s.size.X * math.Cos(angle), Y: s.size.X * math.Sin(angle), Z: p.Z * s.size.Z / 2}
			} else {
				if r.IntN(2) == 0 {
					p.X, p.Y = math.Round(p.X), math.Round(p.Y)
				}
				p = r3.Vec{X: p.X * s.size.X / 2, Y: p.Y * s.size.Y / 2, Z: p.Z * s.size.Z / 2}
			}
			if in := inside(capsules, s.pose.Apply(p)); in < -1e-9 {
				t.Fatalf("%s of %v: %v is %v mm outside", s.kind, s.size, p, -in)
			}
		}
		far, back := 0.0, s.pose.Inverse()
		try := func(centre r3.Vec, radius float64, u r3.Vec) {
			far = max(far, s.beyond(back.Apply(r3.Add(centre, r3.Scale(radius, u)))))
		}
		for _, c := range capsules {
			for range 2000 {
				u := r3.Unit(r3.Vec{X: r.NormFloat64(), Y: r.NormFloat64(), Z: r.NormFloat64()})
				try(c.From, c.Radius, u)
				try(c.To, c.Radius, u)
			}
			for i := range 3 {
				try(c.From, c.Radius, s.pose.Rotation.Axis(i))
				try(c.To, c.Radius, r3.Scale(-1, s.pose.Rotation.Axis(i)))
				try(c.To, c.Radius, s.pose.Rotation.Axis(i))
			}
		}
		if far > off+1e-9 || far < off-1e-6 {
			t.Errorf("%s of %v: stands off by %v mm, told %v", s.kind, s.size, far, off)
		}
	}
}
