package kinematics_test

import (
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/num/quat"
	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
)

// orientation is one case of testdata/scipy/orientations.json, whose fields generate.py beside it describes.
type orientation struct {
	Name     string     `json:"name"`
	FixedXYZ [3]float64 `json:"fixed_xyz"`
	Vector   [3]float64 `json:"vector"`
	Matrix   [9]float64 `json:"matrix"`
	Read     struct {
		FixedXYZ   *[3]float64 `json:"fixed_xyz"`
		Quaternion [4]float64  `json:"quaternion_wxyz"`
		Vector     [3]float64  `json:"vector"`
	} `json:"read"`
}

// orientations returns the cases made from fixed X-Y-Z angles, those made from rotation vectors, and both together.
func orientations(t testing.TB) (angles, vectors, all []orientation) {
	t.Helper()
	var file struct {
		Source  string        `json:"source"`
		Angles  []orientation `json:"angles"`
		Vectors []orientation `json:"vectors"`
	}
	readReference(t, "scipy/orientations.json", &file)
	if len(file.Angles) == 0 || len(file.Vectors) == 0 {
		t.Fatal("testdata/scipy/orientations.json has no cases")
	}
	return file.Angles, file.Vectors, append(append(all, file.Angles...), file.Vectors...)
}

// rotationTolerance is for entries of a matrix and for rad: a few roundings.
const rotationTolerance = 1e-14

// vectorTolerance is in rad. Vector takes the axis from the antisymmetric part of the matrix until that is as
// small as 1e-4, and so loses up to four of the sixteen digits close to a half turn.
const vectorTolerance = 1e-12

// turnBetween is the angle in rad of the turn from a to b, as the Frobenius norm sees it.
func turnBetween(a, b kinematics.Rotation) float64 {
	var sum float64
	for i := range 3 {
		sum += r3.Norm2(r3.Sub(a.Axis(i), b.Axis(i)))
	}
	return math.Sqrt(sum / 2)
}

func vec(v [3]float64) r3.Vec { return r3.Vec{X: v[0], Y: v[1], Z: v[2]} }

// angleApart is the difference of two angles that may be a full turn apart.
func angleApart(a, b float64) float64 { return math.Abs(math.Remainder(a-b, 2*math.Pi)) }

func TestFixedXYZMakesSciPysMatrix(t *testing.T) {
	angles, _, _ := orientations(t)
	for _, c := range angles {
		got := kinematics.FixedXYZ(c.FixedXYZ[0], c.FixedXYZ[1], c.FixedXYZ[2])
		if off := turnBetween(got, rotation(c.Matrix)); !(off <= rotationTolerance) {
			t.Errorf("%s: %v gives %v, %g rad off SciPy's %v", c.Name, c.FixedXYZ, got.Matrix(), off, c.Matrix)
		}
	}
}

func TestFixedXYZReadsWhatSciPyReads(t *testing.T) {
	_, _, all := orientations(t)
	notUnique := 0
	for _, c := range all {
		r := rotation(c.Matrix)
		got, unique := r.FixedXYZ()
		if back := kinematics.FixedXYZ(got.X, got.Y, got.Z); !(turnBetween(back, r) <= 1e-9) {
			t.Errorf("%s: read as %v, which is another rotation", c.Name, got)
		}
		if c.Read.FixedXYZ == nil {
			notUnique++
			if unique {
				t.Errorf("%s: read as unique, SciPy says it is not", c.Name)
			}
			if got.X != 0 || !(math.Abs(math.Abs(got.Y)-math.Pi/2) <= 1e-9) {
				t.Errorf("%s: read as %v, want no turn about X and a right angle about Y", c.Name, got)
			}
			continue
		}
		if !unique {
			t.Errorf("%s: read as not unique, SciPy reads %v", c.Name, *c.Read.FixedXYZ)
			continue
		}
		want := vec(*c.Read.FixedXYZ)
		// Near a right angle about Y the other two angles magnify the rounding of the matrix.
		tolerance := rotationTolerance / math.Cos(want.Y)
		if !(angleApart(got.X, want.X) <= tolerance && math.Abs(got.Y-want.Y) <= tolerance && angleApart(got.Z, want.Z) <= tolerance) {
			t.Errorf("%s: read as %v, SciPy reads %v", c.Name, got, want)
		}
	}
	if notUnique < 4 {
		t.Errorf("only %d cases where the angles are not unique", notUnique)
	}
}

func TestQuaternionReadsWhatSciPyReads(t *testing.T) {
	_, _, all := orientations(t)
	for _, c := range all {
		got := rotation(c.Matrix).Quaternion()
		w := c.Read.Quaternion
		want := quat.Number{Real: w[0], Imag: w[1], Jmag: w[2], Kmag: w[3]}
		if got.Real < 0 {
			t.Errorf("%s: the real part of %v is negative", c.Name, got)
		}
		// A quaternion and its negative are the same rotation.
		off := math.Min(quat.Abs(quat.Sub(got, want)), quat.Abs(quat.Add(got, want)))
		if !(off <= rotationTolerance) {
			t.Errorf("%s: %v, SciPy reads %v", c.Name, got, want)
		}
	}
}

func TestRotationAboutMakesSciPysMatrix(t *testing.T) {
	_, vectors, _ := orientations(t)
	for _, c := range vectors {
		v := vec(c.Vector)
		axis, angle := r3.Vec{Z: 1}, r3.Norm(v)
		if angle > 0 {
			axis = r3.Scale(1/angle, v)
		}
		got := kinematics.RotationAbout(axis, angle)
		if off := turnBetween(got, rotation(c.Matrix)); !(off <= rotationTolerance) {
			t.Errorf("%s: %v gives %v, %g rad off SciPy's %v", c.Name, v, got.Matrix(), off, c.Matrix)
		}
	}
}

func TestVectorReadsWhatSciPyReads(t *testing.T) {
	_, _, all := orientations(t)
	halfTurns := 0
	for _, c := range all {
		got, want := rotation(c.Matrix).Vector(), vec(c.Read.Vector)
		off := r3.Norm(r3.Sub(got, want))
		if math.Pi-r3.Norm(want) < 1e-9 {
			// At a half turn an axis and its opposite are the same rotation.
			halfTurns++
			off = math.Min(off, r3.Norm(r3.Add(got, want)))
		}
		if !(off <= vectorTolerance) {
			t.Errorf("%s: %v, SciPy reads %v, %g rad apart", c.Name, got, want, off)
		}
	}
	if halfTurns < 10 {
		t.Errorf("only %d half turns", halfTurns)
	}
}

func TestSciPyComputesTheCommittedOrientations(t *testing.T) {
	text := regenerate(t, "scipy", "python3-scipy", "scipy/generate.py")
	var committed, fresh any
	readReference(t, "scipy/orientations.json", &committed)
	unmarshalReference(t, text, &fresh)
	compareNumbers(t, "orientations.json", committed, fresh, func(where string) float64 {
		if strings.Contains(where, ".read.fixed_xyz") {
			return 1e-8 // near a right angle about Y, angles magnify the last digit of the matrix
		}
		return 1e-12
	})
}
