package kinematics

import (
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/internal/draws"
	"handrule/internal/reference"
)

// numerically is an inverse of the tests' own, with nothing in common with the package's but Forward and Jacobian, which
// are held against KDL.
func numerically(a *Arm, flange Pose, q Joints) (Joints, bool) {
	d := reference.Descent{Steps: 80, Damping: 1e-3, Enough: 1e-13}
	q, _ = d.Descend(q, func(q [6]float64) (e [6]float64, m [6][6]float64) {
		now, jac := a.Jacobian(q, Identity)
		for i := range 3 {
			for k := range jac[i] {
				jac[i][k] /= a.length
			}
		}
		move := r3.Scale(1/a.length, r3.Sub(flange.Position, now.Position))
		return reference.Residual(move, axesOf(now.Rotation), axesOf(flange.Rotation)), jac
	})
	// At half a turn the sines vanish too.
	mm, rad := miss(a, q, flange)
	return q, mm < 1e-10*a.length && rad < 1e-10
}

func axesOf(r Rotation) [3]r3.Vec { return [3]r3.Vec{r.X, r.Y, r.Z} }

// thorough is how often to try what an ordinary run tries n times: far more often with HANDRULE_THOROUGH set.
func thorough(n int) int {
	if draws.Thorough() {
		return 25 * n
	}
	if testing.Short() {
		return max(1, n/4)
	}
	return n
}

// solvable are all families with a closed form and those without.
func solvable() []family {
	return append(append([]family{}, families...),
		family{"skew", "search", 16, skewArm}, family{"square", "search", 16, squareArm})
}

// From many random starts the tests' own iteration finds no solution that Inverse has missed, and the closed form and
// the complete search have the same solutions: of arms with axes anywhere, and on a grid, where they meet and are parallel by construction;
// for poses of random joints, of joints at multiples of 15° and of some hardly beside.
func TestNoSolutionIsMissed(t *testing.T) {
	for n, f := range append(solvable(), family{"round", "", 0, roundArm}) {
		t.Run(f.name, func(t *testing.T) {
			t.Parallel()
			r := rand.New(rand.NewPCG(uint64(n), 11))
			arms, starts := thorough(16), 60
			solutions, seen := 0, 0
			for k := range arms {
				a := f.make(r)
				hidden := randomJoints(r)
				if k%2 == 1 {
					hidden = specialJoints(r)
				}
				if isSingular(a, hidden) {
					continue // two axes in one line, say: infinitely many everywhere
				}
				flange := a.Forward(hidden)
				ours := a.Inverse(nil, flange, Joints{})
				searched := method(newSearch(a)).solve(nil, flange, Joints{})
				compareSolutions(t, a, ours, searched)
				hit := map[int]bool{}
				for range starts {
					q, ok := numerically(a, flange, randomJoints(r))
					if !ok || isSingular(a, q) {
						continue
					}
					i := indexOf(ours, &q, 1e-6)
					if i < 0 {
						t.Errorf("%v is a solution that is not among the %d found", q, len(ours))
					}
					hit[i] = true
				}
				solutions += len(ours)
				seen += len(hit)
			}
			t.Logf("%d solutions, of which the random starts led to %d", solutions, seen)
			if seen < solutions/2 {
				t.Errorf("the random starts led to %d of %d solutions only: the test says little", seen, solutions)
			}
		})
	}
}

// isSingular reports whether solutions are about to meet at q, so that they are not well told apart.
func isSingular(a *Arm, q Joints) bool { return a.Singularity(q, Identity).Smallest < 1e-5 }

// compareSolutions checks that two ways to solve agree on the number of solutions and on each.
func compareSolutions(t *testing.T, a *Arm, ours, searched []Solution) {
	t.Helper()
	alone := func(list []Solution) (n int) {
		for i := range list {
			if !isSingular(a, list[i].Joints) {
				n++
			}
		}
		return n
	}
	if n, m := alone(ours), alone(searched); n != m {
		t.Errorf("%s: %d solutions, by search %d", a.Solver(), n, m)
	}
	for i := range searched {
		if q := &searched[i].Joints; !isSingular(a, *q) && indexOf(ours, q, 1e-6) < 0 {
			t.Errorf("%s misses %v, which the search finds", a.Solver(), *q)
		}
	}
	for i := range ours {
		if q := &ours[i].Joints; !isSingular(a, *q) && indexOf(searched, q, 1e-6) < 0 {
			t.Errorf("the search misses %v, which %s finds", *q, a.Solver())
		}
	}
}

// The closed forms and the search over many poses, without random starts.
func TestClosedFormsAndSearchAgree(t *testing.T) {
	for n, f := range families {
		t.Run(f.name, func(t *testing.T) {
			t.Parallel()
			r := rand.New(rand.NewPCG(uint64(n), 12))
			for range thorough(60) {
				a := f.make(r)
				flange := a.Forward(randomJoints(r))
				compareSolutions(t, a, a.Inverse(nil, flange, Joints{}), method(newSearch(a)).solve(nil, flange, Joints{}))
			}
		})
	}
}

// handMeasured spoils an arm of a special form as a tape measure does: every axis moved by up to mm and tilted by up to
// deg, or one only.
func handMeasured(r *rand.Rand, a *Arm, mm, deg float64, one bool) *Arm {
	joints := a.Joints
	only := r.IntN(6)
	for i := range joints {
		if one && i != only {
			continue
		}
		joints[i].At = r3.Add(joints[i].At, r3.Scale(mm*r.Float64(), randomUnit(r)))
		joints[i].Axis = RotationAbout(randomUnit(r), Radians(deg)*r.Float64()).Apply(joints[i].Axis)
	}
	return mustArm(joints, a.Flange)
}

// An arm that is nearly of a special form is solved as it is: no solution is missed and none is that of the form, from
// errors that pass for rounding to those of a tape measure and beyond.
func TestHandMeasuredArms(t *testing.T) {
	for n, f := range families {
		t.Run(f.name, func(t *testing.T) {
			t.Parallel()
			r := rand.New(rand.NewPCG(uint64(n), 13))
			for _, off := range []struct{ mm, deg float64 }{
				{1e-13, 1e-15}, {1e-11, 1e-13}, {1e-9, 1e-11}, {1e-6, 1e-8}, {1e-4, 1e-5}, {0.03, 0.003},
				{0, 0.05}, {0.1, 0}, {0.15, 0}, {0.2, 0.02}, {1, 0.1},
			} {
				for k := range thorough(2) {
					a := handMeasured(r, f.make(r), off.mm, off.deg, k%2 == 0)
					q := randomJoints(r)
					flange := a.Forward(q)
					ours := a.Inverse(nil, flange, q)
					if !isSingular(a, q) && indexOf(ours, &q, 1e-6) < 0 {
						t.Errorf("off by %v: %s misses %v, which made the pose", off, a.Solver(), q)
					}
					for i, s := range ours {
						if mm, rad := miss(a, s.Joints, flange); !(mm <= 1e-6 && rad <= 1e-9) {
							t.Errorf("off by %v: %s: %v is %g mm, %g rad off", off, a.Solver(), s.Joints, mm, rad)
						}
						if indexOf(ours[:i], &s.Joints, 1e-6) >= 0 {
							t.Errorf("off by %v: %s: %v is given twice", off, a.Solver(), s.Joints)
						}
					}
					for range 40 {
						q, ok := numerically(a, flange, randomJoints(r))
						if ok && !isSingular(a, q) && indexOf(ours, &q, 1e-6) < 0 {
							t.Errorf("off by %v: %s misses %v among %d", off, a.Solver(), q, len(ours))
						}
					}
				}
			}
		})
	}
}
