package reference

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// This file is an inverse of the tests' own, with nothing of the solver that it judges.

// Residual is what a pose misses of its goal: by move, a length as a part of the arm's, and by half the sum of the cross products of
// the axes, which is the sine of the angle about the axis of the turn; it vanishes nowhere else but at half a turn.
func Residual(move r3.Vec, axes, goal [3]r3.Vec) [6]float64 {
	turn := r3.Vec{}
	for i := range axes {
		turn = r3.Add(turn, r3.Scale(0.5, r3.Cross(axes[i], goal[i])))
	}
	return [6]float64{move.X, move.Y, move.Z, turn.X, turn.Y, turn.Z}
}

// Size is the length of a residual.
func Size(e [6]float64) float64 {
	sum := 0.0
	for _, x := range e {
		sum += x * x
	}
	return math.Sqrt(sum)
}

// Descent is how Descend goes on.
type Descent struct {
	Steps   int     // at most
	Damping float64 // at first; at most the square of what is missed where Gentle is set
	Gentle  bool    // so that the last steps to a singular pose can be taken
	Enough  float64 // what may be missed
}

// Descend makes damped Gauss-Newton steps of least joint motion (Levenberg and Marquardt's) from q. The residual comes with its
// Jacobian. It returns the joint angles it gets to, and the size of what is missed there.
func (d Descent) Descend(q [6]float64, residual func(q [6]float64) (e [6]float64, jacobian [6][6]float64)) ([6]float64, float64) {
	e, m := residual(q)
	size, damping := Size(e), d.Damping
	bound := func() {
		if d.Gentle {
			damping = min(damping, size*size)
		}
	}
	bound()
	for range d.Steps {
		if size < d.Enough {
			break
		}
		step, ok := dampedStep(&m, &e, damping)
		if !ok && damping < 1e-12 {
			damping = 1e-10
			continue
		}
		next := q
		for i := range next {
			next[i] += step[i]
		}
		e2, m2 := residual(next)
		if size2 := Size(e2); size2 < size {
			q, e, m, size = next, e2, m2, size2
			damping /= 30
			bound()
		} else if damping = 10*damping + 1e-16; damping > 1e3 {
			break
		}
	}
	return q, size
}

// dampedStep returns the x for which |m·x − e|² + damping·|x|² is least, by Householder's reflections of the two stacked (Golub and Van Loan, Matrix
// Computations, 5.2 and 5.3), and false where rounding leaves it undetermined.
func dampedStep(m *[6][6]float64, e *[6]float64, damping float64) (x [6]float64, ok bool) {
	var a [12][7]float64 // the last column is the right side
	root := math.Sqrt(damping)
	for i := range 6 {
		copy(a[i][:6], m[i][:])
		a[i][6] = e[i]
		a[6+i][i] = root
	}
	largest := 0.0
	for k := range 6 {
		last := 6 + k // rows below are still zero in this column
		sum := 0.0
		for i := k; i <= last; i++ {
			sum += a[i][k] * a[i][k]
		}
		norm := math.Sqrt(sum)
		largest = max(largest, norm)
		if norm <= 1e-16*largest || norm == 0 {
			return x, false
		}
		if a[k][k] > 0 {
			norm = -norm
		}
		head := a[k][k] - norm
		scale := -1 / (norm * head) // 2/|v|²
		for j := k + 1; j < 7; j++ {
			along := head * a[k][j]
			for i := k + 1; i <= last; i++ {
				along += a[i][k] * a[i][j]
			}
			along *= scale
			a[k][j] -= along * head
			for i := k + 1; i <= last; i++ {
				a[i][j] -= along * a[i][k]
			}
		}
		a[k][k] = norm
	}
	for k := 5; k >= 0; k-- {
		sum := a[k][6]
		for j := k + 1; j < 6; j++ {
			sum -= a[k][j] * x[j]
		}
		x[k] = sum / a[k][k]
	}
	return x, true
}
