package reference

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Off is how far a pose is from another, which is given as its position and the rows of its rotation matrix: the larger of the
// distance as a part of the other's from the origin, or of 1,000 mm where that is nearer, and of the largest entry's difference.
func Off(at r3.Vec, rows [3][3]float64, want [12]float64) float64 {
	there := r3.Vec{X: want[0], Y: want[1], Z: want[2]}
	most := r3.Norm(r3.Sub(at, there)) / math.Max(1000, r3.Norm(there))
	for i := range 9 {
		most = math.Max(most, math.Abs(rows[i/3][i%3]-want[3+i]))
	}
	return most
}
