package kinematics

import (
	"encoding/binary"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// numbersFrom reads numbers from bytes, as they are: huge, tiny, or none at all.
func numbersFrom(data []byte) func() float64 {
	return func() float64 {
		if len(data) < 8 {
			return 0
		}
		x := math.Float64frombits(binary.LittleEndian.Uint64(data))
		data = data[8:]
		return x
	}
}

// fuzzedArm is an arm of any numbers that an arm file lets through: at most 1 km and ten turns.
func fuzzedArm(next func() float64) (*Arm, bool) {
	length := func() float64 { return math.Mod(next(), 1e6) }
	vec := func() r3.Vec { return r3.Vec{X: length(), Y: length(), Z: length()} }
	var joints [6]Joint
	for i := range joints {
		joints[i] = Joint{At: vec(), Axis: vec(), Min: -math.Pi, Max: 20 * math.Pi, Speed: 1}
	}
	a, err := New(joints, Pose{Position: vec(), Rotation: FixedXYZ(length(), length(), length())})
	return a, err == nil
}

// Whatever the arm: nothing panics, hangs or returns what is no number, and every solution puts the flange at its place.
func FuzzSolvers(f *testing.F) {
	r := rand.New(rand.NewPCG(1, 1))
	for _, family := range families {
		a := family.make(r)
		var data []byte
		add := func(v r3.Vec) {
			for _, x := range [3]float64{v.X, v.Y, v.Z} {
				data = binary.LittleEndian.AppendUint64(data, math.Float64bits(x))
			}
		}
		for _, j := range a.Joints {
			add(j.At)
			add(j.Axis)
		}
		add(a.Flange.Position)
		angles, _ := a.Flange.Rotation.FixedXYZ()
		add(angles)
		add(r3.Vec{X: 0.1, Y: 0.2, Z: 0.3})
		add(r3.Vec{X: 0.4, Y: 0.5, Z: 0.6})
		f.Add(data)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		next := numbersFrom(data)
		a, ok := fuzzedArm(next)
		if !ok {
			return
		}
		var q Joints
		for i := range q {
			if q[i] = math.Mod(next(), 20*math.Pi); math.IsNaN(q[i]) {
				return
			}
		}
		flange := a.Forward(q)
		if !flange.finite() {
			t.Fatalf("forward gives %v", flange)
		}
		for _, s := range a.Inverse(nil, flange, q) {
			if !s.Joints.finite() || math.IsNaN(s.Distance) {
				t.Fatalf("a solution of %v", s)
			}
			// Rounding grows with the lengths of the arm.
			size := 1 + r3.Norm(flange.Position) + a.length
			shift, turn := a.Forward(s.Joints).Twist(flange)
			if r3.Norm(shift) > 1e-9*size || r3.Norm(turn) > 1e-9 {
				t.Fatalf("a solution is %g mm and %g rad off", r3.Norm(shift), r3.Norm(turn))
			}
		}
		checkFound(t, a, q, flange)
		if q, ok := a.Track(flange, q); ok && !q.finite() {
			t.Fatalf("tracking gives %v", q)
		}
		if s := a.Singularity(q, Identity); math.IsNaN(s.Smallest + s.Condition + s.Manipulability) {
			t.Fatalf("the singular values are %v", s)
		}
		if d := a.OutOfReach(flange, q); math.IsNaN(d) {
			t.Fatal("out of reach by no number")
		}
	})
}
