package kinematics_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
)

// ISO 9787:2013, Robots and robotic devices — Coordinate systems and motion nomenclatures (from memory, its text is
// not open; what the senses of turn come to is the same in SciPy's Rotation, reference_scipy_test.go): all
// coordinate systems are orthogonal and right-handed, X × Y = Z; A, B and C are rotations about X, Y and Z,
// positive in the sense in which a right-hand screw advances along the positive axis. So a quarter turn about X
// takes Y to Z, about Y it takes Z to X, about Z it takes X to Y.

// quarterTurns are the standard's three rotations: about which axis, and what a quarter turn takes where.
var quarterTurns = []struct {
	name           string
	axis, from, to r3.Vec
	fixed          [3]float64 // fixed X-Y-Z angles, rad
}{
	{"A, about X", alongX, alongY, alongZ, [3]float64{math.Pi / 2, 0, 0}},
	{"B, about Y", alongY, alongZ, alongX, [3]float64{0, math.Pi / 2, 0}},
	{"C, about Z", alongZ, alongX, alongY, [3]float64{0, 0, math.Pi / 2}},
}

func closeTo(a, b r3.Vec) bool { return r3.Norm(r3.Sub(a, b)) <= 1e-12*(1+r3.Norm(b)) }

func TestISO9787RotationSenses(t *testing.T) {
	for _, turn := range quarterTurns {
		if got := kinematics.FixedXYZ(turn.fixed[0], turn.fixed[1], turn.fixed[2]).Apply(turn.from); !closeTo(got, turn.to) {
			t.Errorf("fixed X-Y-Z angle %s takes %v to %v, the standard to %v", turn.name, turn.from, got, turn.to)
		}
		r := kinematics.RotationAbout(turn.axis, math.Pi/2)
		if got := r.Apply(turn.from); !closeTo(got, turn.to) {
			t.Errorf("rotation %s takes %v to %v, the standard to %v", turn.name, turn.from, got, turn.to)
		}
		if got := r.Vector(); !closeTo(got, r3.Scale(math.Pi/2, turn.axis)) {
			t.Errorf("rotation %s reads as the vector %v", turn.name, got)
		}
		if got := r.Quaternion(); !closeTo(r3.Vec{X: got.Imag, Y: got.Jmag, Z: got.Kmag}, r3.Scale(math.Sqrt2/2, turn.axis)) {
			t.Errorf("rotation %s reads as the quaternion %v", turn.name, got)
		}
	}
}

// A joint turns about its axis in the standard's sense, and so do the link and the flange it carries and the
// velocities of the Jacobian.
func TestISO9787JointSenses(t *testing.T) {
	for _, turn := range quarterTurns {
		axis := [2]r3.Vec{{}, turn.axis}
		arm := armOf(t, [6][2]r3.Vec{axis, axis, axis, axis, axis, axis},
			kinematics.Pose{Position: r3.Scale(100, turn.from), Rotation: kinematics.NoRotation})
		for joint := range 6 {
			q := kinematics.Joints{}
			q[joint] = math.Pi / 2
			if got := arm.Forward(q).Position; !closeTo(got, r3.Scale(100, turn.to)) {
				t.Errorf("joint %d, %s, takes the flange to %v", joint+1, turn.name, got)
			}
			if got := arm.Links(q)[6].Apply(turn.from); !closeTo(got, turn.to) {
				t.Errorf("joint %d, %s, takes a point of link 6 from %v to %v", joint+1, turn.name, turn.from, got)
			}
			_, jac := arm.Jacobian(kinematics.Joints{}, kinematics.Identity)
			speeds := kinematics.Joints{}
			speeds[joint] = 1
			linear, angular := jac.Velocity(speeds)
			if !closeTo(linear, r3.Scale(100, turn.to)) || !closeTo(angular, turn.axis) {
				t.Errorf("joint %d, %s, moves the flange at %v mm/s and turns it at %v rad/s", joint+1, turn.name, linear, angular)
			}
		}
	}
}

// With thumb, index and middle finger of the right hand as Z, X and Y (common practice, no source), each finger is
// the product of the other two in the hand's order, in every frame that the arm carries, tilted and reversed axes
// included. The standard asks the same of X, Y and Z.
func TestEveryFrameIsARightHand(t *testing.T) {
	hand := func(i int, k kdlArm, what string, r kinematics.Rotation) {
		index, middle, thumb := r.X, r.Y, r.Z
		if !closeTo(r3.Cross(index, middle), thumb) || !closeTo(r3.Cross(middle, thumb), index) || !closeTo(r3.Cross(thumb, index), middle) {
			t.Errorf("%s is no right hand: %v", at(i, k, what), r)
		}
	}
	for i, k := range kdlArms(t) {
		arm := k.arm(t)
		hand(i, k, "flange", arm.Forward(k.Moved.Joints).Rotation)
		tcp, _ := arm.Jacobian(k.Tooled.Joints, k.Tool.pose())
		hand(i, k, "TCP", tcp.Rotation)
		for _, link := range arm.Links(k.Moved.Joints) {
			hand(i, k, "link", link.Rotation)
		}
		angles, _ := arm.Forward(k.Bare.Joints).Rotation.FixedXYZ()
		hand(i, k, "flange by its angles", kinematics.FixedXYZ(angles.X, angles.Y, angles.Z))
	}
}

// forwardLooking is an arm with a spherical wrist whose tool looks along X of the base at the zero pose.
func forwardLooking(t testing.TB) *kinematics.Arm {
	wrist := r3.Vec{X: 385, Z: 318}
	return armOf(t, [6][2]r3.Vec{
		{{}, alongZ}, {{X: 30}, alongY}, {{X: 30, Z: 290}, alongY}, {wrist, alongX}, {wrist, alongY}, {wrist, alongX},
	}, kinematics.Pose{
		Position: r3.Vec{X: 462, Z: 318},
		Rotation: kinematics.Rotation{X: againstZ, Y: alongY, Z: alongX},
	})
}

// Common practice, no source: bending joint 5 by 90° from the zero pose points a forward-looking tool straight down.
func TestBendingJoint5PointsTheToolDown(t *testing.T) {
	flange := forwardLooking(t).Forward(kinematics.Joints{4: math.Pi / 2})
	if !closeTo(flange.Rotation.Z, againstZ) || !closeTo(flange.Position, r3.Vec{X: 385, Z: 241}) {
		t.Errorf("with joint 5 at 90° the tool points along %v from %v", flange.Rotation.Z, flange.Position)
	}
}

// Common practice, no source: a straight move works several joints at once.
func TestStraightMoveWorksSeveralJoints(t *testing.T) {
	arm, start := forwardLooking(t), kinematics.Joints{4: math.Pi / 2}
	for _, direction := range []r3.Vec{alongX, alongY, alongZ} {
		target := arm.Forward(start)
		target.Position = r3.Add(target.Position, r3.Scale(10, direction))
		q, ok := arm.Track(target, start)
		if !ok {
			t.Errorf("along %v: no joints found", direction)
			continue
		}
		moved := 0
		for i := range q {
			if math.Abs(q[i]-start[i]) > 1e-3 {
				moved++
			}
		}
		if moved < 2 {
			t.Errorf("10 mm along %v move %d joints, want several: %v", direction, moved, q)
		}
	}
}
