package jog

import (
	"math"

	"handrule/kinematics"
)

// sides says on which side of each of its singularities an arm is, as far as that has two sides: bits 0 to 2 on the one
// of wrist, elbow and shoulder, bits 3 to 5 on the other; neither bit where the arm is exactly in the singularity. An arm
// without measures of them has one bit for the sign of its Jacobian's determinant. On a path that the arm can follow the
// side changes only where a singularity is passed, so it tells a passage from a leap to other joint angles.
type sides uint8

func sidesOf(arm *kinematics.Arm, tool kinematics.Pose, q kinematics.Joints) (s sides) {
	at := arm.Indicators(q)
	measures := [3]float64{math.Sin(at.Wrist), math.Sin(at.Elbow), at.Shoulder}
	if math.IsNaN(measures[0] + measures[1] + measures[2]) {
		_, jacobian := arm.Jacobian(q, tool)
		measures = [3]float64{}
		var m [7][7]float64
		for k := range jacobian {
			copy(m[k][:], jacobian[k][:])
		}
		if d := determinant(&m, 6); d != 0 {
			measures[0] = math.Copysign(1, d)
		}
	}
	for i, m := range measures {
		switch {
		case m > onSingularity:
			s |= 1 << i
		case m < -onSingularity:
			s |= 8 << i
		}
	}
	return s
}

// parity is the side of an arm that stands in infinitely many ways all along its path, so that its determinant is zero everywhere. It
// may have one more singularity there, as where a wrist is straight too, behind which its joints lead on elsewhere. What changes its
// sign only there is the determinant of the Jacobian bordered by the motion that is lost and by the joint speeds that it takes
// (Griewank and Reddien, SIAM J. Numerical Analysis 21(1), 1984). The sign of these is arbitrary, so they are carried on from place to place.
type parity struct {
	lost   [6]float64
	racing kinematics.Joints
	sign   float64 // of the determinant with these
	side   sides
}

// newParity returns that of a path's beginning.
func newParity(arm *kinematics.Arm, tool kinematics.Pose, q *kinematics.Joints) parity {
	return parity{side: 1}.at(arm, tool, q)
}

// at returns that of the next place.
func (p parity) at(arm *kinematics.Arm, tool kinematics.Pose, q *kinematics.Joints) parity {
	s := arm.Singularity(*q, tool)
	_, m := arm.Jacobian(*q, tool)
	for row := range 3 {
		for col := range m[row] {
			m[row][col] /= s.Length
		}
	}
	to := parity{lost: s.Lost, racing: s.Racing, sign: bordered(&m, &s.Lost, &s.Racing), side: p.side}
	switch before := p.sign * bordered(&m, &p.lost, &p.racing); {
	case to.sign == 0: // right in the singularity
		return p
	case before < 0:
		to.side = p.side>>3 | p.side<<3
	}
	return to
}

// bordered is the determinant of the Jacobian with one more column and row.
func bordered(jacobian *kinematics.Jacobian, column *[6]float64, row *kinematics.Joints) float64 {
	var m [7][7]float64
	for k := range jacobian {
		copy(m[k][:], jacobian[k][:])
		m[k][6], m[6][k] = column[k], row[k]
	}
	return determinant(&m, 7)
}

// onSingularity is a measure of a singularity, rad or mm, below which rounding may decide on which side the arm is.
const onSingularity = 1e-7

// opposite reports whether a singularity lies between s and t.
func (s sides) opposite(t sides) bool { return s&(t>>3|t<<3) != 0 }

// determinant is found by Gaussian elimination with row pivots (Golub and Van Loan, Matrix Computations, 4th ed.,
// section 3.4), of the first rows and columns. Only its sign is of use: rows 1 to 3 are in mm. It is zero where rounding decides on the sign, as all along a path on
// which the arm can stand in infinitely many ways.
func determinant(m *[7][7]float64, size int) float64 {
	det, most := 1.0, 1.0 // most: what it can be with rows of these lengths (Hadamard)
	for _, row := range m[:size] {
		length := 0.0
		for _, x := range row {
			length += x * x
		}
		most *= math.Sqrt(length)
	}
	for k := range size {
		pivot := k
		for row := k + 1; row < size; row++ {
			if math.Abs(m[row][k]) > math.Abs(m[pivot][k]) {
				pivot = row
			}
		}
		if pivot != k {
			m[k], m[pivot] = m[pivot], m[k]
			det = -det
		}
		if m[k][k] == 0 {
			return 0
		}
		det *= m[k][k]
		for row := k + 1; row < size; row++ {
			part := m[row][k] / m[k][k]
			for col := k; col < size; col++ {
				m[row][col] -= part * m[k][col]
			}
		}
	}
	if math.Abs(det) < 1e-14*most {
		return 0
	}
	return det
}
