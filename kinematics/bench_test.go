package kinematics

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// inputs are so many that the processor does not learn the branches they take.
const inputs = 2048

func manyJoints() (qs [inputs]Joints) {
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
		a.Forward(qs[i%inputs])
	}
}

func BenchmarkJacobian(b *testing.B) {
	a, qs := tabletop(), manyJoints()
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		a.Jacobian(qs[i%inputs], Identity)
	}
}

func BenchmarkLinks(b *testing.B) {
	a, qs := tabletop(), manyJoints()
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		a.Links(qs[i%inputs])
	}
}

func BenchmarkSincos(b *testing.B) {
	qs := manyJoints()
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		sincos(qs[i%inputs][0])
	}
}

func BenchmarkAngle(b *testing.B) {
	qs := manyJoints()
	var ds [inputs]direction
	for i, q := range qs {
		ds[i].sin, ds[i].cos = sincos(q[0])
	}
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		ds[i%inputs].angle()
	}
}

// benchmarkArms are an arm of the commonest kind and one of every family, in random directions.
func benchmarkArms() (names []string, arms []*Arm) {
	names, arms = []string{"tabletop"}, []*Arm{tabletop()}
	for i, f := range families {
		names, arms = append(names, f.name), append(arms, f.make(rand.New(rand.NewPCG(uint64(i), 3))))
	}
	return names, arms
}

// flanges are where an arm's flange is for each of these joints.
func flanges(a *Arm, qs *[inputs]Joints) (fs [inputs]Pose) {
	for i, q := range qs {
		fs[i] = a.Forward(q)
	}
	return fs
}

// All solutions.
func BenchmarkInverse(b *testing.B) {
	qs := manyJoints()
	names, arms := benchmarkArms()
	for k, a := range arms {
		b.Run(names[k], func(b *testing.B) {
			fs := flanges(a, &qs)
			dst := make([]Solution, 0, 64)
			b.ReportAllocs()
			n := 0
			for i := 0; b.Loop(); i++ {
				dst = a.Inverse(dst[:0], fs[i%inputs], qs[i%inputs])
				n += len(dst)
			}
			b.ReportMetric(float64(n)/float64(b.N), "solutions/op")
		})
	}
}

// The next pose of a straight jog, a tick of 4 ms on: at 250 mm/s, and at a tenth of it. Arms are the best built of some
// random ones and poses away from singularities, where an arm is jogged. From the pose before, and from where the joints get
// by going on as in the tick before, as a drive does that has looked along its path.
func BenchmarkTrack(b *testing.B) {
	r := rand.New(rand.NewPCG(1, 3))
	names, arms := []string{"tabletop"}, []*Arm{tabletop()}
	for _, f := range solvable() {
		names, arms = append(names, f.name), append(arms, wellBuilt(r, f))
	}
	for _, mm := range []float64{1, 0.1} {
		for k, a := range arms {
			var qs, on [inputs]Joints
			for i := range qs {
				for qs[i] = randomJoints(r); a.Singularity(qs[i], Identity).Smallest < 0.05; {
					qs[i] = randomJoints(r)
				}
			}
			fs := flanges(a, &qs)
			for i := range fs {
				step := r3.Scale(mm, randomUnit(r))
				before := fs[i]
				before.Position = r3.Sub(before.Position, step)
				fs[i].Position = r3.Add(fs[i].Position, step)
				last, _ := a.Track(before, qs[i])
				for j := range last {
					on[i][j] = 2*qs[i][j] - last[j]
				}
			}
			for from, near := range map[string]*[inputs]Joints{"before": &qs, "going on": &on} {
				b.Run(fmt.Sprintf("%g mm/%s/%s", mm, names[k], from), func(b *testing.B) {
					b.ReportAllocs()
					for i := 0; b.Loop(); i++ {
						a.Track(fs[i%inputs], near[i%inputs])
					}
				})
			}
		}
	}
}

// wellBuilt returns of some arms of a family the one that is away from singularities in most poses.
func wellBuilt(r *rand.Rand, f family) (best *Arm) {
	most := 0
	for range 10 {
		a, n := f.make(r), 0
		for range 100 {
			if a.Singularity(randomJoints(r), Identity).Smallest >= 0.05 {
				n++
			}
		}
		if n > most {
			best, most = a, n
		}
	}
	return best
}

func BenchmarkPosture(b *testing.B) {
	a, qs := tabletop(), manyJoints()
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		a.Posture(qs[i%inputs])
	}
}

func BenchmarkSingularity(b *testing.B) {
	a, qs := tabletop(), manyJoints()
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		a.Singularity(qs[i%inputs], Identity)
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

func BenchmarkTurns(b *testing.B) {
	a, qs := tabletop(), manyJoints()
	var t [6]direction
	for i := 0; b.Loop(); i++ {
		turns(a.chain.link[:], qs[i%inputs][:], t[:])
	}
}
