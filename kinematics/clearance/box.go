package clearance

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Box is a cuboid about the origin of its frame, its edges along the axes. An edge may have no length.
type Box struct{ Size r3.Vec }

func (b Box) halfSize() r3.Vec { return r3.Scale(0.5, b.Size) }

func (b Box) signed(p r3.Vec) float64 {
	h := b.halfSize()
	x, y, z := math.Abs(p.X)-h.X, math.Abs(p.Y)-h.Y, math.Abs(p.Z)-h.Z
	if deepest := max(x, y, z); deepest <= 0 {
		return deepest
	}
	x, y, z = max(x, 0), max(y, 0), max(z, 0)
	return math.Sqrt(x*x + y*y + z*z)
}

// beyond returns how far x lies outside -h…h, with its sign; zero inside.
func beyond(x, h float64) float64 {
	switch {
	case x > h:
		return x - h
	case x < -h:
		return x + h
	}
	return 0
}

// closest is our own derivation. The squared distance of a point of the segment from the box,
//
//	F(t) = Σ beyond(a_i + t·d_i, h_i)²  over the three axes,
//
// is convex and has a continuous derivative that is linear between the at most six t where the segment's line crosses
// a plane of a face. These t narrow the interval in which the derivative changes sign until it is linear there,
// and the root follows in one division. A segment that gets inside has F = 0 there and is searched by deepest.
func (b Box) closest(a, d r3.Vec) float64 {
	h := b.halfSize()
	slope := func(t float64) float64 { // F'(t)/2
		return beyond(a.X+t*d.X, h.X)*d.X + beyond(a.Y+t*d.Y, h.Y)*d.Y + beyond(a.Z+t*d.Z, h.Z)*d.Z
	}
	low, high := 0.0, 1.0
	slopeLow, slopeHigh := slope(low), slope(high)
	t := 0.0
	switch {
	case slopeLow >= 0: // t is 0
	case slopeHigh <= 0:
		t = 1
	default:
		narrow := func(t float64) {
			if !(t > low && t < high) {
				return
			}
			if s := slope(t); s < 0 {
				low, slopeLow = t, s
			} else {
				high, slopeHigh = t, s
			}
		}
		// A line parallel to a face gives ±Inf or NaN, which narrow ignores.
		narrow((h.X - a.X) / d.X)
		narrow((-h.X - a.X) / d.X)
		narrow((h.Y - a.Y) / d.Y)
		narrow((-h.Y - a.Y) / d.Y)
		narrow((h.Z - a.Z) / d.Z)
		narrow((-h.Z - a.Z) / d.Z)
		t = low + (high-low)*(slopeLow/(slopeLow-slopeHigh))
	}
	if b.signed(along(a, d, t)) > insideTolerance {
		return t
	}
	return b.deepest(a, d, t)
}

// deepest returns the t of the smallest signed distance of a segment that touches the box; t is a first guess.
// Inside, the signed distance is the largest of the six numbers ±p_i - h_i, each linear in t, so its lowest point is
// at an end of the segment or where two of the six are equal (a linear programme in two variables).
func (b Box) deepest(a, d r3.Vec, t float64) float64 {
	size := b.halfSize()
	p, v, h := [3]float64{a.X, a.Y, a.Z}, [3]float64{d.X, d.Y, d.Z}, [3]float64{size.X, size.Y, size.Z}
	lowest := b.signed(along(a, d, t))
	try := func(at float64) {
		if !(at >= 0 && at <= 1) {
			return
		}
		if s := b.signed(along(a, d, at)); s < lowest {
			lowest, t = s, at
		}
	}
	try(0)
	try(1)
	for i := range 3 {
		try(-p[i] / v[i]) // p_i = -p_i
		for j := range i {
			// p_i - h_i = ±p_j - h_j; with both signs turned round it is the same line with ±.
			try((p[j] - h[j] - p[i] + h[i]) / (v[i] - v[j]))
			try((-p[j] - h[j] - p[i] + h[i]) / (v[i] + v[j]))
			try((p[j] - h[j] + p[i] + h[i]) / (-v[i] - v[j]))
			try((-p[j] - h[j] + p[i] + h[i]) / (-v[i] + v[j]))
		}
	}
	return t
}

func (b Box) surface(p r3.Vec) (on, normal r3.Vec) {
	h := b.halfSize()
	out := r3.Vec{X: beyond(p.X, h.X), Y: beyond(p.Y, h.Y), Z: beyond(p.Z, h.Z)}
	on = r3.Sub(p, out)
	if far := length(out); far > grazing {
		return on, r3.Scale(1/far, out)
	}
	// Inside, or as good as on the surface: the nearest face.
	x, y, z := math.Abs(p.X)-h.X, math.Abs(p.Y)-h.Y, math.Abs(p.Z)-h.Z
	switch {
	case x >= y && x >= z:
		on.X, normal.X = math.Copysign(h.X, p.X), math.Copysign(1, p.X)
	case y >= z:
		on.Y, normal.Y = math.Copysign(h.Y, p.Y), math.Copysign(1, p.Y)
	default:
		on.Z, normal.Z = math.Copysign(h.Z, p.Z), math.Copysign(1, p.Z)
	}
	return on, normal
}

func (b Box) check() error {
	for i, mm := range [3]float64{b.Size.X, b.Size.Y, b.Size.Z} {
		if err := checkLength("size along "+"XYZ"[i:i+1], mm); err != nil {
			return err
		}
	}
	return nil
}
