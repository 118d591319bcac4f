package kinematics

import (
	"math"
	"math/rand/v2"
	"testing"
)

// besideSingular returns joint angles next to a singular pose, from which turning one joint by about so much leads to it; false where it
// finds none.
func besideSingular(r *rand.Rand, a *Arm, by float64) (q Joints, ok bool) {
	q = randomJoints(r)
	turned := 1 + r.IntN(4)
	det := func(angle float64) float64 {
		q[turned] = angle
		_, jac := a.Jacobian(q, Identity)
		return determinantOf(&jac)
	}
	low, high := q[turned], q[turned]+1
	if det(low)*det(high) > 0 {
		return q, false
	}
	for range 40 {
		if mid := (low + high) / 2; det(low)*det(mid) <= 0 {
			high = mid
		} else {
			low = mid
		}
	}
	q[turned] = low + by
	return q, true
}

// determinantOf is that of a Jacobian, by elimination.
func determinantOf(jac *Jacobian) float64 {
	m, det := *jac, 1.0
	for i := range 6 {
		pivot := i
		for k := i + 1; k < 6; k++ {
			if math.Abs(m[k][i]) > math.Abs(m[pivot][i]) {
				pivot = k
			}
		}
		if pivot != i {
			m[i], m[pivot], det = m[pivot], m[i], -det
		}
		det *= m[i][i]
		for k := i + 1; k < 6; k++ {
			f := m[k][i] / m[i][i]
			for c := i; c < 6; c++ {
				m[k][c] -= f * m[i][c]
			}
		}
	}
	return det
}

// Next to a singular pose two solutions are next to each other, and iteration may lead to the farther one. The quick ways to follow
// answer with the nearest there, or not at all: those of arms with a spherical wrist and with parallel axes, and that of arms of any form,
// here made to follow those.
func TestTheQuickWayTellsTheNearest(t *testing.T) {
	for n, f := range families {
		t.Run(f.name, func(t *testing.T) {
			t.Parallel()
			r := rand.New(rand.NewPCG(uint64(n), 76))
			answered, close := [2]int{}, [2]int{}
			for range thorough(20000) {
				a := f.make(r)
				by := math.Pow(10, -1-1.5*r.Float64()) * randomSign(r)
				near, ok := besideSingular(r, a, by)
				if !ok {
					continue
				}
				to := near
				step := math.Abs(by) * 2 * r.Float64()
				for i := range to {
					to[i] += step * (2*r.Float64() - 1)
				}
				flange := a.Forward(to)
				var all []Solution
				for k, track := range []func(*Pose, *Joints, *Joints) bool{a.quick.track, newFollower(a).track} {
					var q Joints
					if !track(&flange, &near, &q) {
						continue
					}
					answered[k]++
					if all == nil {
						all = a.Inverse(nil, flange, near)
					}
					far := farthest(q[:], near[:])
					for _, s := range all {
						d := farthest(s.Joints[:], near[:])
						if d < far-1e-7 && !s.Family {
							t.Errorf("way %d: %s at %.12g°: %.12g° is %g rad away, and %.12g° only %g", k, a.Solver(), near.Degrees(), q.Degrees(), far, s.Joints.Degrees(), d)
						}
						if farthest(s.Joints[:], q[:]) > 1e-6 && d < 10*math.Abs(by) {
							close[k]++
						}
					}
				}
			}
			if t.Logf("%d answered, %d of them with another solution near", answered, close); answered[0] < 300 || close[0] < 10 {
				t.Error("the test says little")
			}
		})
	}
}
