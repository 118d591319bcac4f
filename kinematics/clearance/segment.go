package clearance

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// foot returns the t in 0…1 of the point a+t·d nearest to p (Ericson, Real-Time Collision Detection, 5.1.2).
func foot(p, a, d r3.Vec) float64 {
	length2 := r3.Norm2(d)
	if length2 == 0 {
		return 0
	}
	return clamp01(r3.Dot(r3.Sub(p, a), d) / length2)
}

func clamp01(t float64) float64 { return min(max(t, 0), 1) }

// segments returns the s and t in 0…1 at which a+s·u and b+t·v are nearest to each other. It clamps as Ericson does
// (Real-Time Collision Detection, 5.1.9): s of the infinite lines into the first segment, then t into the second, then
// s again where t was clamped. What is ours is how s is found: from the cross product n = u×v,
//
//	s = n·((b-a)×v) / n·n,
//
// and not from |u|²|v|² - (u·v)². For lines at a small angle ε that difference keeps only the square of the relative
// precision that n keeps; here the error of s times ε times |u|, which is what it costs in distance, stays at rounding
// for every ε, down to parallel lines, where any s will do.
func segments(a, u, b, v r3.Vec) (s, t float64) {
	n := r3.Cross(u, v)
	if n2 := r3.Norm2(n); n2 > 0 {
		s = clamp01(r3.Dot(n, r3.Cross(r3.Sub(b, a), v)) / n2)
	}
	if math.IsNaN(s) { // n2 so small that its inverse overflows
		s = 0
	}
	t = foot(along(a, u, s), b, v)
	return foot(along(b, v, t), a, u), t
}

// acrossBoth returns a unit vector at right angles to u and v, or to the longer one where they are as good as parallel
// or one has no length.
func acrossBoth(u, v r3.Vec) r3.Vec {
	n := r3.Cross(u, v)
	if r3.Norm2(v) > r3.Norm2(u) {
		u, v = v, u
	}
	if length(n) > grazing*length(u)*length(v) {
		return r3.Unit(n)
	}
	// Across u and the coordinate axis that is farthest from it.
	across := r3.Vec{Z: 1}
	switch x, y, z := math.Abs(u.X), math.Abs(u.Y), math.Abs(u.Z); {
	case x <= y && x <= z:
		across = r3.Vec{X: 1}
	case y <= z:
		across = r3.Vec{Y: 1}
	}
	if n = r3.Cross(u, across); n == (r3.Vec{}) {
		return across
	}
	return r3.Unit(n)
}
