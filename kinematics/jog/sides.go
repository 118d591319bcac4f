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
		if d := determinant(jacobian); d != 0 {
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

// onSingularity is a measure of a singularity, rad or mm, below which rounding may decide on which side the arm is.
const onSingularity = 1e-7

// opposite reports whether a singularity lies between s and t.
func (s sides) opposite(t sides) bool { return s&(t>>3|t<<3) != 0 }

// determinant is found by Gaussian elimination with row pivots (Golub and Van Loan, Matrix Computations, 4th ed.,
// section 3.4). Only its sign is of use: rows 1 to 3 are in mm. It is zero where rounding decides on the sign, as all along a path on
// which the arm can stand in infinitely many ways.
func determinant(m kinematics.Jacobian) float64 {
	det, most := 1.0, 1.0 // most: what it can be with rows of these lengths (Hadamard)
	for _, row := range m {
		size := 0.0
		for _, x := range row {
			size += x * x
		}
		most *= math.Sqrt(size)
	}
	for k := range m {
		pivot := k
		for row := k + 1; row < 6; row++ {
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
		for row := k + 1; row < 6; row++ {
			part := m[row][k] / m[k][k]
			for col := k; col < 6; col++ {
				m[row][col] -= part * m[k][col]
			}
		}
	}
	if math.Abs(det) < 1e-14*most {
		return 0
	}
	return det
}
