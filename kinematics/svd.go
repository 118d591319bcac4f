package kinematics

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// thinSVD is the singular value decomposition of a matrix of few columns, A = U·diag(s)·Vᵀ.
type thinSVD struct {
	us     [][]float64 // U·diag(s), a row for every row of A
	v      [][]float64 // its columns are the right singular vectors
	values []float64   // s, the largest first
}

// mostSweeps is more than the rotations of a few columns need: they converge quadratically.
const mostSweeps = 40

// svdOf makes the columns of A orthogonal by plane rotations from the right (one-sided Jacobi: Golub and Van Loan, Matrix
// Computations, 8.6.3). Their lengths are the singular values, each to a relative accuracy near that of the numbers.
func svdOf(a [][]float64) thinSVD {
	columns := len(a[0])
	d := thinSVD{values: make([]float64, columns)}
	for _, row := range a {
		d.us = append(d.us, slices.Clone(row))
	}
	for i := range columns {
		d.v = append(d.v, make([]float64, columns))
		d.v[i][i] = 1
	}
	for range mostSweeps {
		turned := false
		for p := range columns - 1 {
			for q := p + 1; q < columns; q++ {
				turned = d.rotate(p, q) || turned
			}
		}
		if !turned {
			break
		}
	}
	order := make([]int, columns)
	for j := range d.values {
		d.values[j], order[j] = math.Sqrt(d.dot(j, j)), j
	}
	slices.SortStableFunc(order, func(i, j int) int { return cmp.Compare(d.values[j], d.values[i]) })
	d.values = permuted(d.values, order)
	for i := range d.us {
		d.us[i] = permuted(d.us[i], order)
	}
	for i := range d.v {
		d.v[i] = permuted(d.v[i], order)
	}
	return d
}

func permuted(row []float64, order []int) []float64 {
	sorted := make([]float64, len(row))
	for to, from := range order {
		sorted[to] = row[from]
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
	for _, rows := range [][][]float64{d.us, d.v} {
		for _, row := range rows {
			row[p], row[q] = c*row[p]-s*row[q], s*row[p]+c*row[q]
		}
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

// solve returns the x for which |A·x − b| is least; of many, with only the first so many singular values, the shortest.
func (d *thinSVD) solve(b []float64, rank int) []float64 {
	x := make([]float64, len(d.values))
	for j, s := range d.values[:rank] {
		sum := 0.0
		for i := range d.us {
			sum += d.us[i][j] * b[i]
		}
		for i := range x {
			x[i] += d.v[i][j] * sum / (s * s)
		}
	}
	return x
}

// column returns a right singular vector of a matrix of three columns.
func (d *thinSVD) column(j int) r3.Vec { return r3.Vec{X: d.v[0][j], Y: d.v[1][j], Z: d.v[2][j]} }

// LeastSquares returns the x for which |A·x − b| is least, and how many ways of it A settles: those whose singular values are more than a
// part of the largest. In the others x has no part.
func LeastSquares(a [][]float64, b []float64, part float64) (x []float64, rank int) {
	d := svdOf(a)
	for rank < len(d.values) && d.values[rank] > part*d.values[0] {
		rank++
	}
	return d.solve(b, rank), rank
}
