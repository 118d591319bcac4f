package kinematics

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// How far apart three points must be for a frame. Common practice, no source: a tip is set down by eye to some
// tenths of a millimetre, which over 10 mm is already a degree or more.
const (
	leastApart  = 10.0              // mm
	goodApart   = 100.0             // mm
	leastCorner = 5 * math.Pi / 180 // rad
)

// TeachFrame returns the frame of three points: its origin, a point on its +X axis, and a point of its X-Y plane on
// the side of +Y. Y follows from the third point by taking away what of it is along X (Gram and Schmidt; Golub and Van
// Loan, Matrix Computations, 5.2.7), and Z is X×Y. Points too close to each other, or too nearly in line, are
// refused with what was measured and what would do.
func TeachFrame(origin, onX, onXY r3.Vec) (Pose, error) {
	if !finite(origin) || !finite(onX) || !finite(onXY) {
		return Pose{}, fmt.Errorf("a point has a number that is not finite")
	}
	x, v := r3.Sub(onX, origin), r3.Sub(onXY, origin)
	if d := r3.Norm(x); d < leastApart {
		return Pose{}, Unfit{Why: PointNear, Is: d, Least: leastApart, Good: goodApart}.said(
			"the point on X is %.2f mm from the origin; at least %.0f mm are needed, and %.0f mm or more are better: "+
				"take it farther along X", d, leastApart, goodApart)
	}
	x = r3.Unit(x)
	y := squareTo(x, v)
	beside := r3.Norm(y)
	if beside < leastApart {
		return Pose{}, Unfit{Why: PointBeside, Is: beside, Least: leastApart, Good: goodApart}.said(
			"the third point is %.2f mm beside the X axis; at least %.0f mm are needed, and %.0f mm or more are better: "+
				"take it farther to the side of Y", beside, leastApart, goodApart)
	}
	// Its angle, from either direction of the axis.
	if corner := math.Asin(min(beside/r3.Norm(v), 1)); corner < leastCorner {
		u := Unfit{Why: PointsInLine, Is: Degrees(corner), Least: Degrees(leastCorner), Good: 90}
		return Pose{}, u.said("the three points are nearly in line: seen from the origin, the third is only %.1f° off the X axis; "+
			"at least %.0f° are needed, and %.0f° are best: take it farther to the side of Y", u.Is, u.Least, u.Good)
	}
	// Once more, so that Y is at right angles to X to the last digit also where the third point was near the axis.
	y = r3.Unit(y)
	y = r3.Unit(squareTo(x, y))
	return Pose{Position: origin, Rotation: Rotation{X: x, Y: y, Z: r3.Cross(x, y)}}, nil
}
