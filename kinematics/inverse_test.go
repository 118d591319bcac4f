package kinematics

import (
	"math"
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
// given twice: for poses of random joints, and as many of joints at multiples of 15° or hardly beside, on arms of every form and on arms with
// round numbers. Next to a singularity they are as exact as the accuracy of a flange determines them.
func TestEverySolutionGivesThePose(t *testing.T) {
	for n, f := range append(append([]family{}, families...), family{"round", "", 16, roundArm}) {
		t.Run(f.name, func(t *testing.T) {
			r := rand.New(rand.NewPCG(uint64(n), 1))
			var worst, worstTurn float64
			counts := map[int]int{}
			missing, singular := 0, 0
			arms := 40
			if f.solver == "" {
				arms = 10 // many of them are solved by search
			}
			for range arms {
				a := f.make(r)
				if !strings.HasPrefix(a.Solver(), f.solver) {
					t.Fatalf("solver %q, want %q", a.Solver(), f.solver)
				}
				for k := range 50 {
					q := randomJoints(r)
					if k%2 == 1 {
						q = specialJoints(r)
					}
					flange := a.Forward(q)
					solutions := a.Inverse(nil, flange, q)
					counts[len(solutions)]++
					families := 0 // of which several members may be given where it is one only to rounding
					for i, s := range solutions {
						mm, rad := miss(a, s.Joints, flange)
						if a.Singularity(s.Joints, Identity).Smallest > 1e-3 {
							worst, worstTurn = max(worst, mm), max(worstTurn, rad)
						} else if singular++; !(mm <= 1e-6 && rad <= 1e-9) {
							t.Errorf("%v, next to a singularity, is %g mm and %g rad off", s.Joints, mm, rad)
						}
						if s.Family {
							families++
						}
						if known(solutions[:i], &s.Joints, 1e-9) {
							t.Errorf("%v is given twice", s.Joints)
						}
						if !samePosture(a, s.Joints, s.Posture) {
							t.Errorf("solution says %v, Posture says %v", s.Posture, a.Posture(s.Joints))
						}
					}
					if !known(solutions, &q, math.Max(1e-6, play(a.Singularity(q, Identity).Smallest))) {
						missing++
						t.Errorf("%v, which made the pose, is not among %d solutions", q, len(solutions))
					}
					if len(solutions)-families > f.most {
						t.Errorf("%d solutions, more than %d", len(solutions), f.most)
					}
				}
			}
			t.Logf("largest miss %.1e mm, %.1e rad; number of solutions: how often %v; missing %d; %d next to a singularity", worst, worstTurn, counts, missing, singular)
			if worst > 1e-9 || worstTurn > 1e-12 {
				t.Errorf("largest miss %v mm, %v rad", worst, worstTurn)
			}
		})
	}
}

// samePosture reports whether a posture is that of the joints, as far as these tell: at a singularity rounding decides the word that
// changes there.
func samePosture(a *Arm, q Joints, p Posture) bool {
	const told = 1e-6
	is, i := a.Posture(q), a.Indicators(q)
	shoulder := !(math.Abs(i.Shoulder) < told*a.length)
	return (is.Shoulder == p.Shoulder || !shoulder) &&
		(is.Elbow == p.Elbow || !shoulder || math.Abs(math.Sin(i.Elbow)) < told) &&
		(is.Wrist == p.Wrist || math.Abs(math.Sin(i.Wrist)) < told)
}
