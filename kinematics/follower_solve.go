package kinematics

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// This file solves the six equations of a follower: which joint motion gives a movement.
//
// Joint 4 turns about the middle's Z axis and moves nothing else. A reflection of the velocity and the turn about Y makes
// joint 3's movement have one part only, but for its turn about Z. Both are the same for all joint angles, so what is left to
// solve are four equations for joints 1, 2, 5 and 6.

// mirrorToFirst returns the vector, of length √2, of the reflection that leaves of a movement's velocity and turn about Y
// the velocity along X only, and that velocity (Householder's; Golub and Van Loan, Matrix Computations, 5.1.2).
func mirrorToFirst(t *twist) (mirror [4]float64, first float64) {
	m := [4]float64{t.linear.X, t.linear.Y, t.linear.Z, t.angular.Y}
	first = -math.Copysign(math.Sqrt(m[0]*m[0]+m[1]*m[1]+m[2]*m[2]+m[3]*m[3]), m[0])
	m[0] -= first
	size := m[0]*m[0] + m[1]*m[1] + m[2]*m[2] + m[3]*m[3]
	for i, x := range m {
		mirror[i] = x * math.Sqrt(2/size)
	}
	return mirror, first
}

// flatten writes the parts of a movement, reflected: four that joints 3 and 4 do not have, one of which joint 3 has third,
// and the turn about Z.
func (f *follower) flatten(v, w r3.Vec, parts *[6]float64) {
	m := &f.mirror
	s := (m[0]*v.X + m[1]*v.Y) + (m[2]*v.Z + m[3]*w.Y)
	parts[0], parts[1], parts[2] = v.Y-s*m[1], v.Z-s*m[2], w.Y-s*m[3]
	parts[3], parts[4], parts[5] = w.X, v.X-s*m[0], w.Z
}

// minors are those of two rows and four columns, by the two columns they are made of.
type minors struct{ m01, m02, m03, m12, m13, m23 float64 }

// flatJacobian is the Jacobian in flattened parts, but for joints 3 and 4.
type flatJacobian struct {
	p, q, r, s  [6]float64 // the movements by joints 1, 2, 5 and 6
	front, back minors     // of the first two and the next two of their parts
	scale       float64    // one over the determinant of the four (Laplace's expansion)
}

// jacobian writes the Jacobian of these movements.
func (f *follower) jacobian(move *[6]twist, j *flatJacobian) {
	p, q, r, s, t, u := &j.p, &j.q, &j.r, &j.s, &j.front, &j.back
	f.flatten(move[0].linear, move[0].angular, p)
	f.flatten(move[1].linear, move[1].angular, q)
	f.flatten(move[4].linear, move[4].angular, r)
	f.flatten(move[5].linear, move[5].angular, s)
	t.of(p[0], p[1], q[0], q[1], r[0], r[1], s[0], s[1])
	u.of(p[2], p[3], q[2], q[3], r[2], r[3], s[2], s[3])
	j.scale = 1 / (t.m01*u.m23 - t.m02*u.m13 + t.m03*u.m12 + t.m12*u.m03 - t.m13*u.m02 + t.m23*u.m01)
}

// of writes the minors of the columns p, q, r and s.
func (m *minors) of(p0, p1, q0, q1, r0, r1, s0, s1 float64) {
	m.m01, m.m02, m.m03 = p0*q1-p1*q0, p0*r1-p1*r0, p0*s1-p1*s0
	m.m12, m.m13, m.m23 = q0*r1-q1*r0, q0*s1-q1*s0, r0*s1-r1*s0
}

// solve writes the joint motion that gives a movement with these parts (Cramer).
func (f *follower) solve(j *flatJacobian, e, x *[6]float64) {
	p, q, r, s, t, u, d := &j.p, &j.q, &j.r, &j.s, &j.front, &j.back, j.scale
	tp, tq, tr, ts := e[0]*p[1]-e[1]*p[0], e[0]*q[1]-e[1]*q[0], e[0]*r[1]-e[1]*r[0], e[0]*s[1]-e[1]*s[0]
	up, uq, ur, us := e[2]*p[3]-e[3]*p[2], e[2]*q[3]-e[3]*q[2], e[2]*r[3]-e[3]*r[2], e[2]*s[3]-e[3]*s[2]
	x[0] = d * ((tq*u.m23 - tr*u.m13 + ts*u.m12) + (t.m12*us - t.m13*ur + t.m23*uq))
	x[1] = d * ((tr*u.m03 - tp*u.m23 - ts*u.m02) + (t.m03*ur - t.m02*us - t.m23*up))
	x[4] = d * ((tp*u.m13 - tq*u.m03 + ts*u.m01) + (t.m01*us - t.m03*uq + t.m13*up))
	x[5] = d * ((tq*u.m02 - tp*u.m12 - tr*u.m01) + (t.m02*uq - t.m01*ur - t.m12*up))
	// Joint 3 gives what is left of its part, and joint 4 of the last.
	x[2] = (e[4] - (p[4]*x[0] + q[4]*x[1]) - (r[4]*x[4] + s[4]*x[5])) / f.third
	x[3] = e[5] - (p[5]*x[0] + q[5]*x[1]) - (r[5]*x[4] + s[5]*x[5]) - f.still[2].angular.Z*x[2]
}

// inverseNorm returns the norm (Frobenius) of the inverse of the Jacobian; it is no number where there is no inverse.
func (f *follower) inverseNorm(j *flatJacobian) float64 {
	p, q, r, s, t, u := &j.p, &j.q, &j.r, &j.s, &j.front, &j.back
	third, z := 1/f.third, f.still[2].angular.Z
	sum := 0.0
	// A column of the inverse is given by its part for joints 1, 2, 5 and 6, times the determinant.
	add := func(b0, b1, b4, b5 float64) {
		b2 := third * (p[4]*b0 + q[4]*b1 + r[4]*b4 + s[4]*b5)
		b3 := z*b2 - (p[5]*b0 + q[5]*b1 + r[5]*b4 + s[5]*b5)
		sum += (b0*b0 + b1*b1) + (b2*b2 + b3*b3) + (b4*b4 + b5*b5)
	}
	add(q[1]*u.m23-r[1]*u.m13+s[1]*u.m12, r[1]*u.m03-p[1]*u.m23-s[1]*u.m02, p[1]*u.m13-q[1]*u.m03+s[1]*u.m01, q[1]*u.m02-p[1]*u.m12-r[1]*u.m01)
	add(r[0]*u.m13-q[0]*u.m23-s[0]*u.m12, p[0]*u.m23-r[0]*u.m03+s[0]*u.m02, q[0]*u.m03-p[0]*u.m13-s[0]*u.m01, p[0]*u.m12-q[0]*u.m02+r[0]*u.m01)
	add(q[3]*t.m23-r[3]*t.m13+s[3]*t.m12, r[3]*t.m03-p[3]*t.m23-s[3]*t.m02, p[3]*t.m13-q[3]*t.m03+s[3]*t.m01, q[3]*t.m02-p[3]*t.m12-r[3]*t.m01)
	add(r[2]*t.m13-q[2]*t.m23-s[2]*t.m12, p[2]*t.m23-r[2]*t.m03+s[2]*t.m02, q[2]*t.m03-p[2]*t.m13-s[2]*t.m01, p[2]*t.m12-q[2]*t.m02+r[2]*t.m01)
	return math.Sqrt(sum*j.scale*j.scale + third*third*(1+z*z) + 1)
}
