package kinematics_test

import (
	"math"
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
