package kinematics_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
)

// Worked examples of six-joint arms from textbooks. Editions, numbers of examples and equations, tables and
// expressions are from memory, not checked against the printed page; none was found by name in a package of Go, npm or
// Debian. The tests hold them against each other, too: a table and the closed form printed for it agree only where both are remembered rightly. Where an example is in
// symbols, the numbers put in for them are invented.

// screws is a table of screw axes in the base frame at the zero pose: six of (ω, v) with v = −ω × point.
type screws [6][6]float64

// compareScrews checks a printed table of screw axes against the Jacobian at the zero pose. A column there is the
// velocity of the flange, v + ω × flange, above ω.
func compareScrews(t *testing.T, arm *kinematics.Arm, printed screws) {
	t.Helper()
	flange, jac := arm.Jacobian(kinematics.Joints{}, kinematics.Identity)
	for i, s := range printed {
		axis := r3.Vec{X: s[0], Y: s[1], Z: s[2]}
		speed := r3.Add(r3.Vec{X: s[3], Y: s[4], Z: s[5]}, r3.Cross(axis, flange.Position))
		for row, want := range [6]float64{speed.X, speed.Y, speed.Z, axis.X, axis.Y, axis.Z} {
			if !(math.Abs(jac[row][i]-want) <= 1e-9) {
				t.Errorf("joint %d, row %d of the Jacobian at zero is %v, the screw axis says %v", i+1, row+1, jac[row][i], want)
			}
		}
	}
}

// compareFrames checks a flange against one in mm that was printed or follows from a printed expression.
func compareFrames(t *testing.T, q kinematics.Joints, got kinematics.Pose, want frame, tolerance float64) {
	t.Helper()
	g := frameOf(got)
	for i := range want {
		if !(math.Abs(g[i]-want[i]) <= tolerance) {
			t.Errorf("joints %v: flange (position, then rotation by rows) %v, the book has %v", q, g, want)
			return
		}
	}
}

// someJoints are joint angles over the whole turn, the same each time.
func someJoints(count int) []kinematics.Joints {
	random := rand.New(rand.NewPCG(1, 2))
	list := make([]kinematics.Joints, count)
	for n := range list {
		for i := range list[n] {
			list[n][i] = (2*random.Float64() - 1) * math.Pi
		}
	}
	return list
}

var (
	alongX, alongY, alongZ = r3.Vec{X: 1}, r3.Vec{Y: 1}, r3.Vec{Z: 1}
	againstX, againstZ     = r3.Vec{X: -1}, r3.Vec{Z: -1}
)

// Lynch and Park, Modern Robotics (Cambridge University Press, 2017), Example 4.5: six joints, axes 2, 3, 4
// parallel. The axes are placed as its figure shows them; the home matrix M and the table of screw axes are as printed,
// in the symbols W1, W2, L1, L2, H1 and H2, for which invented numbers (mm) stand here.
const w1, w2, l1, l2, h1, h2 = 134, 71, 355, 415, 152, 118

var (
	lynchParkHome = frame{
		l1 + l2, w1 + w2, h1 - h2,
		-1, 0, 0,
		0, 0, 1,
		0, 1, 0,
	}
	lynchParkScrews = screws{
		{0, 0, 1, 0, 0, 0},
		{0, 1, 0, -h1, 0, 0},
		{0, 1, 0, -h1, 0, l1},
		{0, 1, 0, -h1, 0, l1 + l2},
		{0, 0, -1, -w1, l1 + l2, 0},
		{0, 1, 0, h2 - h1, 0, l1 + l2},
	}
)

func lynchParkArm(t testing.TB) *kinematics.Arm {
	return armOf(t, [6][2]r3.Vec{
		{{}, alongZ},
		{{Z: h1}, alongY},
		{{X: l1, Z: h1}, alongY},
		{{X: l1 + l2, Z: h1}, alongY},
		{{X: l1 + l2, Y: w1}, againstZ},
		{{X: l1 + l2, Z: h1 - h2}, alongY},
	}, lynchParkHome.pose())
}

// exponential is the motion of a screw (ω, v) by an angle: its rotation is I + sin θ·[ω] + (1 − cos θ)·[ω]², its
// translation (θ·I + (1 − cos θ)·[ω] + (θ − sin θ)·[ω]²)·v (Lynch and Park, section 3.3.3).
func exponential(s [6]float64, angle float64) (f frame) {
	sin, cos := math.Sincos(angle)
	w := [9]float64{0, -s[2], s[1], s[2], 0, -s[0], -s[1], s[0], 0}
	for i := range 3 {
		for j := range 3 {
			var square, one float64
			for k := range 3 {
				square += w[3*i+k] * w[3*k+j]
			}
			if i == j {
				one = 1
			}
			f[3+3*i+j] = one + sin*w[3*i+j] + (1-cos)*square
			f[i] += (angle*one + (1-cos)*w[3*i+j] + (angle-sin)*square) * s[3+j]
		}
	}
	return f
}

// forward is the product of exponentials, T = exp([S1]θ1) … exp([S6]θ6) M (Lynch and Park, section 4.1.1).
func (s screws) forward(home frame, q kinematics.Joints) frame {
	f := frameOf(kinematics.Identity)
	for i := range s {
		f = product(f, exponential(s[i], q[i]))
	}
	return product(f, home)
}

func TestLynchParkParallelAxes(t *testing.T) {
	arm := lynchParkArm(t)
	compareScrews(t, arm, lynchParkScrews)
	// The book's example turns joint 2 by −90° and joint 5 by +90°; in its symbols the result is this.
	q := kinematics.Joints{1: -math.Pi / 2, 4: math.Pi / 2}
	compareFrames(t, q, arm.Forward(q), frame{
		h2, w1, h1 + l1 + l2 + w2,
		0, -1, 0,
		1, 0, 0,
		0, 0, 1,
	}, 1e-9)
	for _, q := range append(someJoints(50), q, kinematics.Joints{}) {
		compareFrames(t, q, arm.Forward(q), lynchParkScrews.forward(lynchParkHome, q), 1e-9)
	}
}

// Lynch and Park, Modern Robotics (2017), Example 4.3 ("a spatial 6R open chain"): axes 1, 2, 3 meet, axes 3, 4, 5
// are parallel; the home matrix and the table of screw axes are as printed, in the length L.
func TestLynchParkMeetingAxes(t *testing.T) {
	const l = 210
	arm := armOf(t, [6][2]r3.Vec{
		{{}, alongZ},
		{{}, alongY},
		{{}, againstX},
		{{Y: l}, againstX},
		{{Y: 2 * l}, againstX},
		{{Y: 3 * l}, alongY},
	}, kinematics.Pose{Position: r3.Vec{Y: 3 * l}, Rotation: kinematics.NoRotation})
	compareScrews(t, arm, screws{
		{0, 0, 1, 0, 0, 0},
		{0, 1, 0, 0, 0, 0},
		{-1, 0, 0, 0, 0, 0},
		{-1, 0, 0, 0, 0, l},
		{-1, 0, 0, 0, 0, 2 * l},
		{0, 1, 0, 0, 0, 0},
	})
}

// Murray, Li and Sastry, A Mathematical Introduction to Robotic Manipulation (CRC Press, 1994), ch. 3, the elbow
// manipulator: a shoulder of two meeting axes, an elbow, a spherical wrist; twists (v, ω) as printed, here with ω
// first.
func TestMurrayLiSastryElbowManipulator(t *testing.T) {
	const l0, l1, l2 = 320, 270, 240
	compareScrews(t, elbowManipulator(t, l0, l1, l2), screws{
		{0, 0, 1, 0, 0, 0},
		{-1, 0, 0, 0, -l0, 0},
		{-1, 0, 0, 0, -l0, l1},
		{0, 0, 1, l1 + l2, 0, 0},
		{-1, 0, 0, 0, -l0, l1 + l2},
		{0, 1, 0, -l0, 0, 0},
	})
}

func elbowManipulator(t testing.TB, l0, l1, l2 float64) *kinematics.Arm {
	wrist := r3.Vec{Y: l1 + l2, Z: l0}
	return armOf(t, [6][2]r3.Vec{
		{{}, alongZ},
		{{Z: l0}, againstX},
		{{Y: l1, Z: l0}, againstX},
		{wrist, alongZ},
		{wrist, againstX},
		{wrist, alongY},
	}, kinematics.Pose{Position: wrist, Rotation: kinematics.NoRotation})
}

// craig is the six-joint arm of Craig, Introduction to Robotics (3rd ed., Pearson, 2005), section 3.7, whose table
// of link parameters has α(i−1) = 0, −90°, 0, −90°, 90°, −90°, a(i−1) = 0, 0, a2, a3, 0, 0 and d = 0, 0, d3, d4, 0, 0.
type craig struct{ a2, a3, d3, d4 float64 }

var craigArm = craig{a2: 450, a3: 40, d3: 120, d4: 430}

// arm places the axes by Craig's convention: link transform i is a turn α(i−1) about X and a shift a(i−1) along it,
// then the joint's turn about Z and a shift d(i) along it; the joint's axis is Z of frame i.
func (c craig) arm(t testing.TB) *kinematics.Arm {
	alpha := [6]float64{0, -math.Pi / 2, 0, -math.Pi / 2, math.Pi / 2, -math.Pi / 2}
	a := [6]float64{0, 0, c.a2, c.a3, 0, 0}
	d := [6]float64{0, 0, c.d3, c.d4, 0, 0}
	var lines [6][2]r3.Vec
	var link frame = frameOf(kinematics.Identity)
	for i := range lines {
		link = product(link, frame{a[i], 0, 0, 1, 0, 0, 0, math.Cos(alpha[i]), -math.Sin(alpha[i]), 0, math.Sin(alpha[i]), math.Cos(alpha[i])})
		link = product(link, frame{0, 0, d[i], 1, 0, 0, 0, 1, 0, 0, 0, 1})
		lines[i] = [2]r3.Vec{{X: link[0], Y: link[1], Z: link[2]}, {X: link[5], Y: link[8], Z: link[11]}}
	}
	return armOf(t, lines, link.pose())
}

// product multiplies two frames as matrices, by the schoolbook, apart from the package under test.
func product(a, b frame) (c frame) {
	for i := range 3 {
		c[i] = a[i]
		for k := range 3 {
			c[i] += a[3+3*i+k] * b[k]
			for j := range 3 {
				c[3+3*i+j] += a[3+3*i+k] * b[3+3*k+j]
			}
		}
	}
	return c
}

// forward is Craig's equation 3.14, the product of the six link transforms written out.
func (c craig) forward(q kinematics.Joints) frame {
	s1, c1 := math.Sincos(q[0])
	s2, c2 := math.Sincos(q[1])
	s4, c4 := math.Sincos(q[3])
	s5, c5 := math.Sincos(q[4])
	s6, c6 := math.Sincos(q[5])
	s23, c23 := math.Sincos(q[1] + q[2])

	r11 := c1*(c23*(c4*c5*c6-s4*s6)-s23*s5*c6) + s1*(s4*c5*c6+c4*s6)
	r21 := s1*(c23*(c4*c5*c6-s4*s6)-s23*s5*c6) - c1*(s4*c5*c6+c4*s6)
	r31 := -s23*(c4*c5*c6-s4*s6) - c23*s5*c6
	r12 := c1*(c23*(-c4*c5*s6-s4*c6)+s23*s5*s6) + s1*(c4*c6-s4*c5*s6)
	r22 := s1*(c23*(-c4*c5*s6-s4*c6)+s23*s5*s6) - c1*(c4*c6-s4*c5*s6)
	r32 := -s23*(-c4*c5*s6-s4*c6) + c23*s5*s6
	r13 := -c1*(c23*c4*s5+s23*c5) - s1*s4*s5
	r23 := -s1*(c23*c4*s5+s23*c5) + c1*s4*s5
	r33 := s23*c4*s5 - c23*c5
	px := c1*(c.a2*c2+c.a3*c23-c.d4*s23) - c.d3*s1
	py := s1*(c.a2*c2+c.a3*c23-c.d4*s23) + c.d3*c1
	pz := -c.a3*s23 - c.a2*s2 - c.d4*c23
	return frame{px, py, pz, r11, r12, r13, r21, r22, r23, r31, r32, r33}
}

func TestCraigSixJoints(t *testing.T) {
	arm := craigArm.arm(t)
	for _, q := range append(someJoints(50), kinematics.Joints{}) {
		compareFrames(t, q, arm.Forward(q), craigArm.forward(q), 1e-9)
	}
}

// Craig's equation 3.14 has frame 6 at the wrist, so that the Jacobian there falls into two blocks and its
// determinant into three factors, one for each singularity: wrist (s5), elbow (forearm and upper arm in line) and
// shoulder (the wrist above joint 1's axis, but for d3). The factors follow from his px, py, pz by differentiation.
func TestCraigSingularFactors(t *testing.T) {
	arm, c := craigArm.arm(t), craigArm
	for _, q := range someJoints(50) {
		s3, c3 := math.Sincos(q[2])
		s23, c23 := math.Sincos(q[1] + q[2])
		wrist := math.Sin(q[4])
		elbow := c.a3*s3 + c.d4*c3
		shoulder := c.a2*math.Cos(q[1]) + c.a3*c23 - c.d4*s23
		want := math.Abs(c.a2 * wrist * elbow * shoulder)
		_, jac := arm.Jacobian(q, kinematics.Identity)
		got := math.Abs(determinant(jac))
		if !(math.Abs(got-want) <= 1e-9*c.a2*c.d4*(c.a2+c.d4)) {
			t.Errorf("joints %v: |det J| is %v, the factors give %v", q, got, want)
		}
	}
}

// determinant is by elimination with row exchange.
func determinant(m [6][6]float64) float64 {
	det := 1.0
	for i := range m {
		big := i
		for k := i; k < 6; k++ {
			if math.Abs(m[k][i]) > math.Abs(m[big][i]) {
				big = k
			}
		}
		if big != i {
			m[i], m[big] = m[big], m[i]
			det = -det
		}
		det *= m[i][i]
		for k := i + 1; k < 6; k++ {
			f := m[k][i] / m[i][i]
			for j := range 6 {
				m[k][j] -= f * m[i][j]
			}
		}
	}
	return det
}

// Siciliano, Sciavicco, Villani and Oriolo, Robotics: Modelling, Planning and Control (Springer, 2009), section 2.9,
// anthropomorphic arm with spherical wrist: link parameters in the classic convention, a = 0, a2, 0, 0, 0, 0,
// α = 90°, 0, 90°, −90°, 90°, 0, d = 0, 0, 0, d4, 0, d6, and the printed position and axes n, s, a of the end-effector frame.
func TestSicilianoAnthropomorphicArm(t *testing.T) {
	const a2, d4, d6 = 380, 350, 90
	a := [6]float64{1: a2}
	alpha := [6]float64{math.Pi / 2, 0, math.Pi / 2, -math.Pi / 2, math.Pi / 2, 0}
	d := [6]float64{3: d4, 5: d6}
	var lines [6][2]r3.Vec
	link := frameOf(kinematics.Identity)
	for i := range lines {
		// In the classic convention joint i turns about Z of the frame before.
		lines[i] = [2]r3.Vec{{X: link[0], Y: link[1], Z: link[2]}, {X: link[5], Y: link[8], Z: link[11]}}
		link = product(link, frame{a[i], 0, d[i], 1, 0, 0, 0, math.Cos(alpha[i]), -math.Sin(alpha[i]), 0, math.Sin(alpha[i]), math.Cos(alpha[i])})
	}
	arm := armOf(t, lines, link.pose())
	for _, q := range append(someJoints(50), kinematics.Joints{}) {
		s1, c1 := math.Sincos(q[0])
		s2, c2 := math.Sincos(q[1])
		s4, c4 := math.Sincos(q[3])
		s5, c5 := math.Sincos(q[4])
		s6, c6 := math.Sincos(q[5])
		s23, c23 := math.Sincos(q[1] + q[2])
		compareFrames(t, q, arm.Forward(q), frame{
			a2*c1*c2 + d4*c1*s23 + d6*(c1*(c23*c4*s5+s23*c5)+s1*s4*s5),
			a2*s1*c2 + d4*s1*s23 + d6*(s1*(c23*c4*s5+s23*c5)-c1*s4*s5),
			a2*s2 - d4*c23 + d6*(s23*c4*s5-c23*c5),

			c1*(c23*(c4*c5*c6-s4*s6)-s23*s5*c6) + s1*(s4*c5*c6+c4*s6),
			c1*(-c23*(c4*c5*s6+s4*c6)+s23*s5*s6) + s1*(-s4*c5*s6+c4*c6),
			c1*(c23*c4*s5+s23*c5) + s1*s4*s5,

			s1*(c23*(c4*c5*c6-s4*s6)-s23*s5*c6) - c1*(s4*c5*c6+c4*s6),
			s1*(-c23*(c4*c5*s6+s4*c6)+s23*s5*s6) - c1*(-s4*c5*s6+c4*c6),
			s1*(c23*c4*s5+s23*c5) - c1*s4*s5,

			s23*(c4*c5*c6-s4*s6) + c23*s5*c6,
			-s23*(c4*c5*s6+s4*c6) - c23*s5*s6,
			s23*c4*s5 - c23*c5,
		}, 1e-9)
	}
}
