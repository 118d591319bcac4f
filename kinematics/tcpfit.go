package kinematics

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// What it takes to find a TCP. Common practice, no source: four touches, tilted by 15° or more to different sides.
// With the directions of the flange 10° apart an error of a touch is some eight times as large in the TCP, with 30° some three times.
const (
	leastTouches = 4
	leastSpread  = 10 * math.Pi / 180 // rad
	goodSpread   = 30 * math.Pi / 180 // rad
)

// TCPFit is a tool centre point found by touching one fixed tip from several directions.
type TCPFit struct {
	TCP       r3.Vec    // in the flange's frame, mm
	Tip       r3.Vec    // in the frame the flange's poses are given in, mm
	Residuals []float64 // how far each touch is from the tip, mm
	RMS       float64   // root of the mean of the residuals' squares, mm
	Max       float64   // the largest residual, mm
	// Spread is how far the flange was turned between the two touches that differ most, in rad, counted for the
	// direction of the flange for which this is least, Weakest: along it the TCP is known worst.
	Spread  float64
	Weakest r3.Vec
	// Magnification is the standard deviation in mm of the TCP along Weakest, per mm of standard deviation of every
	// coordinate of every touch.
	Magnification float64
}

// Weak reports whether the touches are so much alike that one should take more from other directions, though they do. The
// spread is taken in whole degrees, as it is told.
func (f TCPFit) Weak() bool { return math.Round(Degrees(f.Spread)) < math.Round(Degrees(goodSpread)) }

// FitTCP finds the TCP from the flange's poses p_i, R_i while the tool touches the same tip: the t and c of
//
//	p_i + R_i·t = c   for every touch,
//
// by linear least squares (pivot calibration, as is common practice). Without the mean over the touches, c drops out,
//
//	(R_i - R̄)·t = -(p_i - p̄),   c = p̄ + R̄·t,
//
// and t follows from the singular value decomposition of the 3n×3 matrix on the left (Golub and Van Loan, Matrix
// Computations, 5.5), whose smallest singular value says how well t is known. Fewer than four touches, and touches too
// much alike, are refused with what was measured and what would do.
func FitTCP(flanges []Pose) (TCPFit, error) {
	n := len(flanges)
	if n < leastTouches {
		return TCPFit{}, Unfit{Why: TouchesFew, Is: float64(n), Least: leastTouches}.said(
			"%d touches are too few; touch the tip from at least %d directions", n, leastTouches)
	}
	var middle r3.Vec
	var mean Rotation
	for i, f := range flanges {
		if !f.finite() {
			return TCPFit{}, fmt.Errorf("touch %d has a number that is not finite", i+1)
		}
		share := 1 / float64(n)
		middle = r3.Add(middle, r3.Scale(share, f.Position))
		mean.X = r3.Add(mean.X, r3.Scale(share, f.Rotation.X))
		mean.Y = r3.Add(mean.Y, r3.Scale(share, f.Rotation.Y))
		mean.Z = r3.Add(mean.Z, r3.Scale(share, f.Rotation.Z))
	}
	var left [][]float64
	var right []float64
	for _, f := range flanges {
		r, m := f.Rotation.Matrix(), mean.Matrix()
		p := r3.Sub(middle, f.Position)
		for row, x := range [3]float64{p.X, p.Y, p.Z} {
			left = append(left, []float64{r[row][0] - m[row][0], r[row][1] - m[row][1], r[row][2] - m[row][2]})
			right = append(right, x)
		}
	}
	svd := svdOf(left)
	fit := TCPFit{Weakest: upright(svd.column(2))}
	fit.Spread = widest(flanges, fit.Weakest)
	if fit.Spread < leastSpread {
		u := Unfit{Why: TouchesAlike, Is: Degrees(fit.Spread), Least: Degrees(leastSpread), Good: Degrees(goodSpread), Along: fit.Weakest}
		return TCPFit{}, u.said("the touches are too much alike: the flange's direction (%.2f, %.2f, %.2f) differs by no more than %.1f° "+
			"between any two; at least %.0f° are needed, and %.0f° or more are better: tilt the tool farther, about another axis, and touch again",
			u.Along.X, u.Along.Y, u.Along.Z, u.Is, u.Least, u.Good)
	}
	fit.Magnification = 1 / svd.values[2]
	x := svd.solve(right, 3)
	fit.TCP = r3.Vec{X: x[0], Y: x[1], Z: x[2]}
	fit.Tip = r3.Add(middle, mean.Apply(fit.TCP))
	sum := 0.0
	for _, f := range flanges {
		off := r3.Norm(r3.Sub(f.Apply(fit.TCP), fit.Tip))
		fit.Residuals = append(fit.Residuals, off)
		fit.Max = max(fit.Max, off)
		sum += off * off
	}
	fit.RMS = math.Sqrt(sum / float64(n))
	return fit, nil
}

// widest returns the largest angle in rad between a direction of the flange at two of the poses.
func widest(flanges []Pose, direction r3.Vec) (most float64) {
	for i, f := range flanges {
		a := f.Rotation.Apply(direction)
		for _, g := range flanges[:i] {
			b := g.Rotation.Apply(direction)
			most = max(most, math.Atan2(r3.Norm(r3.Cross(a, b)), r3.Dot(a, b)))
		}
	}
	return most
}

// upright returns v or -v, whichever has its largest part positive.
func upright(v r3.Vec) r3.Vec {
	largest := v.X
	for _, x := range [2]float64{v.Y, v.Z} {
		if math.Abs(x) > math.Abs(largest) {
			largest = x
		}
	}
	if largest < 0 {
		return r3.Scale(-1, v)
	}
	return v
}
