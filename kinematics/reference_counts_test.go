package kinematics_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
)

// How many ways to stand the textbooks' six-joint arms have, and in which poses some of them meet. Editions, sections
// and numbers are from memory, as in reference_textbook_test.go, where most of the arms come from.

// closedFormSolutions is the inverse of Craig, section 4.7 (3rd ed., 2005): two ways for joint 1, two for joint 3, and
// the wrist plain or flipped, eight in all. The wrist's equations are his for sines and cosines.
func (c craig) closedFormSolutions(f frame) (list []kinematics.Joints) {
	px, py, pz := f[0], f[1], f[2]
	r11, r13 := f[3], f[5]
	r21, r23 := f[6], f[8]
	r31, r33 := f[9], f[11]
	k := (px*px + py*py + pz*pz - c.a2*c.a2 - c.a3*c.a3 - c.d3*c.d3 - c.d4*c.d4) / (2 * c.a2)
	for _, shoulder := range []float64{1, -1} {
		theta1 := math.Atan2(py, px) - math.Atan2(c.d3, shoulder*math.Sqrt(px*px+py*py-c.d3*c.d3))
		s1, c1 := math.Sincos(theta1)
		for _, elbow := range []float64{1, -1} {
			theta3 := math.Atan2(c.a3, c.d4) - math.Atan2(k, elbow*math.Sqrt(c.a3*c.a3+c.d4*c.d4-k*k))
			s3, c3 := math.Sincos(theta3)
			theta23 := math.Atan2(
				(-c.a3-c.a2*c3)*pz-(c1*px+s1*py)*(c.d4-c.a2*s3),
				(c.a2*s3-c.d4)*pz+(c.a3+c.a2*c3)*(c1*px+s1*py))
			s23, c23 := math.Sincos(theta23)

			theta4 := math.Atan2(-r13*s1+r23*c1, -r13*c1*c23-r23*s1*c23+r33*s23)
			s4, c4 := math.Sincos(theta4)
			s5 := -r13*(c1*c23*c4+s1*s4) - r23*(s1*c23*c4-c1*s4) + r33*s23*c4
			c5 := -r13*c1*s23 - r23*s1*s23 - r33*c23
			theta5 := math.Atan2(s5, c5)
			s6 := -r11*(c1*c23*s4-s1*c4) - r21*(s1*c23*s4+c1*c4) + r31*s23*s4
			c6 := r11*((c1*c23*c4+s1*s4)*c5-c1*s23*s5) + r21*((s1*c23*c4-c1*s4)*c5-s1*s23*s5) - r31*(s23*c4*c5+c23*s5)
			theta6 := math.Atan2(s6, c6)
			list = append(list,
				kinematics.Joints{theta1, theta23 - theta3, theta3, theta4, theta5, theta6},
				kinematics.Joints{theta1, theta23 - theta3, theta3, theta4 + math.Pi, -theta5, theta6 + math.Pi})
		}
	}
	return list
}

func TestCraigEightSolutions(t *testing.T) {
	arm := craigArm.arm(t)
	for _, q := range someJoints(50) {
		f := craigArm.forward(q)
		book := craigArm.closedFormSolutions(f)
		ours := inverseJoints(t, arm, f.pose())
		if !contains(book, q, 1e-9) {
			t.Errorf("joints %v: the book's closed form, as remembered, does not find them", q)
		}
		if len(ours) != len(book) {
			t.Errorf("joints %v: %d solutions, the book has %d", q, len(ours), len(book))
		}
		for _, b := range book {
			if !contains(ours, b, 1e-9) {
				t.Errorf("joints %v: the book's solution %v is missing", q, b)
			}
		}
	}
}

// Murray, Li and Sastry (1994), ch. 3, solve the elbow manipulator by subproblems: two ways each for shoulder, elbow
// and wrist, eight in all wherever the wrist centre is within reach and off joint 1's axis. Lynch and Park (2017),
// section 6.1.1, have the same count for this kind of arm: four ways to bring the wrist to its place, two for the hand.
func TestMurrayLiSastryEightSolutions(t *testing.T) {
	arm := elbowManipulator(t, 320, 270, 240)
	for _, q := range someJoints(50) {
		ours := inverseJoints(t, arm, arm.Forward(q))
		if len(ours) != 8 || !contains(ours, q, 1e-9) {
			t.Errorf("joints %v: %d solutions %v, want eight with these among them", q, len(ours), ours)
		}
	}
}

// The arm of Lynch and Park's Example 4.5 has two ways for joint 1, two for joint 5 and two for the elbow. All eight
// exist where the flange is at a medium distance; the count by hand, own: axes 5 and 6 meet in a point W1 off the
// plane in which joints 2, 3 and 4 work, which gives joint 1; axis 6's direction gives joint 5.
func TestParallelAxesEightSolutions(t *testing.T) {
	arm := lynchParkArm(t)
	for _, q := range []kinematics.Joints{
		{0.3, -1.2, 1.4, -0.6, 1.1, 0.2},
		{-1.1, -0.9, 1.6, -1.3, 1.4, 2},
		{2, -1.4, -1.5, 0.4, -1.2, -0.4},
	} {
		ours := inverseJoints(t, arm, arm.Forward(q))
		if len(ours) != 8 || !contains(ours, q, 1e-9) {
			t.Errorf("joints %v: %d solutions %v, want eight with these among them", q, len(ours), ours)
		}
	}
}

// Manseur and Doty, "A robot manipulator with 16 real inverse kinematic solution sets", Int. J. Robotics Research
// 8(5), 1989: link parameters in the classic convention and a pose that has the most solutions that any six-joint
// arm can have. Lengths 0.3, 1, 1.5 and 0.2, here in m, twists of 90° and 1° by turns, and the pose, whose matrix is
// printed to six decimals and made orthonormal here.
func TestManseurDotySixteenSolutions(t *testing.T) {
	a := [6]float64{300, 1000, 0, 1500, 0, 0}
	d := [6]float64{2: 200}
	var lines [6][2]r3.Vec
	link := frameOf(kinematics.Identity)
	for i := range lines {
		alpha := math.Pi / 2
		if i%2 == 1 {
			alpha = math.Pi / 180
		}
		lines[i] = [2]r3.Vec{{X: link[0], Y: link[1], Z: link[2]}, {X: link[5], Y: link[8], Z: link[11]}}
		link = product(link, frame{a[i], 0, d[i], 1, 0, 0, 0, math.Cos(alpha), -math.Sin(alpha), 0, math.Sin(alpha), math.Cos(alpha)})
	}
	arm := armOf(t, lines, link.pose())
	target := frame{
		-1140.175, 0, 0,
		-0.760117, -0.641689, 0.102262,
		0.133333, 0, 0.991071,
		-0.635959, 0.766965, 0.085558,
	}.pose()
	target.Rotation = target.Rotation.Orthonormal()
	ours := inverseJoints(t, arm, target)
	if len(ours) != 16 {
		t.Errorf("%d solutions, want 16: %v", len(ours), ours)
	}
	for _, q := range ours {
		if again := inverseJoints(t, arm, arm.Forward(q)); len(again) != 16 {
			t.Errorf("%d solutions from %v, which is one of 16", len(again), q)
		}
	}
}

// Singular poses: of Craig's arm by the factors of TestCraigSingularFactors, of the others by the cases of Lynch and
// Park, Modern Robotics (2017), section 5.3: two axes in one line, three parallel axes in one plane, four axes
// through one point, four axes in one plane, six axes that cross one line. Ways to stand that meet count once; where
// joints are free there are infinitely many, of which each way of the other joints has one. The counts are own: a
// pair that meets halves the eight. A straight wrist turns two into one family: for the one way to hold the forearm so,
// or for two where, without offsets, front and behind hold it alike. The last pose is
// so far out that the other ways of joints 1 and 5 are out of reach.
func TestSingularPosesOfTextbookArms(t *testing.T) {
	straight := math.Atan2(-craigArm.d4, craigArm.a3) // a3·sin 3 + d4·cos 3 = 0
	// The wrist above joint 1's axis but for d3: a2·cos 2 + a3·cos 23 − d4·sin 23 = 0, for this joint 3.
	over := kinematics.Joints{0.4, 0, 0.3, 0.5, 0.9, 0.2}
	s3, c3 := math.Sincos(over[2])
	over[1] = math.Atan2(craigArm.a2+craigArm.a3*c3-craigArm.d4*s3, craigArm.a3*s3+craigArm.d4*c3)
	// The elbow manipulator's wrist centre on axis 1: l1·cos 2 + l2·cos 23 = 0.
	on := kinematics.Joints{0.4, 0, 0.8, 0.5, 0.9, 0.2}
	s3, c3 = math.Sincos(on[2])
	on[1] = math.Atan2(270+240*c3, 240*s3)

	craig, elbow, parallel := craigArm.arm(t), elbowManipulator(t, 320, 270, 240), lynchParkArm(t)
	for _, c := range []struct {
		name     string
		arm      *kinematics.Arm
		q        kinematics.Joints
		kind     string
		solo     int // solutions that are alone
		families int // solutions that are one of infinitely many
	}{
		{"wrist straight", craig, kinematics.Joints{0.4, 0.3, 0.2, 0.5, 0, 0.2}, "wrist", 6, 1},
		{"elbow stretched", craig, kinematics.Joints{0.4, 0.3, straight, 0.5, 0.9, 0.2}, "elbow", 4, 0},
		{"elbow folded", craig, kinematics.Joints{0.4, 0.3, straight + math.Pi, 0.5, 0.9, 0.2}, "elbow", 4, 0},
		{"wrist as near to axis 1 as it comes", craig, over, "shoulder", 4, 0},
		{"axes 4 and 6 in one line", elbow, kinematics.Joints{0.4, 0.3, 0.6, 0.2, -math.Pi / 2, 0.1}, "wrist", 4, 2},
		{"axes 1, 4, 5 and 6 through one point", elbow, on, "shoulder", 0, 4},
		{"six axes cross the line of the stretched arm", elbow, kinematics.Joints{0.4, 0.3, 0, 0.5, 0.9, 0.2}, "elbow", 4, 0},
		{"axes 2, 3, 5 and 6 in one plane", elbow, kinematics.Joints{0.4, 0.3, 0, 0, 0, 0.2}, "elbow", 4, 0},
		{"axes 2, 3 and 4 in one plane", parallel, kinematics.Joints{0.3, -1.2, 0, -0.6, 1.1, 0.2}, "elbow", 1, 0},
	} {
		s := c.arm.Singularity(c.q, kinematics.Identity)
		if s.Kind != c.kind || !(s.Smallest < 1e-14) {
			t.Errorf("%s: kind %q, smallest singular value %v, want %q and none", c.name, s.Kind, s.Smallest, c.kind)
		}
		solo, families := 0, 0
		for _, s := range c.arm.Inverse(nil, c.arm.Forward(c.q), c.q) {
			if s.Family {
				families++
			} else {
				solo++
			}
		}
		if solo != c.solo || families != c.families {
			t.Errorf("%s: %d solutions and %d families, want %d and %d", c.name, solo, families, c.solo, c.families)
		}
	}
}
