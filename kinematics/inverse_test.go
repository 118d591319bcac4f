package kinematics

import (
	"math/rand/v2"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// miss is how far the flange at q is from where it should be, in mm and rad.
func miss(a *Arm, q Joints, flange Pose) (mm, rad float64) {
	move, turn := a.Forward(q).Twist(flange)
	return r3.Norm(move), r3.Norm(turn)
}

// Every solution fed back through Forward gives the pose, the joints that made the pose are among them, and none is
// given twice.
func TestEverySolutionGivesThePose(t *testing.T) {
	for n, f := range families {
		t.Run(f.name, func(t *testing.T) {
			r := rand.New(rand.NewPCG(uint64(n), 1))
			var worst, worstTurn float64
			counts := map[int]int{}
			missing := 0
			for range 40 {
				a := f.make(r)
				if !strings.HasPrefix(a.Solver(), f.solver) {
					t.Fatalf("solver %q, want %q", a.Solver(), f.solver)
				}
				for range 50 {
					q := randomJoints(r)
					flange := a.Forward(q)
					solutions := a.Inverse(nil, flange, q)
					counts[len(solutions)]++
					for i, s := range solutions {
						mm, rad := miss(a, s.Joints, flange)
						worst, worstTurn = max(worst, mm), max(worstTurn, rad)
						if known(solutions[:i], &s.Joints, 1e-9) {
							t.Errorf("%v is given twice", s.Joints)
						}
						if a.Posture(s.Joints) != s.Posture {
							t.Errorf("solution says %v, Posture says %v", s.Posture, a.Posture(s.Joints))
						}
					}
					if !known(solutions, &q, 1e-6) {
						missing++
						t.Errorf("%v, which made the pose, is not among %d solutions", q, len(solutions))
					}
					if len(solutions) > f.most {
						t.Errorf("%d solutions, more than %d", len(solutions), f.most)
					}
				}
			}
			t.Logf("largest miss %.1e mm, %.1e rad; number of solutions: how often %v; missing %d", worst, worstTurn, counts, missing)
			if worst > 1e-9 || worstTurn > 1e-12 {
				t.Errorf("largest miss %v mm, %v rad", worst, worstTurn)
			}
		})
	}
}
