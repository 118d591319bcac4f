package kinematics_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
)

// The tests in the files reference_*_test.go compare this package with values that others computed or printed.
// Every value's source stands beside it or at the head of the file in testdata that holds it.

// frame is a pose as the files in testdata write it: the position, then the rotation matrix by rows.
type frame [12]float64

func (f frame) pose() kinematics.Pose {
	return kinematics.Pose{
		Position: r3.Vec{X: f[0], Y: f[1], Z: f[2]},
		Rotation: rotation([9]float64(f[3:])),
	}
}

// rotation is the rotation with this matrix by rows.
func rotation(m [9]float64) kinematics.Rotation {
	return kinematics.Rotation{
		X: r3.Vec{X: m[0], Y: m[3], Z: m[6]},
		Y: r3.Vec{X: m[1], Y: m[4], Z: m[7]},
		Z: r3.Vec{X: m[2], Y: m[5], Z: m[8]},
	}
}

func frameOf(p kinematics.Pose) (f frame) {
	f[0], f[1], f[2] = p.Position.X, p.Position.Y, p.Position.Z
	for i, row := range p.Rotation.Matrix() {
		copy(f[3+3*i:], row[:])
	}
	return f
}

// armOf is an arm with these axes, each a point and a direction, and joints that may turn twice around.
func armOf(t testing.TB, lines [6][2]r3.Vec, flange kinematics.Pose) *kinematics.Arm {
	t.Helper()
	var joints [6]kinematics.Joint
	for i, line := range lines {
		joints[i] = kinematics.Joint{At: line[0], Axis: line[1], Min: -4 * math.Pi, Max: 4 * math.Pi, Speed: 1}
	}
	arm, err := kinematics.New(joints, flange)
	if err != nil {
		t.Fatal(err)
	}
	return arm
}

// relativeError is the length of got − want as a share of the length of want.
func relativeError(got, want []float64) float64 {
	var off, size float64
	for i := range want {
		off = math.Hypot(off, got[i]-want[i])
		size = math.Hypot(size, want[i])
	}
	return off / size
}

// worst remembers the largest of the errors it was shown.
type worst float64

func (w *worst) see(err float64) float64 {
	if !(err <= float64(*w)) {
		*w = worst(err)
	}
	return err
}

// readReference reads a JSON file under testdata.
func readReference(t testing.TB, path string, into any) {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("..", "testdata", filepath.FromSlash(path)))
	if err != nil {
		t.Fatal(err)
	}
	unmarshalReference(t, text, into)
}

func unmarshalReference(t testing.TB, text []byte, into any) {
	t.Helper()
	decoder := json.NewDecoder(bytes.NewReader(text))
	decoder.DisallowUnknownFields()
	if err := decoder.Decode(into); err != nil {
		t.Fatal(err)
	}
}

// regenerate runs a generator under testdata and returns what it writes, or skips the test where no Python here
// can import the module it needs.
func regenerate(t *testing.T, module, debian, script string, arguments ...string) []byte {
	t.Helper()
	// The system's Python comes first, because distribution packages install for that one.
	for _, python := range []string{"/usr/bin/python3", "python3"} {
		if exec.Command(python, "-c", "import "+module).Run() != nil {
			continue
		}
		command := exec.Command(python, append([]string{filepath.Join("..", "testdata", filepath.FromSlash(script))}, arguments...)...)
		var complaint bytes.Buffer
		command.Stderr = &complaint
		out, err := command.Output()
		if err != nil {
			t.Fatalf("%s: %v\n%s", script, err, complaint.String())
		}
		return out
	}
	t.Skipf("no python3 here can import %s, so its values were not computed anew; on Debian: apt install %s", module, debian)
	return nil
}

// compareNumbers reports where two decoded JSON values differ by more than the tolerance for that place in the
// file, as a share of a number above one in size and absolute below.
func compareNumbers(t *testing.T, where string, committed, fresh any, tolerance func(where string) float64) {
	t.Helper()
	switch c := committed.(type) {
	case map[string]any:
		f, ok := fresh.(map[string]any)
		if !ok || len(f) != len(c) {
			t.Errorf("%s: fields differ", where)
			return
		}
		for key := range c {
			compareNumbers(t, where+"."+key, c[key], f[key], tolerance)
		}
	case []any:
		f, ok := fresh.([]any)
		if !ok || len(f) != len(c) {
			t.Errorf("%s: lengths differ", where)
			return
		}
		for i := range c {
			compareNumbers(t, fmt.Sprintf("%s[%d]", where, i), c[i], f[i], tolerance)
		}
	case float64:
		f, ok := fresh.(float64)
		if !ok || !(math.Abs(c-f) <= tolerance(where)*math.Max(1, math.Abs(c))) {
			t.Errorf("%s: committed %v, computed anew %v", where, committed, fresh)
		}
	default:
		if committed != fresh {
			t.Errorf("%s: committed %v, computed anew %v", where, committed, fresh)
		}
	}
}
