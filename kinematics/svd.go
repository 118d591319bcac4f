package kinematics

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// thinSVD is the singular value decomposition of a matrix of n rows and three columns, A = U·diag(s)·Vᵀ.
type thinSVD struct {
	us     [][3]float64  // U·diag(s), a row for every row of A
	v      [3][3]float64 // its columns are the right singular vectors
	values [3]float64    // s, the largest first
}

// mostSweeps is more than the rotations of three columns need: they converge quadratically.
const mostSweeps = 40

// svdOf makes the columns of A orthogonal by plane rotations from the right (one-sided Jacobi: Golub and Van Loan, Matrix
// Computations, 8.6.3). Their lengths are the singular values, each to a relative accuracy near that of the numbers.
func svdOf(a [][3]float64) thinSVD {
	d := thinSVD{us: slices.Clone(a), v: [3][3]float64{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}}
	for range mostSweeps {
		turned := false
		for p := range 2 {
			for q := p + 1; q < 3; q++ {
				turned = d.rotate(p, q) || turned
			}
		}
		if !turned {
			break
		}
	}
	for j := range d.values {
		d.values[j] = math.Sqrt(d.dot(j, j))
	}
	order := []int{0, 1, 2}
	slices.SortStableFunc(order, func(i, j int) int {
		switch {
		case d.values[i] > d.values[j]:
			return -1
		case d.values[i] < d.values[j]:
			return 1
		}
		return 0
	})
	sorted := thinSVD{us: make([][3]float64, len(a))}
	for to, from := range order {
		sorted.values[to] = d.values[from]
		for i := range d.us {
			sorted.us[i][to] = d.us[i][from]
		}
		for i := range d.v {
			sorted.v[i][to] = d.v[i][from]
		}
	}
	return sorted
}

// rotate makes two columns orthogonal, and reports whether they were not.
func (d *thinSVD) rotate(p, q int) bool {
	pp, qq, pq := d.dot(p, p), d.dot(q, q), d.dot(p, q)
	if pq*pq <= 1e-30*(pp*qq) {
		return false
	}
	c, s := squaring(pp, qq, pq)
	turn := func(row *[3]float64) { row[p], row[q] = c*row[p]-s*row[q], s*row[p]+c*row[q] }
	for i := range d.us {
		turn(&d.us[i])
	}
	for i := range d.v {
		turn(&d.v[i])
	}
	return true
}

// dot is the product of two columns.
func (d *thinSVD) dot(p, q int) (sum float64) {
	for i := range d.us {
		sum += d.us[i][p] * d.us[i][q]
	}
	return sum
}

// solve returns the x for which |A·x − b| is least. A must have three singular values above zero.
func (d *thinSVD) solve(b []float64) r3.Vec {
	var x [3]float64
	for j, s := range d.values {
		sum := 0.0
		for i := range d.us {
			sum += d.us[i][j] * b[i]
		}
		for i := range x {
			x[i] += d.v[i][j] * sum / (s * s)
		}
	}
	return r3.Vec{X: x[0], Y: x[1], Z: x[2]}
}

// column returns a right singular vector.
func (d *thinSVD) column(j int) r3.Vec { return r3.Vec{X: d.v[0][j], Y: d.v[1][j], Z: d.v[2][j]} }
