package clearance

import "gonum.org/v1/gonum/spatial/r3"

// Sphere is a ball about the origin of its frame.
type Sphere struct{ Radius float64 }

// closest: the foot of the centre on the segment (Ericson, Real-Time Collision Detection, 5.1.2).
func (s Sphere) closest(a, d r3.Vec) float64 { return foot(r3.Vec{}, a, d) }

func (s Sphere) signed(p r3.Vec) float64 { return length(p) - s.Radius }

func (s Sphere) surface(p r3.Vec) (on, normal r3.Vec) {
	normal = r3.Vec{Z: 1}
	if r := length(p); r > grazing {
		normal = r3.Scale(1/r, p)
	}
	return r3.Scale(s.Radius, normal), normal
}

func (s Sphere) halfSize() r3.Vec { return r3.Vec{X: s.Radius, Y: s.Radius, Z: s.Radius} }

func (s Sphere) check() error { return checkLength("radius", s.Radius) }
