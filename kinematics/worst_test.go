package kinematics

import (
	"math/rand/v2"
	"testing"

	"handrule/internal/worst"
)

// worstArms are arms of all kinds: of every family, with round numbers, and nearly of a family's form.
func worstArms(r *rand.Rand) (arms []*Arm) {
	all := solvable()
	for k := range 400 {
		a := all[k%len(families)].make(r)
		switch {
		case k%4 == 1:
			a = roundArm(r)
		case k%32 == 2:
			a = handMeasured(r, a, 0.05, 0.005, false)
		case k%32 == 3:
			a = all[len(families)+k/32%2].make(r)
		}
		arms = append(arms, a)
	}
	return arms
}

func BenchmarkWorstInverse(b *testing.B) {
	r := rand.New(rand.NewPCG(1, 81))
	arms := worstArms(r)
	var dst []Solution
	for _, kind := range []string{"random", "special"} {
		b.Run(kind, func(b *testing.B) {
			worst.Report(b, func(i int) {
				r := rand.New(rand.NewPCG(uint64(i), 82))
				a, q, near := arms[i%len(arms)], randomJoints(r), randomJoints(r)
				if kind == "special" {
					q, near = specialJoints(r), Joints{}
				}
				dst = a.Inverse(dst[:0], a.Forward(q), near)
			})
		})
	}
}

func BenchmarkWorstFollow(b *testing.B) {
	r := rand.New(rand.NewPCG(1, 83))
	arms := worstArms(r)
	for _, kind := range []string{"random", "special"} {
		b.Run(kind, func(b *testing.B) {
			worst.Report(b, func(i int) {
				r := rand.New(rand.NewPCG(uint64(i), 84))
				a, q := arms[i%len(arms)], randomJoints(r)
				if kind == "special" {
					q = specialJoints(r)
				}
				a.Follow(tick(r, a, q), q, q)
			})
		})
	}
}
