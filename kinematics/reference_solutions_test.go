package kinematics_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"

	"handrule/internal/reference"
	"handrule/kinematics"
)

// kdlSolutions is testdata/kdl/solutions.json; its fields are described in generate_solutions.py beside it.
type kdlSolutions struct {
	Source string                `json:"source"`
	Starts int                   `json:"starts"`
	Poses  [][]kinematics.Joints `json:"poses"`
}

// The two numbers of generate_solutions.py: what one rad counts in mm, and the smallest singular value below which a
// way to stand is nearly singular and left out.
const (
	kdlScale          = 300
	kdlNearlySingular = 0.02
)

func contains(list []kinematics.Joints, q kinematics.Joints, tolerance float64) bool {
	for _, known := range list {
		most := 0.0
		for i := range q {
			most = math.Max(most, math.Abs(math.Remainder(known[i]-q[i], 2*math.Pi)))
		}
		if most <= tolerance {
			return true
		}
	}
	return false
}

// nearlySingular applies the generator's rule, with half as much again for its rounding.
func nearlySingular(arm *kinematics.Arm, q kinematics.Joints) bool {
	_, jac := arm.Jacobian(q, kinematics.Identity)
	scaled := mat.NewDense(6, 6, nil)
	for row := range 6 {
		for col := range 6 {
			scaled.Set(row, col, jac[row][col])
			if row < 3 {
				scaled.Set(row, col, jac[row][col]/kdlScale)
			}
		}
	}
	var svd mat.SVD
	return !svd.Factorize(scaled, mat.SVDNone) || svd.Values(nil)[5] <= 1.5*kdlNearlySingular
}

// inverseJoints returns the joints of every solution, after checking that each is a solution and none comes twice.
func inverseJoints(t *testing.T, arm *kinematics.Arm, flange kinematics.Pose) (list []kinematics.Joints) {
	t.Helper()
	for _, s := range arm.Inverse(nil, flange, kinematics.Joints{}) {
		move, turn := arm.Forward(s.Joints).Twist(flange)
		if !(r3.Norm(move) <= 1e-6 && r3.Norm(turn) <= 1e-9) {
			t.Errorf("%v is no solution: the flange is %g mm and %g rad off", s.Joints, r3.Norm(move), r3.Norm(turn))
		}
		if contains(list, s.Joints, 1e-6) {
			t.Errorf("%v is there twice", s.Joints)
		}
		list = append(list, s.Joints)
	}
	return list
}

// Inverse finds every way to stand that KDL's numerical solver finds from thousands of random starts, for every arm,
// and next to nothing that KDL does not find.
func TestInverseFindsAllThatKDLFinds(t *testing.T) {
	var file kdlSolutions
	reference.Read(t, "kdl/solutions.json", &file)
	arms := kdlArms(t)
	if len(file.Poses) != len(arms) {
		t.Fatalf("%d arms, but solutions for %d", len(arms), len(file.Poses))
	}
	all, more := 0, 0
	for i, theirs := range file.Poses {
		k := arms[i]
		arm := k.arm(t)
		ours := inverseJoints(t, arm, k.Inverse.Target.pose())
		for _, q := range theirs {
			if !contains(ours, q, kdlInverseTolerance) {
				t.Errorf("%s: missed %v; found %d, KDL %d", at(i, k, "Inverse"), q, len(ours), len(theirs))
			}
		}
		for _, q := range ours {
			if !contains(theirs, q, kdlInverseTolerance) && !nearlySingular(arm, q) {
				t.Logf("%s: found %v, which KDL did not from %d starts", at(i, k, "Inverse"), q, file.Starts)
				more++
			}
		}
		all += len(theirs)
	}
	t.Logf("%d solutions of KDL's, %d more", all, more)
	if more > all/100 {
		t.Errorf("%d solutions beyond KDL's %d", more, all)
	}
}

// A short run of the generator finds nothing but what the long one, whose values are committed, found.
func TestKDLFindsTheCommittedSolutions(t *testing.T) {
	text := reference.Regenerate(t, "PyKDL, numpy", "python3-pykdl python3-numpy", "kdl/generate_solutions.py", "20")
	var committed, fresh kdlSolutions
	reference.Read(t, "kdl/solutions.json", &committed)
	reference.Unmarshal(t, text, &fresh)
	if len(fresh.Poses) != len(committed.Poses) {
		t.Fatalf("%d poses committed, %d computed anew", len(committed.Poses), len(fresh.Poses))
	}
	all, again := 0, 0
	for i, pose := range fresh.Poses {
		for _, q := range pose {
			if !contains(committed.Poses[i], q, kdlInverseTolerance) {
				t.Errorf("arm %d: %v is not among the committed solutions", i, q)
			}
		}
		all += len(committed.Poses[i])
		again += len(pose)
	}
	t.Logf("%d of %d found again", again, all)
	if again < all/2 {
		t.Errorf("only %d of the %d committed solutions were found again", again, all)
	}
}
