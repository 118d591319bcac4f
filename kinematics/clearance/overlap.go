package clearance

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// overlapPrecision in mm is how well Overlap finds its radius.
const overlapPrecision = 1e-3

// Overlap returns the radius in mm of the largest ball that fits into both things, to 0.001 mm; 0 where they do not
// overlap. It is for looking over a cell once, not for every tick. Two half-spaces are not compared: the answer is 0.
//
// The radius is -min f of f(p) = the larger of p's signed distances from the two, which is convex, because the shapes
// are. The minimum is found by the ellipsoid method with deep cuts (Grötschel, Lovász and Schrijver, Geometric
// Algorithms and Combinatorial Optimization, 3.1), which says itself how near it is and so ends by itself.
func Overlap(a, b Thing) float64 {
	if math.IsInf(size(a), 1) || size(a) > size(b) {
		a, b = b, a
	}
	if math.IsInf(size(a), 1) {
		return 0
	}
	// The ellipsoid (x-centre)ᵀP⁻¹(x-centre) ≤ 1 holds the lowest point; at first it is the ball about the smaller thing.
	centre, P := a.Pose.Position, [3]r3.Vec{}
	radius := size(a)
	P[0].X, P[1].Y, P[2].Z = radius*radius, radius*radius, radius*radius
	lowest := math.Inf(1)
	const n = 3
	for range 2000 {
		f, slope := a.signedAt(centre)
		if g, other := b.signedAt(centre); g > f {
			f, slope = g, other
		}
		lowest = min(lowest, f)
		along := r3.Vec{X: r3.Dot(P[0], slope), Y: r3.Dot(P[1], slope), Z: r3.Dot(P[2], slope)}
		half := math.Sqrt(r3.Dot(slope, along)) // f is nowhere in the ellipsoid lower than this below here
		if !(half > overlapPrecision) || f-half > 0 {
			break
		}
		deep := (f - lowest) / half
		along = r3.Scale(1/half, along)
		centre = r3.Sub(centre, r3.Scale((1+n*deep)/(n+1), along))
		grow, cut := n*n*(1-deep*deep)/(n*n-1), 2*(1+n*deep)/((n+1)*(1+deep))
		for i, x := range [3]float64{along.X, along.Y, along.Z} {
			P[i] = r3.Scale(grow, r3.Sub(P[i], r3.Scale(cut*x, along)))
		}
	}
	return max(0, -lowest)
}

// size is the radius of a ball about the thing's origin that holds it.
func size(t Thing) float64 { return length(t.Shape.halfSize()) }

// signedAt returns the signed distance of p from the thing's surface, and its slope there.
func (t Thing) signedAt(p r3.Vec) (distance float64, slope r3.Vec) {
	p = into(&t.Pose.Rotation, r3.Sub(p, t.Pose.Position))
	_, normal := t.Shape.surface(p)
	return t.Shape.signed(p), t.Pose.Rotation.Apply(normal)
}
