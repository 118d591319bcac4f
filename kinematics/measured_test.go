package kinematics

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// renamed returns the same arm with other names for its joints' angles: where it is measured joint i is at measured[i], and turns the other
// way where reversed. names gives the new angles of a pose.
func renamed(t *testing.T, a *Arm, measured Joints, reversed [6]bool) (other *Arm, names func(Joints) Joints) {
	t.Helper()
	joints := a.Joints
	names = func(q Joints) Joints {
		for i := range q {
			q[i] -= a.Joints[i].Measured
			if reversed[i] {
				q[i] = -q[i]
			}
			q[i] += measured[i]
		}
		return q
	}
	var low, high Joints
	for i, j := range joints {
		low[i], high[i] = j.Min, j.Max
	}
	low, high = names(low), names(high)
	for i := range joints {
		j := &joints[i]
		j.Measured, j.Min, j.Max = measured[i], min(low[i], high[i]), max(low[i], high[i])
		if reversed[i] {
			j.Axis = r3.Scale(-1, j.Axis)
		}
	}
	return mustArm(joints, a.Flange), names
}

// What the angles of an arm are called changes nothing of it.
func TestAnArmIsTheSameUnderOtherNamesOfItsAngles(t *testing.T) {
	for n, f := range solvable() {
		t.Run(f.name, func(t *testing.T) {
			t.Parallel()
			r := rand.New(rand.NewPCG(uint64(n), 31))
			for range thorough(40) {
				a := f.make(r)
				var measured Joints
				var reversed [6]bool
				for i := range measured {
					reversed[i] = r.IntN(2) == 0
					measured[i] = float64(r.IntN(5)-2) * math.Pi / 2
					if r.IntN(2) == 0 {
						measured[i] = 2 * randomAngle(r)
					}
				}
				b, names := renamed(t, a, measured, reversed)
				q := randomJoints(r)
				p := names(q)
				if a.Solver() != b.Solver() {
					t.Errorf("%s is now solved by %s", a.Solver(), b.Solver())
				}
				if mm, rad := miss(b, p, a.Forward(q)); mm > 1e-9 || rad > 1e-12 {
					t.Errorf("the flange is %g mm and %g rad elsewhere", mm, rad)
				}
				la, lb := a.Links(q), b.Links(p)
				for i := range la {
					if move, turn := la[i].Twist(lb[i]); r3.Norm(move) > 1e-9 || r3.Norm(turn) > 1e-12 {
						t.Errorf("link %d is %g mm and %g rad elsewhere", i, r3.Norm(move), r3.Norm(turn))
					}
				}
				_, ja := a.Jacobian(q, Identity)
				_, jb := b.Jacobian(p, Identity)
				for col := range 6 {
					sign := 1.0
					if reversed[col] {
						sign = -1
					}
					for row := range 6 {
						if off := math.Abs(ja[row][col] - sign*jb[row][col]); off > 1e-9 {
							t.Errorf("the Jacobian differs by %g in row %d, column %d", off, row, col)
						}
					}
				}
				if wa, wb := a.Singularity(q, Identity), b.Singularity(p, Identity); math.Abs(wa.Smallest-wb.Smallest) > 1e-9 {
					t.Errorf("the smallest singular value is %g and %g", wa.Smallest, wb.Smallest)
				}
				if isSingular(a, q) {
					continue
				}
				all, others := a.Inverse(nil, a.Forward(q), q), b.Inverse(nil, b.Forward(p), p)
				if len(all) != len(others) {
					t.Errorf("%s: %d solutions and %d", a.Solver(), len(all), len(others))
				}
				for _, s := range all {
					there := names(s.Joints)
					i := indexOf(others, &there, 1e-6)
					if i < 0 {
						t.Errorf("%s: %v is no solution of the other", a.Solver(), s.Joints)
						continue
					}
					o := others[i]
					if s.WithinLimits && (math.Abs(o.Distance-s.Distance) > 1e-6 || !o.WithinLimits) {
						t.Errorf("%s: %v, within limits, is %v of the other, within limits: %v", a.Solver(), there, o.Joints, o.WithinLimits)
					}
					// Where the shoulder has no word, up and down go by the side to which joints 1 and 2 count.
					if s.Posture.Shoulder != o.Posture.Shoulder || s.Posture.Elbow != o.Posture.Elbow && (s.Posture.Shoulder != "" || !reversed[0] && !reversed[1]) {
						t.Errorf("%s: %+v and %+v", a.Solver(), s.Posture, o.Posture)
					}
					if s.Posture.Wrist != "" && (s.Posture.Wrist == o.Posture.Wrist) == reversed[4] {
						t.Errorf("%s: wrist %s and %s, turned round: %v", a.Solver(), s.Posture.Wrist, o.Posture.Wrist, reversed[4])
					}
				}
				if math.Abs(a.Reach()-b.Reach()) > 0.1*a.Reach() && reversed == [6]bool{} {
					t.Errorf("reaches %g and %g mm", a.Reach(), b.Reach())
				}
			}
		})
	}
}

func TestAnArmStartsAtZeroOrTheNearestLimit(t *testing.T) {
	a := tabletop()
	joints := a.Joints
	joints[1].Min, joints[1].Max = 0.5, 2
	joints[2].Min, joints[2].Max = -3, -0.25
	if got := mustArm(joints, a.Flange).Start(); got != (Joints{1: 0.5, 2: -0.25}) {
		t.Errorf("%v", got)
	}
}
