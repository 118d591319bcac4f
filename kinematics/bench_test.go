package kinematics

import (
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

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
