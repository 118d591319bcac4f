package kinematics_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/internal/reference"
	"handrule/kinematics"
)

// kdlArm is one arm of testdata/kdl/arms.json; the file's fields are described in generate.py beside it.
type kdlArm struct {
	Family string        `json:"family"`
	Lines  [6][6]float64 `json:"lines"`
	Flange frame         `json:"flange"`
	Tool   frame         `json:"tool"`
	Bare   struct {
		Joints   kinematics.Joints   `json:"joints"`
		Flange   frame               `json:"flange"`
		Jacobian kinematics.Jacobian `json:"jacobian"`
	} `json:"bare"`
	Tooled struct {
		Joints   kinematics.Joints   `json:"joints"`
		TCP      frame               `json:"tcp"`
		Jacobian kinematics.Jacobian `json:"jacobian"`
	} `json:"tooled"`
	Moved struct {
		Joints       kinematics.Joints `json:"joints"`
		Flange       frame             `json:"flange"`
		Link         int               `json:"link"`
		Displacement frame             `json:"displacement"`
	} `json:"moved"`
	Inverse struct {
		Target frame             `json:"target"`
		Near   kinematics.Joints `json:"near"`
		Joints kinematics.Joints `json:"joints"`
	} `json:"inverse"`
}

func (k kdlArm) arm(t testing.TB) *kinematics.Arm {
	var lines [6][2]r3.Vec
	for i, l := range k.Lines {
		lines[i] = [2]r3.Vec{{X: l[0], Y: l[1], Z: l[2]}, {X: l[3], Y: l[4], Z: l[5]}}
	}
	return armOf(t, lines, k.Flange.pose())
}

func kdlArms(t testing.TB) []kdlArm {
	t.Helper()
	var file struct {
		Source string   `json:"source"`
		Arms   []kdlArm `json:"arms"`
	}
	reference.Read(t, "kdl/arms.json", &file)
	if len(file.Arms) < 200 {
		t.Fatalf("testdata/kdl/arms.json has %d arms, fewer than 200", len(file.Arms))
	}
	return file.Arms
}

// kdlTolerance is relative; the values in arms.json have 11 significant digits.
const kdlTolerance = 1e-9

// comparePoses checks position and rotation matrix, each relative to its own size, and returns the larger error.
func comparePoses(t *testing.T, what string, got kinematics.Pose, want frame) float64 {
	t.Helper()
	g := frameOf(got)
	position, turn := relativeError(g[:3], want[:3]), relativeError(g[3:], want[3:])
	if !(position <= kdlTolerance && turn <= kdlTolerance) {
		t.Errorf("%s is %v, KDL says %v", what, g, want)
	}
	return max(position, turn)
}

// compareJacobians checks the rows of velocity and of angular velocity, each relative to its own size.
func compareJacobians(t *testing.T, what string, got, want kinematics.Jacobian) float64 {
	t.Helper()
	var largest float64
	for _, first := range []int{0, 3} {
		var g, w []float64
		for row := first; row < first+3; row++ {
			g, w = append(g, got[row][:]...), append(w, want[row][:]...)
		}
		err := relativeError(g, w)
		if !(err <= kdlTolerance) {
			t.Errorf("%s, rows %d to %d, is %v, KDL says %v", what, first+1, first+3, g, w)
		}
		largest = max(largest, err)
	}
	return largest
}

func TestForwardAgreesWithKDL(t *testing.T) {
	var off worst
	for i, k := range kdlArms(t) {
		arm := k.arm(t)
		off.see(comparePoses(t, at(i, k, "flange"), arm.Forward(k.Bare.Joints), k.Bare.Flange))
		off.see(comparePoses(t, at(i, k, "flange"), arm.Forward(k.Moved.Joints), k.Moved.Flange))
		off.see(comparePoses(t, at(i, k, "TCP"), arm.Forward(k.Tooled.Joints).Mul(k.Tool.pose()), k.Tooled.TCP))
	}
	t.Logf("largest relative error %.1e", off)
}

func TestLinksAgreeWithKDL(t *testing.T) {
	var off worst
	for i, k := range kdlArms(t) {
		arm := k.arm(t)
		links := arm.Links(k.Moved.Joints)
		off.see(comparePoses(t, at(i, k, "displacement of the link"), links[k.Moved.Link], k.Moved.Displacement))
		off.see(comparePoses(t, at(i, k, "flange carried by link 6"), links[6].Mul(k.Flange.pose()), k.Moved.Flange))
	}
	t.Logf("largest relative error %.1e", off)
}

func TestJacobianAgreesWithKDL(t *testing.T) {
	var off worst
	for i, k := range kdlArms(t) {
		arm := k.arm(t)
		tcp, jac := arm.Jacobian(k.Bare.Joints, kinematics.Identity)
		off.see(comparePoses(t, at(i, k, "flange"), tcp, k.Bare.Flange))
		off.see(compareJacobians(t, at(i, k, "Jacobian at the flange"), jac, k.Bare.Jacobian))
		tcp, jac = arm.Jacobian(k.Tooled.Joints, k.Tool.pose())
		off.see(comparePoses(t, at(i, k, "TCP"), tcp, k.Tooled.TCP))
		off.see(compareJacobians(t, at(i, k, "Jacobian at the TCP"), jac, k.Tooled.Jacobian))
	}
	t.Logf("largest relative error %.1e", off)
}

// kdlInverseTolerance is in rad. KDL counts rotations of less than about 1e-6 rad as none when it inverts, so
// that the joints it finds are good to this and no better.
const kdlInverseTolerance = 1e-5

// What Track finds must be KDL's joints, and must put the flange at KDL's target to this package's own accuracy.
func TestTrackAgreesWithKDL(t *testing.T) {
	var apart, position, turn worst
	for i, k := range kdlArms(t) {
		arm, target := k.arm(t), k.Inverse.Target.pose()
		q, ok := arm.Track(target, k.Inverse.Near)
		if !ok {
			t.Errorf("%s found no joints, KDL found %v", at(i, k, "Track"), k.Inverse.Joints)
			continue
		}
		for j := range q {
			if err := apart.see(math.Abs(q[j] - k.Inverse.Joints[j])); !(err <= kdlInverseTolerance) {
				t.Errorf("%s: joints %v, KDL found %v", at(i, k, "Track"), q, k.Inverse.Joints)
				break
			}
		}
		move, rotate := arm.Forward(q).Twist(target)
		if p, r := position.see(r3.Norm(move)), turn.see(r3.Norm(rotate)); !(p <= 1e-6 && r <= 1e-9) {
			t.Errorf("%s: the flange is %g mm and %g rad off KDL's target", at(i, k, "Track"), p, r)
		}
	}
	t.Logf("largest difference from KDL's joints %.1e rad; from its targets %.1e mm, %.1e rad", apart, position, turn)
}

func TestKDLComputesTheCommittedValues(t *testing.T) {
	text := reference.Regenerate(t, "PyKDL, numpy", "python3-pykdl python3-numpy", "kdl/generate.py")
	var committed, fresh any
	reference.Read(t, "kdl/arms.json", &committed)
	reference.Unmarshal(t, text, &fresh)
	reference.CompareNumbers(t, "arms.json", committed, fresh, func(where string) float64 {
		if strings.Contains(where, ".inverse.joints") {
			return kdlInverseTolerance // another build may stop its iteration elsewhere
		}
		return kdlTolerance
	})
}

// at says which value of which arm a complaint is about.
func at(i int, k kdlArm, what string) string {
	return fmt.Sprintf("arm %d (%s): %s", i, k.Family, what)
}
