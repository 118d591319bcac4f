package kinematics

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"
)

// The singular values and vectors against gonum's, which are LAPACK's, at random joints and on and near the
// singular ones.
func TestSingularityAgreesWithLAPACK(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	a := tabletop()
	tool := Pose{Position: x, Rotation: FixedXYZ(0.1, 0.2, 0.3)}
	for n := range 400 {
		q := randomJoints(r)
		if n%2 == 0 {
			q[4] = math.Pow(10, -15*r.Float64())
		}
		if n%8 == 0 {
			q[4] = 0
		}
		got := a.Singularity(q, tool)
		m := scaledJacobian(a, q, tool)
		var svd mat.SVD
		if !svd.Factorize(m, mat.SVDFull) {
			t.Fatal("no decomposition")
		}
		values := svd.Values(nil)
		if math.Abs(got.Smallest-values[5]) > 1e-14 {
			t.Errorf("%v: smallest %v, LAPACK %v", q, got.Smallest, values[5])
		}
		if values[5] > 1e-9 && math.Abs(got.Condition*values[5]/values[0]-1) > 1e-6 {
			t.Errorf("%v: condition %v, LAPACK %v", q, got.Condition, values[0]/values[5])
		}
		det := math.Abs(mat.Det(m))
		if math.Abs(got.Manipulability-det) > 1e-12*values[0] {
			t.Errorf("%v: manipulability %v, determinant %v", q, got.Manipulability, det)
		}
		if values[4] < 1e-6 {
			continue // the vectors are not unique
		}
		var u, v mat.Dense
		svd.UTo(&u)
		svd.VTo(&v)
		var lost, racing float64
		for k := range 6 {
			lost += got.Lost[k] * u.At(k, 5)
			racing += got.Racing[k] * v.At(k, 5)
		}
		if math.Abs(math.Abs(lost)-1) > 1e-9 || math.Abs(math.Abs(racing)-1) > 1e-9 {
			t.Errorf("%v: lost %v racing %v, smallest %v %v", q, lost, racing, values[5], values[4])
		}
		// The joint speeds named give the motion named.
		for row := range 6 {
			sum := 0.0
			for col := range 6 {
				sum += m.At(row, col) * got.Racing[col]
			}
			if math.Abs(sum-got.Smallest*got.Lost[row]) > 1e-12 {
				t.Errorf("%v: row %d: J·Racing %v, Smallest·Lost %v", q, row, sum, got.Smallest*got.Lost[row])
			}
		}
	}
}

// The determinant of the Jacobian at the wrist centre of an arm with a spherical wrist and parallel axes 2 and 3 is
// the product of its two links, the sines of elbow and wrist and the wrist centre's distance (Craig, ch. 5, "the
// determinant of a matrix product" applied to the decoupled Jacobian; derived by hand).
func TestIndicatorsAreTheFactorsOfTheDeterminant(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	a := tabletop()
	e := a.method.(*elbowArm)
	for range 200 {
		q := randomJoints(r)
		i := a.Indicators(q)
		want := e.planar.triangle.upper * e.planar.triangle.fore * math.Sin(i.Elbow) * math.Sin(i.Wrist) * i.Shoulder
		_, jac := a.Jacobian(q, Pose{Position: e.wrist.centre, Rotation: NoRotation})
		m := mat.NewDense(6, 6, nil)
		for row := range 6 {
			m.SetRow(row, jac[row][:])
		}
		if got := mat.Det(m); math.Abs(math.Abs(got)-math.Abs(want)) > 1e-6*math.Abs(want)+1e-6 {
			t.Errorf("%v: determinant %v, factors %v", q, got, want)
		}
	}
}

func TestSingularityIsNamed(t *testing.T) {
	a := tabletop()
	e := a.method.(*elbowArm)
	bent := Joints{0.3, 0.2, 0.5, 0.4, 1.2, 0.1}
	straightElbow := bent
	straightElbow[2] -= a.Indicators(bent).Elbow * e.planar.reverse
	over := bent
	// The wrist centre comes over axis 1 where its distance across changes sign.
	low, high := -2.0, 0.2
	for range 80 {
		over[1] = (low + high) / 2
		if a.Indicators(over).Shoulder > 0 {
			high = over[1]
		} else {
			low = over[1]
		}
	}
	for _, c := range []struct {
		kind string
		q    Joints
	}{
		{"", bent},
		{"wrist", Joints{0.3, 0.2, 0.5, 0.4, 0, 0.1}},
		{"wrist", Joints{0.3, 0.2, 0.5, 0.4, math.Pi, 0.1}},
		{"elbow", straightElbow},
		{"shoulder", over},
	} {
		s := a.Singularity(c.q, Identity)
		if s.Kind != c.kind || s.Near != (c.kind != "") || (s.Smallest < 1e-9) != s.Near {
			t.Errorf("%v: %q near %v, smallest %v, want %q", c.q, s.Kind, s.Near, s.Smallest, c.kind)
		}
	}
}

// Four parallel axes, four that meet and two in one line leave fewer than six ways in every pose (screw theory: planar and
// spherical motion have three, turning about a line one); an arm of any form that is solved has all six somewhere.
func TestArmsThatAreSingularEverywhere(t *testing.T) {
	names, arms := benchmarkArms()
	for i, arm := range arms {
		if why := arm.AlwaysSingular(); why != "" {
			t.Errorf("%s: %s", names[i], why)
		}
	}
	r := rand.New(rand.NewPCG(4, 5))
	for _, test := range []struct {
		change func(j *[6]Joint)
		says   string
	}{
		{func(j *[6]Joint) { j[1].Axis, j[2].Axis, j[3].Axis = j[0].Axis, j[0].Axis, j[0].Axis }, "J1 to J4 are parallel"},
		{func(j *[6]Joint) { j[2].At, j[3].At, j[4].At = j[5].At, j[5].At, j[5].At }, "J3 to J6 meet in one point"},
		{func(j *[6]Joint) { j[5].At, j[5].Axis = j[4].At, r3.Scale(-1, j[4].Axis) }, "J5 to J6 lie in one line"},
	} {
		j := randomAxes(r)
		test.change(&j)
		if why := mustArm(j, Identity).AlwaysSingular(); !strings.Contains(why, test.says) {
			t.Errorf("want %q, not %q", test.says, why)
		}
	}
}
