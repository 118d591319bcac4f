package clearance

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Cylinder has flat ends. Its axis is the Z axis of its frame, and the origin is its middle.
type Cylinder struct{ Radius, Height float64 }

func (c Cylinder) halfSize() r3.Vec { return r3.Vec{X: c.Radius, Y: c.Radius, Z: c.Height / 2} }

// above returns how far p lies outside the curved side and outside the nearer end; negative inside.
func (c Cylinder) above(p r3.Vec) (side, end float64) {
	return math.Sqrt(p.X*p.X+p.Y*p.Y) - c.Radius, math.Abs(p.Z) - c.Height/2
}

func (c Cylinder) signed(p r3.Vec) float64 {
	side, end := c.above(p)
	if deepest := max(side, end); deepest <= 0 {
		return deepest
	}
	side, end = max(side, 0), max(end, 0)
	return math.Sqrt(side*side + end*end)
}

// closest is our own derivation. With ρ(t) the distance of the segment's point from the cylinder's axis, the squared
// distance from the cylinder,
//
//	F(t) = max(ρ-R, 0)² + beyond(z, H/2)²,
//
// is convex, because ρ is, and has a continuous derivative. The derivative is smooth between the t where the segment's
// line passes the planes of the ends (two), the curved side (two) and its own nearest point to the axis. These t
// narrow the interval in which it changes sign. Inside the last interval, where the nearest point may be on a rim and
// the root is that of a quartic, Newton's method finds it, held in the interval and helped by bisection so that it
// always ends. A segment that gets inside has F = 0 there and is searched by deepest.
func (c Cylinder) closest(a, d r3.Vec) float64 {
	R, H := c.Radius, c.Height/2
	across := d.X*d.X + d.Y*d.Y
	slope := func(t float64) (first, second float64) { // F'(t)/2 and F''(t)/2
		x, y, z := a.X+t*d.X, a.Y+t*d.Y, a.Z+t*d.Z
		if r := math.Sqrt(x*x + y*y); r > R {
			rising := (x*d.X + y*d.Y) / r
			first = (r - R) * rising
			second = rising*rising + (r-R)*(across-rising*rising)/r
		}
		if out := beyond(z, H); out != 0 {
			first += out * d.Z
			second += d.Z * d.Z
		}
		return first, second
	}
	low, high := 0.0, 1.0
	slopeLow, _ := slope(low)
	slopeHigh, _ := slope(high)
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
			if s, _ := slope(t); s < 0 {
				low, slopeLow = t, s
			} else {
				high, slopeHigh = t, s
			}
		}
		narrow((H - a.Z) / d.Z)
		narrow((-H - a.Z) / d.Z)
		middle, half := c.chord(a, d, R)
		narrow(middle)
		narrow(middle - half)
		narrow(middle + half)
		t = low + (high-low)*(slopeLow/(slopeLow-slopeHigh))
		for step := range 60 {
			s, second := slope(t)
			if s == 0 {
				break
			}
			if s < 0 {
				low = t
			} else {
				high = t
			}
			next := t - s/second
			if !(next > low && next < high) || step > 8 { // also where the division failed
				next = low + (high-low)/2
			}
			moved := math.Abs(next - t)
			if t = next; moved < 1e-12 {
				break
			}
		}
	}
	if c.signed(along(a, d, t)) > insideTolerance {
		return t
	}
	return c.deepest(a, d, t)
}

// chord returns the t at which the line a+t·d is nearest to the Z axis, and how far in t on either side of it the
// line is at the distance radius from that axis; zero where it never comes so near. Both are NaN for a line along Z.
func (c Cylinder) chord(a, d r3.Vec, radius float64) (middle, half float64) {
	across := d.X*d.X + d.Y*d.Y
	miss := a.X*d.Y - a.Y*d.X // nearest distance times √across
	middle = -(a.X*d.X + a.Y*d.Y) / across
	return middle, math.Sqrt(max(radius*radius-miss*miss/across, 0) / across)
}

// deepest returns the t of the smallest signed distance of a segment that touches the cylinder; t is a first guess.
// Inside, the signed distance is the larger of ρ-R and |z|-H/2, both convex in t, so its lowest point is at an end of
// the segment, at the lowest of one of the two, or where the two are equal: ρ = R - H/2 ± z, a quadratic in t. Its two
// roots lie close together where the segment passes near the cylinder's axis, and lose half their digits there, so
// Newton's method for ρ - R = |z| - H/2 itself, which does not, follows.
func (c Cylinder) deepest(a, d r3.Vec, t float64) float64 {
	lowest := c.signed(along(a, d, t))
	try := func(at float64) {
		if !(at >= 0 && at <= 1) {
			return
		}
		if s := c.signed(along(a, d, at)); s < lowest {
			lowest, t = s, at
		}
	}
	try(0)
	try(1)
	try(-a.Z / d.Z)
	middle, _ := c.chord(a, d, 0)
	try(middle)
	for _, sign := range [2]float64{1, -1} {
		// x² + y² = (k + m·t)²
		k, m := c.Radius-c.Height/2+sign*a.Z, sign*d.Z
		first, second := roots(d.X*d.X+d.Y*d.Y-m*m, a.X*d.X+a.Y*d.Y-k*m, a.X*a.X+a.Y*a.Y-k*k)
		try(c.level(a, d, first))
		try(c.level(a, d, second))
	}
	return t
}

// level returns the t near the given one at which the segment's point is as far from the curved side as from the nearer
// end, by two steps of Newton's method.
func (c Cylinder) level(a, d r3.Vec, t float64) float64 {
	for range 2 {
		p := along(a, d, t)
		side, end := c.above(p)
		rising := (p.X*d.X+p.Y*d.Y)/math.Sqrt(p.X*p.X+p.Y*p.Y) - math.Copysign(d.Z, p.Z*d.Z)
		if next := t - (side-end)/rising; next >= 0 && next <= 1 {
			t = next
		}
	}
	return t
}

// roots returns the solutions of a·t² + 2b·t + c = 0, without cancellation (Press et al., Numerical Recipes, 5.6);
// NaN or ±Inf stand for those that do not exist.
func roots(a, b, c float64) (float64, float64) {
	q := -(b + math.Copysign(math.Sqrt(b*b-a*c), b))
	return q / a, c / q
}

func (c Cylinder) surface(p r3.Vec) (on, normal r3.Vec) {
	r := math.Sqrt(p.X*p.X + p.Y*p.Y)
	radial := r3.Vec{X: 1}
	if r > grazing {
		radial = r3.Vec{X: p.X / r, Y: p.Y / r}
	}
	H := c.Height / 2
	on = p
	if r > c.Radius {
		on.X, on.Y = c.Radius*radial.X, c.Radius*radial.Y
	}
	on.Z -= beyond(p.Z, H)
	out := r3.Sub(p, on)
	if far := length(out); far > grazing {
		return on, r3.Scale(1/far, out)
	}
	// Inside, or as good as on the surface: the nearer of side and end.
	if side, end := c.above(p); side >= end {
		on.X, on.Y = c.Radius*radial.X, c.Radius*radial.Y
		return on, radial
	}
	on.Z = math.Copysign(H, p.Z)
	return on, r3.Vec{Z: math.Copysign(1, p.Z)}
}

func (c Cylinder) check() error {
	if err := checkLength("radius", c.Radius); err != nil {
		return err
	}
	return checkLength("height", c.Height)
}
