package kinematics

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// limited is any arm with any limits, and any tool on it.
func limited(r *rand.Rand) (*Arm, r3.Vec) {
	a := placed(r, randomAxes(r))
	for i := range a.Joints {
		from := (r.Float64()*2 - 1) * math.Pi
		a.Joints[i].Min, a.Joints[i].Max = from, from+0.1+r.Float64()*2*math.Pi
	}
	tip := r3.Vec{Z: 300 * r.Float64()}
	if r.IntN(2) == 0 {
		tip.X = 100 * r.Float64()
	}
	return a, tip
}

// anyWithin are joint angles within the limits, often at them.
func anyWithin(a *Arm, r *rand.Rand) (q Joints) {
	for i, j := range a.Joints {
		q[i] = j.Min + (j.Max-j.Min)*max(0, min(1, r.Float64()*1.4-0.2))
	}
	return q
}

// No place to which any arm comes, within any limits and with any tool, is said to be farther than it is: neither one that it stands at, nor any other
// as near as it stands to it.
func TestNearestIsNeverTooFar(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 31))
	for range 60 {
		a, tip := limited(r)
		stands := func(q Joints) r3.Vec { flange := a.Forward(q); return flange.Apply(tip) }
		to := stands(anyWithin(a, r))
		if n := a.Nearest(tip, to, 1e-3, nil); n.Least > 1e-5 {
			t.Errorf("%v mm to where it stands", n.Least)
		}
		to = r3.Add(to, r3.Scale(a.length, r3.Vec{X: r.NormFloat64(), Y: r.NormFloat64(), Z: r.NormFloat64()}))
		n := a.Nearest(tip, to, 1e-3, nil)
		if !a.Within(n.At) || math.Abs(r3.Norm(r3.Sub(stands(n.At), to))-n.Found) > 1e-6 {
			t.Errorf("it is found %v mm near, and is %v, within its limits: %v", n.Found, r3.Norm(r3.Sub(stands(n.At), to)), a.Within(n.At))
		}
		for range 2000 {
			if far := r3.Norm(r3.Sub(stands(anyWithin(a, r)), to)); far < n.Least-1e-6 {
				t.Errorf("%v mm, and it comes to %v", n.Least, far)
			}
		}
	}
}

// Of no box is it said that the TCP stays farther than it does somewhere in it.
func TestTheBoundOfABox(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 31))
	for range 4000 {
		a, tip := limited(r)
		n := a.approach(tip, r3.Vec{}, nil)
		flange := a.Forward(anyWithin(a, r))
		n.to = r3.Add(flange.Apply(tip), r3.Scale(a.length*math.Pow(10, -3*r.Float64()), r3.Vec{X: r.NormFloat64(), Y: r.NormFloat64(), Z: r.NormFloat64()}))
		box := nearBox{mid: anyWithin(a, r)}
		size := math.Pow(10, -3*r.Float64())
		for i := 1; i < 6; i++ {
			box.half[i] = math.Pi * size * r.Float64()
		}
		n.bound(&box)
		for range 20 {
			q := box.mid
			for i := 1; i < 6; i++ {
				q[i] += box.half[i] * max(-1, min(1, 1.5*(2*r.Float64()-1)))
			}
			point := nearBox{mid: q} // with the first joint turned as is best
			q, said := n.bound(&point)
			flange := a.Forward(q)
			far := r3.Norm(r3.Sub(flange.Apply(tip), n.to))
			if far < box.low-1e-6 || math.Abs(far-said) > 1e-6 {
				t.Fatalf("at least %v mm, said to be %v, and it is %v", box.low, said, far)
			}
			if turned, nearer := n.nearer(q, far, 1, 0); nearer < far-1e-6 && turned[1] == q[1] && turned[2] == q[2] && turned[3] == q[3] && turned[4] == q[4] && turned[5] == q[5] {
				t.Fatalf("the first joint brings it nearer: %v and %v mm", far, nearer)
			}
		}
	}
}

func BenchmarkNearest(b *testing.B) {
	r := rand.New(rand.NewPCG(9, 31))
	for range b.N {
		a, tip := limited(r)
		far := r3.Scale(3*a.length, r3.Unit(r3.Vec{X: r.NormFloat64(), Y: r.NormFloat64(), Z: r.NormFloat64()}))
		a.Nearest(tip, far, 1e-3, nil)
	}
}
