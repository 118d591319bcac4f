package kinematics

import "math"

// aboutSmallest returns about the smallest singular value of a Jacobian and its vectors, in a part of the time of decompose, by
// power iteration with its inverse (Golub and Van Loan, Matrix Computations, 4th ed., section 8.2.2). It reports false where
// there is no inverse.
func (jac *Jacobian) aboutSmallest() (s Singularity, ok bool) {
	inverse, ok := jac.inverse()
	if !ok {
		return s, false
	}
	// Begin with the longest column, which has most of the direction that is sought.
	column, most := 0, 0.0
	for k := range 6 {
		size := 0.0
		for i := range 6 {
			size += inverse[i][k] * inverse[i][k]
		}
		if size > most {
			column, most = k, size
		}
	}
	s.Lost[column] = 1
	for range 4 {
		var v, u [6]float64
		for i := range 6 {
			v[i] = dot(&inverse[i], &s.Lost)
		}
		size := math.Sqrt(norm2(&v))
		for i := range 6 {
			for k := range 6 {
				u[k] += inverse[i][k] * v[i]
			}
		}
		scale := 1 / math.Sqrt(norm2(&u))
		for i := range 6 {
			s.Racing[i], s.Lost[i] = v[i]/size, u[i]*scale
		}
		s.Smallest = 1 / size
	}
	return s, true
}

// inverse returns the inverse, by elimination with row pivots (Gauss and Jordan), and false where a pivot vanishes.
func (jac *Jacobian) inverse() (inverse Jacobian, ok bool) {
	m := *jac
	var row [6]int // which of the equations each row is
	for i := range row {
		row[i] = i
	}
	for k := range 6 {
		pivot := k
		for i := k + 1; i < 6; i++ {
			if math.Abs(m[i][k]) > math.Abs(m[pivot][k]) {
				pivot = i
			}
		}
		if m[pivot][k] == 0 {
			return inverse, false
		}
		m[k], m[pivot] = m[pivot], m[k]
		row[k], row[pivot] = row[pivot], row[k]
		// In place: column k becomes that of the inverse.
		scale := 1 / m[k][k]
		m[k][k] = 1
		for c := range 6 {
			m[k][c] *= scale
		}
		for i := range 6 {
			if i == k {
				continue
			}
			f := m[i][k]
			m[i][k] = 0
			for c := range 6 {
				m[i][c] -= f * m[k][c]
			}
		}
	}
	for i := range 6 {
		for k := range 6 {
			inverse[i][row[k]] = m[i][k]
		}
	}
	return inverse, true
}
