package kinematics

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

func joint(at, axis r3.Vec) Joint {
	return Joint{At: at, Axis: axis, Min: -math.Pi, Max: math.Pi, Speed: 1}
}

func mustArm(j [6]Joint, f Pose) *Arm {
	a, err := New(j, f)
	if err != nil {
		panic(err)
	}
	return a
}

var x, y, z = r3.Vec{X: 1}, r3.Vec{Y: 1}, r3.Vec{Z: 1}

func tabletop() *Arm {
	return mustArm([6]Joint{
		joint(r3.Vec{}, z), joint(r3.Vec{X: 40}, y), joint(r3.Vec{X: 40, Z: 300}, y),
		joint(r3.Vec{X: 100, Z: 330}, x), joint(r3.Vec{X: 340, Z: 330}, y), joint(r3.Vec{X: 400, Z: 330}, x),
	}, Pose{Position: r3.Vec{X: 420, Z: 330}, Rotation: FixedXYZ(0, math.Pi/2, 0)})
}

func randomJoints(r *rand.Rand) (q Joints) {
	for i := range q {
		q[i] = (2*r.Float64() - 1) * math.Pi
	}
	return q
}

func manyJoints() (qs [64]Joints) {
	r := rand.New(rand.NewPCG(1, 2))
	for i := range qs {
		qs[i] = randomJoints(r)
	}
	return qs
}

func BenchmarkForward(b *testing.B) {
	a, qs := tabletop(), manyJoints()
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		a.Forward(qs[i%64])
	}
}

func BenchmarkJacobian(b *testing.B) {
	a, qs := tabletop(), manyJoints()
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		a.Jacobian(qs[i%64], Identity)
	}
}

func BenchmarkSincos(b *testing.B) {
	_, qs := tabletop(), manyJoints()
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		sincos(qs[i%64][0])
	}
}
func TestForwardLinks(t *testing.T) {
	a, qs := tabletop(), manyJoints()
	for _, q := range qs {
		f := a.Forward(q)
		g := a.Links(q)[6].Mul(a.Flange)
		h, _ := a.Jacobian(q, Identity)
		m, r := f.Twist(g)
		m2, r2 := f.Twist(h)
		if r3.Norm(m) > 1e-10 || r3.Norm(r) > 1e-12 || r3.Norm(m2) > 1e-10 || r3.Norm(r2) > 1e-12 {
			t.Fatal(m, r, m2, r2)
		}
	}
}
