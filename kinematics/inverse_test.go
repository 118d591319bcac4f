package kinematics

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

func TestZ(t *testing.T) {
	a := tabletop()
	fmt.Println(a.Solver())
	r := rand.New(rand.NewPCG(1, 2))
	count := map[int]int{}
	var worst, worstR float64
	for range 20000 {
		q := randomJoints(r)
		f := a.Forward(q)
		sols := a.Inverse(nil, f, q)
		count[len(sols)]++
		found := false
		for _, s := range sols {
			g := a.Forward(s.Joints)
			m, w := g.Twist(f)
			worst = max(worst, r3.Norm(m))
			worstR = max(worstR, r3.Norm(w))
			if s.Distance < 1e-9 {
				found = true
			}
			if a.Posture(s.Joints) != s.Posture {
				t.Fatal(a.Posture(s.Joints), s)
			}
		}
		if !found {
			t.Fatal(q, sols)
		}
		tr, ok := a.Track(f, q)
		if !ok || farthest(tr[:], q[:]) > 1e-9 {
			t.Fatal("track", q, tr)
		}
	}
	fmt.Println(count, worst, worstR)
}

func BenchmarkInverse(b *testing.B) {
	a, qs := tabletop(), manyJoints()
	var fs [64]Pose
	for i, q := range qs {
		fs[i] = a.Forward(q)
	}
	var dst []Solution
	b.ReportAllocs()
	n := 0
	for i := 0; b.Loop(); i++ {
		dst = a.Inverse(dst[:0], fs[i%64], qs[i%64])
		n += len(dst)
	}
	b.ReportMetric(float64(n)/float64(b.N), "sol/op")
}

func BenchmarkTrack(b *testing.B) {
	a, qs := tabletop(), manyJoints()
	var fs [64]Pose
	for i, q := range qs {
		fs[i] = a.Forward(q)
	}
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		a.Track(fs[i%64], qs[i%64])
	}
}
