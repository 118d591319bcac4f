package reference

import (
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"
)

// This file is an inverse of the tests' own, in gonum's linear algebra, with nothing of the solver that it judges.

// Residual is what a pose misses of its goal: by move, a length as a part of the arm's, and by half the sum of the cross products of
// the axes, which is the sine of the angle about the axis of the turn; it vanishes nowhere else but at half a turn.
func Residual(move r3.Vec, axes, goal [3]r3.Vec) *mat.VecDense {
	turn := r3.Vec{}
	for i := range axes {
		turn = r3.Add(turn, r3.Scale(0.5, r3.Cross(axes[i], goal[i])))
	}
	return mat.NewVecDense(6, []float64{move.X, move.Y, move.Z, turn.X, turn.Y, turn.Z})
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
func (d Descent) Descend(q [6]float64, residual func(q [6]float64) (*mat.VecDense, *mat.Dense)) ([6]float64, float64) {
	e, m := residual(q)
	size, damping := mat.Norm(e, 2), d.Damping
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
		var normal mat.Dense
		var right, step mat.VecDense
		normal.Mul(m.T(), m)
		for i := range 6 {
			normal.Set(i, i, normal.At(i, i)+damping)
		}
		right.MulVec(m.T(), e)
		if step.SolveVec(&normal, &right) != nil && damping < 1e-12 {
			damping = 1e-10
			continue
		}
		next := q
		for i := range next {
			next[i] += step.AtVec(i)
		}
		if e2, m2 := residual(next); mat.Norm(e2, 2) < size {
			q, e, m, size = next, e2, m2, mat.Norm(e2, 2)
			damping /= 30
			bound()
		} else if damping = 10*damping + 1e-16; damping > 1e3 {
			break
		}
	}
	return q, size
}
