package kinematics

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// This file is the elimination of Raghavan and Roth ("Inverse kinematics of the general 6R manipulator", J. Mechanical
// Design 115, 1993), in trigonometric form. Axis 6, as a line and a point of it, is seen from both sides: carried by
// joints 3, 4 and 5, and carried back by joints 1 and 2 from where the goal has it. Fourteen functions of a line and
// its point are on either side linear in the cosine and sine of each of these joints. Eight of the fourteen equations
// serve to remove joints 1 and 2; the remaining six, each times the cosine and the sine of half of joint 4, make a
// square matrix whose determinant, a trigonometric polynomial of degree eight in joint 3, vanishes at the solutions.
//
// Six joints and a goal make a ring, and any joint can be the first. Where two solutions share the third joint, or a
// special geometry makes the determinant vanish everywhere, another joint as the first often sees them apart.

// ring is the six axes in the order of elimination, and the displacement that turning all of them must give.
type ring struct {
	joints [6]Joint
	goal   Pose
}

// startingAt returns the ring beginning with joint first. Moving an axis from the beginning to the end carries it back
// through the goal: turn·rest = goal is the same as rest·(goal⁻¹·turn·goal) = goal.
func (r ring) startingAt(first int) ring {
	back := r.goal.Inverse()
	out := ring{goal: r.goal}
	for i := range out.joints {
		k := first + i
		j := r.joints[k%6]
		if k >= 6 {
			j.At, j.Axis = back.Apply(j.At), back.Rotation.Apply(j.Axis)
		}
		out.joints[i] = j
	}
	return out
}

// pointedLine is a line and a point of it.
type pointedLine struct{ point, along r3.Vec }

func (p *Pose) carry(l pointedLine) pointedLine {
	return pointedLine{p.Apply(l.point), p.Rotation.Apply(l.along)}
}

// fourteen are functions of a line and its point that a displacement changes into linear combinations of
// themselves: the direction l, the point p, the moment p×l, (p·p)·l − 2(p·l)·p, p·p and p·l.
type fourteen [14]float64

func (l *pointedLine) functions() fourteen {
	p, d := l.point, l.along
	m := r3.Cross(p, d)
	pp, pl := r3.Dot(p, p), r3.Dot(p, d)
	w := r3.Sub(r3.Scale(pp, d), r3.Scale(2*pl, p))
	return fourteen{d.X, d.Y, d.Z, p.X, p.Y, p.Z, m.X, m.Y, m.Z, w.X, w.Y, w.Z, pp, pl}
}

// about returns the displacement of turning about j.
func (j *Joint) about(d direction) Pose {
	v := 1 - d.cos
	x, y, z := j.Axis.X, j.Axis.Y, j.Axis.Z
	r := Rotation{
		X: r3.Vec{X: d.cos + v*x*x, Y: v*x*y + d.sin*z, Z: v*x*z - d.sin*y},
		Y: r3.Vec{X: v*x*y - d.sin*z, Y: d.cos + v*y*y, Z: v*y*z + d.sin*x},
		Z: r3.Vec{X: v*x*z + d.sin*y, Y: v*y*z - d.sin*x, Z: d.cos + v*z*z},
	}
	return Pose{Position: r3.Sub(j.At, r.Apply(j.At)), Rotation: r}
}

// quarters are the three angles that tell a linear function of cosine, sine and one.
var quarters = [3]direction{{1, 0}, {0, 1}, {-1, 0}}

// fitted turns a linear function's values at quarters into its coefficients of cosine, sine and one.
func fitted(at0, at90, at180 float64) (cos, sin, one float64) {
	one = (at0 + at180) / 2
	return (at0 - at180) / 2, at90 - one, one
}

// bilinear is one equation: coefficients of (cosine, sine, one) of joint 4 times those of joint 5.
type bilinear [3][3]float64

// equations are the six that hold for joints 3, 4 and 5: each the sum of three bilinear ones in joints 4 and 5, times
// the cosine and sine of joint 3, and one.
type equations [3][6]bilinear

// samples are the values of the fourteen functions at all quarters of some joints, and then their coefficients.
type (
	threeJoints [14][3][3][3]float64 // by joint 3, 4, 5
	twoJoints   [14][9]float64       // by joint 1 and 2; the last is the constant
)

// eliminated returns the equations that are left when joints 1 and 2 are removed.
func (r *ring) eliminated() (e equations) {
	var left threeJoints
	var right twoJoints
	r.sample(&left, &right)
	for n := range left {
		left.fit(n)
		right.fit(n)
		// What does not depend on joints 1 and 2 goes to the other side.
		left[n][2][2][2] -= right[n][8]
	}
	triangulate(&left, &right)
	for n := range 6 {
		for a := range 3 {
			e[a][n] = left[8+n][a]
		}
	}
	return e
}

// sample writes the fourteen functions of axis 6 on either side.
func (r *ring) sample(left *threeJoints, right *twoJoints) {
	line := pointedLine{r.joints[5].At, r.joints[5].Axis}
	var turn [5][3]Pose
	for i := range turn {
		for k, d := range quarters {
			if i < 2 {
				d.sin = -d.sin // carried back
			}
			turn[i][k] = r.joints[i].about(d)
		}
	}
	goal := r.goal.carry(line)
	for a := range 3 {
		by5 := turn[4][a].carry(line)
		by1 := turn[0][a].carry(goal)
		for b := range 3 {
			by4 := turn[3][b].carry(by5)
			by2 := turn[1][b].carry(by1)
			for n, v := range by2.functions() {
				right[n][3*a+b] = v
			}
			for c := range 3 {
				by3 := turn[2][c].carry(by4)
				for n, v := range by3.functions() {
					left[n][c][b][a] = v
				}
			}
		}
	}
}

// fit turns the values of function n into coefficients, joint by joint.
func (l *threeJoints) fit(n int) {
	f := &l[n]
	for i := range 3 {
		for k := range 3 {
			f[0][i][k], f[1][i][k], f[2][i][k] = fitted(f[0][i][k], f[1][i][k], f[2][i][k])
		}
	}
	for i := range 3 {
		for k := range 3 {
			f[i][0][k], f[i][1][k], f[i][2][k] = fitted(f[i][0][k], f[i][1][k], f[i][2][k])
		}
		for k := range 3 {
			f[i][k][0], f[i][k][1], f[i][k][2] = fitted(f[i][k][0], f[i][k][1], f[i][k][2])
		}
	}
}

func (g *twoJoints) fit(n int) {
	f := &g[n]
	for i := range 3 {
		f[i], f[3+i], f[6+i] = fitted(f[i], f[3+i], f[6+i])
	}
	for i := range 3 {
		f[3*i], f[3*i+1], f[3*i+2] = fitted(f[3*i], f[3*i+1], f[3*i+2])
	}
}

// triangulate turns the eight columns of joints 1 and 2 into a triangle by Householder's reflections (Golub and Van
// Loan, Matrix Computations, 4th ed., section 5.2); in the rows below it they are gone.
func triangulate(left *threeJoints, right *twoJoints) {
	for col := range 8 {
		norm := 0.0
		for n := col; n < 14; n++ {
			norm += right[n][col] * right[n][col]
		}
		norm = math.Sqrt(norm)
		if norm < 1e-300 {
			continue
		}
		var v [14]float64
		for n := col; n < 14; n++ {
			v[n] = right[n][col]
		}
		v[col] += math.Copysign(norm, v[col])
		scale := 1 / (norm * math.Abs(v[col]))
		for k := col + 1; k < 8; k++ {
			s := 0.0
			for n := col; n < 14; n++ {
				s += v[n] * right[n][k]
			}
			for n := col; n < 14; n++ {
				right[n][k] -= s * scale * v[n]
			}
		}
		for a := range 3 {
			for b := range 3 {
				for c := range 3 {
					s := 0.0
					for n := col; n < 14; n++ {
						s += v[n] * left[n][a][b][c]
					}
					for n := col; n < 14; n++ {
						left[n][a][b][c] -= s * scale * v[n]
					}
				}
			}
		}
	}
}

// at returns the six equations for joint 3 turned so.
func (e *equations) at(d direction) (six [6]bilinear) {
	for n := range six {
		for a := range 3 {
			for b := range 3 {
				six[n][a][b] = d.cos*e[0][n][a][b] + d.sin*e[1][n][a][b] + e[2][n][a][b]
			}
		}
	}
	return six
}

// eliminant returns the matrix of the six equations, each times the cosine and the sine of half of joint 4. Its columns
// are the cosines and sines of one and a half and of half of joint 4, times those of joint 5 and one.
func eliminant(six *[6]bilinear) (m [12][12]float64) {
	for n := range six {
		for b := range 3 {
			c, s, one := six[n][0][b]/2, six[n][1][b]/2, six[n][2][b]
			byCos, bySin := &m[2*n], &m[2*n+1]
			byCos[b], byCos[3+b], byCos[6+b], byCos[9+b] = c, s, c+one, s
			bySin[b], bySin[3+b], bySin[6+b], bySin[9+b] = -s, c, s, one-c
		}
	}
	return m
}

// determinantDegree is the degree of the determinant as a trigonometric polynomial in joint 3.
const determinantDegree = 8

// determinant returns the determinant of the eliminant.
func determinant(six *[6]bilinear) float64 {
	m := eliminant(six)
	det := 1.0
	for i := range 12 {
		pivot := i
		for k := i + 1; k < 12; k++ {
			if math.Abs(m[k][i]) > math.Abs(m[pivot][i]) {
				pivot = k
			}
		}
		if pivot != i {
			m[i], m[pivot] = m[pivot], m[i]
			det = -det
		}
		top := &m[i]
		det *= top[i]
		if top[i] == 0 {
			return 0
		}
		inverse := 1 / top[i]
		for k := i + 1; k < 12; k++ {
			row := &m[k]
			f := row[i] * inverse
			if f == 0 {
				continue
			}
			for c := i + 1; c < 12; c++ {
				row[c] -= f * top[c]
			}
		}
	}
	return det
}
