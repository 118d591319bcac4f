package kinematics_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/num/quat"
	"gonum.org/v1/gonum/spatial/r3"

	"handrule/internal/reference"
	"handrule/kinematics"
)

// orientation is one case of testdata/scipy/orientations.json, whose fields generate.py beside it describes.
type orientation struct {
	Name       string     `json:"name"`
	FixedXYZ   [3]float64 `json:"fixed_xyz"`
	MovingZYX  [3]float64 `json:"moving_zyx"`
	ZYZ        [3]float64 `json:"zyz"`
	Vector     [3]float64 `json:"vector"`
	Quaternion [4]float64 `json:"quaternion_wxyz"`
	Matrix     [9]float64 `json:"matrix"`
	Read       struct {
		FixedXYZ   *[3]float64 `json:"fixed_xyz"`
		MovingZYX  *[3]float64 `json:"moving_zyx"`
		ZYZ        *[3]float64 `json:"zyz"`
		Quaternion [4]float64  `json:"quaternion_wxyz"`
		Vector     [3]float64  `json:"vector"`
	} `json:"read"`
}

// orientationFile holds the cases by the form they were made from.
type orientationFile struct {
	Source      string        `json:"source"`
	Angles      []orientation `json:"angles"`
	Vectors     []orientation `json:"vectors"`
	ZYZ         []orientation `json:"zyz"`
	Moving      []orientation `json:"moving"`
	Quaternions []orientation `json:"quaternions"`
}

func orientations(t testing.TB) (file orientationFile) {
	t.Helper()
	reference.Read(t, "scipy/orientations.json", &file)
	for _, group := range [][]orientation{file.Angles, file.Vectors, file.ZYZ, file.Moving, file.Quaternions} {
		if len(group) == 0 {
			t.Fatal("testdata/scipy/orientations.json lacks cases")
		}
	}
	return file
}

func (f orientationFile) all() []orientation {
	return slices.Concat(f.Angles, f.Vectors, f.ZYZ, f.Moving, f.Quaternions)
}

// rotationTolerance is for entries of a matrix and for rad: a few roundings.
const rotationTolerance = 1e-14

// vectorTolerance is in rad, for the axis times the angle. Vector takes the axis from the antisymmetric part of the
// matrix until that is as small as a tenth, and loses a digit by it.
const vectorTolerance = 1e-13

// atSpecial is how near, in rad, to a pose with numbers that are not unique counts as being there.
const atSpecial = 1e-9

// turnBetween is the angle in rad of the turn from a to b, as the Frobenius norm sees it.
func turnBetween(a, b kinematics.Rotation) float64 {
	var sum float64
	for i := range 3 {
		sum += r3.Norm2(r3.Sub(a.Axis(i), b.Axis(i)))
	}
	return math.Sqrt(sum / 2)
}

func vec(v [3]float64) r3.Vec { return r3.Vec{X: v[0], Y: v[1], Z: v[2]} }

// angleForm is an orientation written as three angles.
type angleForm struct {
	name  string
	write func(angles [3]float64) kinematics.Rotation
	read  func(r kinematics.Rotation) (angles [3]float64, unique bool)
	// fromSpecial is how far the middle angle is from where the others are not unique.
	fromSpecial func(middle float64) float64
	// zero is the angle given as zero there.
	zero int
}

func fromRightAngle(middle float64) float64 { return math.Abs(math.Pi/2 - math.Abs(middle)) }

var fixedXYZ = angleForm{
	name:  "fixed X-Y-Z",
	write: func(a [3]float64) kinematics.Rotation { return kinematics.FixedXYZ(a[0], a[1], a[2]) },
	read: func(r kinematics.Rotation) ([3]float64, bool) {
		a, unique := r.FixedXYZ()
		return [3]float64{a.X, a.Y, a.Z}, unique
	},
	fromSpecial: fromRightAngle,
	zero:        0,
}

var movingZYX = angleForm{
	name:        "moving Z-Y-X",
	write:       func(a [3]float64) kinematics.Rotation { return kinematics.MovingZYX(a[0], a[1], a[2]) },
	read:        kinematics.Rotation.MovingZYX,
	fromSpecial: fromRightAngle,
	zero:        2,
}

var zyz = angleForm{
	name:        "Z-Y-Z",
	write:       func(a [3]float64) kinematics.Rotation { return kinematics.ZYZ(a[0], a[1], a[2]) },
	read:        kinematics.Rotation.ZYZ,
	fromSpecial: func(middle float64) float64 { return math.Min(middle, math.Pi-middle) },
	zero:        0,
}

func TestAnglesMakeSciPysMatrix(t *testing.T) {
	file := orientations(t)
	check := func(form angleForm, c orientation, angles [3]float64) {
		got := form.write(angles)
		if off := turnBetween(got, rotation(c.Matrix)); !(off <= rotationTolerance) {
			t.Errorf("%s, %s: %v gives %v, %g rad off SciPy's %v", form.name, c.Name, angles, got.Matrix(), off, c.Matrix)
		}
	}
	for _, c := range file.Angles {
		check(fixedXYZ, c, c.FixedXYZ)
	}
	for _, c := range file.Moving {
		check(movingZYX, c, c.MovingZYX)
	}
	for _, c := range file.ZYZ {
		check(zyz, c, c.ZYZ)
	}
}

func TestAnglesReadWhatSciPyReads(t *testing.T) {
	all := orientations(t).all()
	for _, group := range []struct {
		form angleForm
		want func(c orientation) *[3]float64
	}{
		{fixedXYZ, func(c orientation) *[3]float64 { return c.Read.FixedXYZ }},
		{movingZYX, func(c orientation) *[3]float64 { return c.Read.MovingZYX }},
		{zyz, func(c orientation) *[3]float64 { return c.Read.ZYZ }},
	} {
		notUnique := 0
		for _, c := range all {
			if want := group.want(c); want != nil {
				compareAngles(t, group.form, c, *want)
			} else if readAtSpecial(t, group.form, c) {
				notUnique++
			}
		}
		if notUnique < 20 {
			t.Errorf("%s: only %d cases that are not unique", group.form.name, notUnique)
		}
	}
}

func compareAngles(t *testing.T, form angleForm, c orientation, want [3]float64) {
	got, unique := form.read(rotation(c.Matrix))
	if !unique {
		t.Errorf("%s, %s: read as not unique, SciPy reads %v", form.name, c.Name, want)
	}
	// Close to where they are not unique, the outer angles magnify the rounding of the matrix, and the SciPy of the
	// committed values takes the middle one from a cosine, which magnifies it as well.
	tolerance := rotationTolerance / math.Sin(form.fromSpecial(want[1]))
	for i := range want {
		if !(math.Abs(got[i]-want[i]) <= tolerance) {
			t.Errorf("%s, %s: read as %v, SciPy reads %v", form.name, c.Name, got, want)
		}
	}
}

// readAtSpecial checks the reading of a case that is not unique for SciPy, which says so from 1e-7 rad on, and reports
// whether it is near enough for this package to say the same.
func readAtSpecial(t *testing.T, form angleForm, c orientation) bool {
	r := rotation(c.Matrix)
	got, unique := form.read(r)
	off := turnBetween(form.write(got), r)
	from := form.fromSpecial(got[1])
	if unique {
		if !(from >= atSpecial && from <= 1.1e-7 && off <= rotationTolerance) {
			t.Errorf("%s, %s: read as %v, unique, %g rad off; SciPy says it is not unique", form.name, c.Name, got, off)
		}
		return false
	}
	if got[form.zero] != 0 || !(from <= atSpecial) || !(off <= 2*from+rotationTolerance) {
		t.Errorf("%s, %s: read as %v, not unique, %g rad off", form.name, c.Name, got, off)
	}
	return true
}

func TestQuaternionMakesSciPysMatrix(t *testing.T) {
	for _, c := range orientations(t).Quaternions {
		got, err := kinematics.FromQuaternion(quaternion(c.Quaternion))
		if err != nil {
			t.Errorf("%s: %v: %v", c.Name, c.Quaternion, err)
		}
		if off := turnBetween(got, rotation(c.Matrix)); !(off <= rotationTolerance) {
			t.Errorf("%s: %v gives %v, %g rad off SciPy's %v", c.Name, c.Quaternion, got.Matrix(), off, c.Matrix)
		}
	}
}

func quaternion(wxyz [4]float64) quat.Number {
	return quat.Number{Real: wxyz[0], Imag: wxyz[1], Jmag: wxyz[2], Kmag: wxyz[3]}
}

func TestQuaternionReadsWhatSciPyReads(t *testing.T) {
	for _, c := range orientations(t).all() {
		got, want := rotation(c.Matrix).Quaternion(), quaternion(c.Read.Quaternion)
		if got.Real < 0 {
			t.Errorf("%s: the real part of %v is negative", c.Name, got)
		}
		tolerance := rotationTolerance
		if math.Abs(want.Real) < atSpecial/2 {
			tolerance += math.Abs(want.Real) // read as zero
		}
		if !(quat.Abs(quat.Sub(got, want)) <= tolerance) {
			t.Errorf("%s: %v, SciPy reads %v", c.Name, got, want)
		}
	}
}

func TestAxisAndAngleMakeSciPysMatrix(t *testing.T) {
	for _, c := range orientations(t).Vectors {
		v := vec(c.Vector)
		angle := r3.Norm(v)
		axis := v
		if angle > 0 {
			axis = r3.Scale(3/angle, v) // of any length
		}
		got, err := kinematics.FromAxisAngle(axis, angle)
		if err != nil {
			t.Errorf("%s: %v: %v", c.Name, v, err)
		}
		if off := turnBetween(got, rotation(c.Matrix)); !(off <= rotationTolerance) {
			t.Errorf("%s: %v gives %v, %g rad off SciPy's %v", c.Name, v, got.Matrix(), off, c.Matrix)
		}
	}
}

func TestVectorReadsWhatSciPyReads(t *testing.T) {
	for _, c := range orientations(t).all() {
		got, want := rotation(c.Matrix).Vector(), vec(c.Read.Vector)
		off := r3.Norm(r3.Sub(got, want))
		if math.Pi-r3.Norm(want) < 1e-9 {
			// At a half turn an axis and its opposite are the same rotation.
			off = math.Min(off, r3.Norm(r3.Add(got, want)))
		}
		if !(off <= vectorTolerance) {
			t.Errorf("%s: %v, SciPy reads %v, %g rad apart", c.Name, got, want, off)
		}
	}
}

func TestAxisAndAngleReadWhatSciPyReads(t *testing.T) {
	noTurns, halfTurns := 0, 0
	for _, c := range orientations(t).all() {
		want := vec(c.Read.Vector)
		axis, angle, unique := rotation(c.Matrix).AxisAngle()
		switch size := r3.Norm(want); {
		case size < atSpecial*0.99:
			noTurns++
			if unique || axis != (r3.Vec{}) || angle != 0 {
				t.Errorf("%s: %v about %v, unique: %v; SciPy reads %v, hardly a turn", c.Name, angle, axis, unique, want)
			}
			continue
		case size > math.Pi-atSpecial:
			halfTurns++
			if unique {
				t.Errorf("%s: %v about %v, read as unique; SciPy reads the half turn %v", c.Name, angle, axis, want)
			}
		case size > atSpecial*1.01 && !unique:
			t.Errorf("%s: %v about %v, read as not unique; SciPy reads %v", c.Name, angle, axis, want)
		}
		// A half turn is read as exactly that where the sign of the axis had to be turned round.
		off, tolerance := r3.Norm(r3.Sub(r3.Scale(angle, axis), want)), rotationTolerance
		if !unique {
			tolerance += math.Pi - r3.Norm(want)
		}
		if !(off <= tolerance) {
			t.Errorf("%s: %v about %v, SciPy reads %v, %g rad apart", c.Name, angle, axis, want, off)
		}
	}
	if noTurns < 3 || halfTurns < 10 {
		t.Errorf("only %d turns by nothing and %d half turns", noTurns, halfTurns)
	}
}

func TestSciPyComputesTheCommittedOrientations(t *testing.T) {
	text := reference.Regenerate(t, "scipy", "python3-scipy", "scipy/generate.py")
	var committed, fresh any
	reference.Read(t, "scipy/orientations.json", &committed)
	reference.Unmarshal(t, text, &fresh)
	reference.CompareNumbers(t, "orientations.json", committed, fresh, func(where string) float64 {
		if strings.Contains(where, ".read.fixed_xyz") || strings.Contains(where, ".read.moving_zyx") || strings.Contains(where, ".read.zyz") {
			return 1e-8 // near where they are not unique, angles magnify the last digit of the matrix
		}
		return 1e-12
	})
}
