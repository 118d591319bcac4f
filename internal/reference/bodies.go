package reference

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// This file is a second opinion on distances, with nothing of the package that it judges: the signed distance of a point from each body, written
// from the bodies' definitions, and a search along a capsule's axis that only relies on that distance being convex.

// Solid returns the signed distance of a point, in the body's own frame, from a convex body: negative inside.
type Solid func(p r3.Vec) float64

// Ball is a sphere about the origin.
func Ball(radius float64) Solid {
	return func(p r3.Vec) float64 { return math.Sqrt(p.X*p.X+p.Y*p.Y+p.Z*p.Z) - radius }
}

// HalfSpace is what lies below Z = 0.
func HalfSpace(p r3.Vec) float64 { return p.Z }

// Box has its middle at the origin.
func Box(size r3.Vec) Solid {
	h := [3]float64{size.X / 2, size.Y / 2, size.Z / 2}
	return func(p r3.Vec) float64 {
		x := [3]float64{p.X, p.Y, p.Z}
		sum, inside := 0.0, math.Inf(1)
		for i := range x {
			nearest := math.Max(-h[i], math.Min(h[i], x[i]))
			sum += (x[i] - nearest) * (x[i] - nearest)
			inside = math.Min(inside, math.Min(h[i]-x[i], h[i]+x[i]))
		}
		if sum > 0 {
			return math.Sqrt(sum)
		}
		return -inside
	}
}

// Cylinder has its middle at the origin and its axis along Z.
func Cylinder(radius, height float64) Solid {
	return func(p r3.Vec) float64 {
		r, z := math.Hypot(p.X, p.Y), math.Abs(p.Z)
		switch R, H := radius, height/2; {
		case r <= R && z <= H:
			return -math.Min(R-r, H-z)
		case r <= R:
			return z - H
		case z <= H:
			return r - R
		default:
			return math.Hypot(r-R, z-H)
		}
	}
}

// lowest returns the least value of the convex function f on 0…1. At the end f is flat to rounding, so the value is good although the place
// is not.
func lowest(f func(float64) float64) float64 {
	return min(f(0), f(1), Golden(f, 0, 1, 90))
}

// Golden narrows the place of the least value of f, which falls and then rises between low and high, by so many golden sections (Press et al.,
// Numerical Recipes, 10.2), and returns the least value that it meets.
func Golden(f func(float64) float64, low, high float64, sections int) float64 {
	const golden = 0.6180339887498949
	a, b := high-golden*(high-low), low+golden*(high-low)
	fa, fb := f(a), f(b)
	best := min(fa, fb)
	for range sections {
		if fa < fb {
			high, b, fb = b, a, fa
			a = high - golden*(high-low)
			fa = f(a)
		} else {
			low, a, fa = a, b, fb
			b = low + golden*(high-low)
			fb = f(b)
		}
		best = min(best, fa, fb)
	}
	return best
}

// Axis is the segment about which a capsule lies.
type Axis struct{ From, To r3.Vec }

func (a Axis) at(t float64) r3.Vec { return r3.Add(r3.Scale(1-t, a.From), r3.Scale(t, a.To)) }

// ToSolid is the least signed distance of a point of the axis from a solid.
func (a Axis) ToSolid(solid Solid) float64 {
	return lowest(func(t float64) float64 { return solid(a.at(t)) })
}

// ToAxis is the least distance of a point of the axis from one of the other.
func (a Axis) ToAxis(b Axis) float64 {
	return lowest(func(t float64) float64 { return b.toPoint(a.at(t)) })
}

// toPoint is the distance of a point, which is that of the foot of its perpendicular, or of an end where that is beyond.
func (a Axis) toPoint(p r3.Vec) float64 {
	way, along := r3.Sub(p, a.From), r3.Sub(a.To, a.From)
	if long := r3.Norm2(along); long > 0 {
		way = r3.Sub(way, r3.Scale(min(max(r3.Dot(way, along)/long, 0), 1), along))
	}
	return math.Sqrt(r3.Norm2(way))
}
