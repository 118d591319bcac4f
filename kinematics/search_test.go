package kinematics

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// skewArm is an arm of six axes anywhere.
func skewArm(r *rand.Rand) *Arm { return placed(r, randomAxes(r)) }

// squareArm has axes along the base frame's, on a coarse grid, as offset wrists have, but no closed form. Many of its
// solutions share joint angles.
func squareArm(r *rand.Rand) *Arm { return offSquareArm(r, func() float64 { return 0 }) }

// nearlySquareArm is one whose axes are off by very little to a few degrees and millimetres.
func nearlySquareArm(r *rand.Rand) *Arm {
	return offSquareArm(r, func() float64 { return r.NormFloat64() * math.Pow(10, -1-6*r.Float64()) })
}

func offSquareArm(r *rand.Rand, off func() float64) *Arm {
	for {
		var j [6]Joint
		grid := func() float64 { return float64(r.IntN(7)-3)*50 + 100*off() }
		for i := range j {
			axis := NoRotation.Axis(r.IntN(3))
			tilt := r3.Vec{X: off(), Y: off(), Z: off()}
			j[i] = joint(r3.Vec{X: grid(), Y: grid(), Z: grid()}, r3.Add(axis, tilt))
		}
		if a := placed(r, j); a.Solver() == (&search{}).name() {
			return a
		}
	}
}

// The search finds every solution that a Levenberg-Marquardt iteration finds from many random starts, and an even
// number of them, as a real polynomial of even degree has away from its multiple zeros.
func TestSearchAgainstManyStarts(t *testing.T) {
	poses, starts := 12, 250
	if testing.Short() {
		poses = 3
	}
	for name, make := range map[string]func(*rand.Rand) *Arm{"skew": skewArm, "square": squareArm, "nearly square": nearlySquareArm} {
		t.Run(name, func(t *testing.T) {
			r := rand.New(rand.NewPCG(1, 2))
			total := 0
			for range poses {
				a := make(r)
				hidden := randomJoints(r)
				if s := a.Singularity(hidden, Identity); s.Smallest < 1e-6 {
					continue // one of infinitely many, or two that are about to meet
				}
				flange := a.Forward(hidden)
				found := a.Inverse(nil, flange, Joints{})
				if !known(found, &hidden, sameStand) {
					t.Errorf("the hidden solution %v is not among the %d found", hidden, len(found))
				}
				if len(found)%2 != 0 {
					t.Errorf("%d solutions", len(found))
				}
				total += len(found)
				for range starts {
					q, _, ok := a.refine(flange, randomJoints(r))
					if ok && !known(found, &q, sameStand) {
						t.Errorf("%v is a solution that was not found", q)
					}
				}
			}
			if total < 3*poses {
				t.Errorf("only %d solutions in %d poses: the test says little", total, poses)
			}
		})
	}
}

// On arms with a closed form the search finds the same solutions, although some of its determinants vanish there.
func TestSearchAgainstClosedForms(t *testing.T) {
	poses := 25
	if testing.Short() {
		poses = 5
	}
	for _, f := range families {
		t.Run(f.name, func(t *testing.T) {
			r := rand.New(rand.NewPCG(3, 4))
			for range poses {
				a := f.make(r)
				flange := a.Forward(randomJoints(r))
				closed := a.Inverse(nil, flange, Joints{})
				searched := newSearch(a).solve(nil, flange, Joints{})
				for i := range closed {
					if !known(searched, &closed[i].Joints, sameStand) {
						t.Errorf("the search misses %v", closed[i].Joints)
					}
				}
				for i := range searched {
					if !known(closed, &searched[i].Joints, sameStand) {
						t.Errorf("the closed form misses %v", searched[i].Joints)
					}
				}
			}
		})
	}
}

// Near a wrist, elbow or shoulder singularity solutions are about to merge and polynomials have nearly multiple zeros.
func TestSearchNearSingularPoses(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	for _, off := range []float64{1e-2, 1e-3, 1e-4} {
		for range 10 {
			a := placed(r, workshopArm(r))
			q := randomJoints(r)
			// Joint 5 almost in line with joint 4: its zero pose in this family.
			q[4] = off
			flange := a.Forward(q)
			closed := a.Inverse(nil, flange, Joints{})
			searched := newSearch(a).solve(nil, flange, Joints{})
			for i := range closed {
				if !known(searched, &closed[i].Joints, 1e-5) {
					t.Errorf("%g rad from singular the search misses %v", off, closed[i].Joints)
				}
			}
		}
	}
}

// Two axes in one line make every pose one of infinitely many: the solution is the nearest, and says so.
func TestSearchOfFreeJoints(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 8))
	for range 10 {
		j := randomAxes(r)
		j[4].At, j[4].Axis = r3.Add(j[3].At, r3.Scale(100, j[3].Axis)), j[3].Axis
		a := placed(r, j)
		q := randomJoints(r)
		near := q
		near[0] += 0.1
		near[3] += 0.2
		found := a.Inverse(nil, a.Forward(q), near)
		if len(found) == 0 {
			t.Fatal("nothing found")
		}
		least := math.Inf(1)
		for _, s := range found {
			if !s.Family {
				t.Errorf("%v does not say that it is one of infinitely many", s.Joints)
			}
			sum := s.Joints[3] + s.Joints[4] - q[3] - q[4]
			if sum-turnsOff(sum, 0) < 1e-6 && math.Abs(s.Joints[0]-q[0]) < 1e-6 {
				least = math.Min(least, math.Abs(s.Joints[3]-s.Joints[4]-(near[3]-near[4])))
			}
		}
		// Joints 4 and 5 share the difference: the nearest point of the line of solutions keeps 4 minus 5.
		if least > 1e-6 {
			t.Errorf("free joints 4 and 5 are not nearest to where the arm is: off by %g", least)
		}
	}
}

// Where one elimination leaves no doubt that its solutions are all, the other five find no more: on arms of all kinds, from special and
// random joints, where solutions are about to meet, and out of reach.
func TestSharpCandidatesAreAll(t *testing.T) {
	for name, make := range map[string]func(*rand.Rand) *Arm{"skew": skewArm, "square": squareArm, "nearly square": nearlySquareArm, "round": roundArm} {
		t.Run(name, func(t *testing.T) {
			r := rand.New(rand.NewPCG(1, 77))
			sharp, poses := 0, thorough(60)
			for range poses {
				a := make(r)
				s := newSearch(a)
				q := specialJoints(r)
				if r.IntN(2) == 0 {
					q = randomJoints(r)
				}
				flange := a.Forward(q)
				switch r.IntN(3) {
				case 0:
					flange.Position = r3.Add(flange.Position, r3.Scale(a.length*r.NormFloat64(), randomUnit(r)))
				case 1: // next to where solutions meet, if q is such a pose
					flange.Position = r3.Add(flange.Position, r3.Scale(a.length*math.Pow(10, -1-9*r.Float64()), randomUnit(r)))
				}
				near := q
				if r.IntN(2) == 0 {
					near = randomJoints(r)
				}
				found := s.solve(nil, flange, near)
				h := s.hunt(nil, flange, near)
				sure, ended := false, false
				for more := true; more; { // never asking whether it may end
					_, more = h.next()
					sure = sure && h.at > 0 || h.sharp
					ended = ended || sure && h.at == h.n && h.isAll()
					h.sharp = false
				}
				if ended {
					sharp++
				}
				if len(found) != len(h.found) {
					t.Errorf("at %.12g°, ended early: %v: %d of %d solutions", q.Degrees(), ended, len(found), len(h.found))
				}
			}
			if t.Logf("%d of %d ended early", sharp, poses); sharp < poses/5 {
				t.Error("the test says little")
			}
		})
	}
}

func TestSearchOutOfReach(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 9))
	a := skewArm(r)
	far := a.Forward(Joints{})
	far.Position = r3.Add(far.Position, r3.Vec{X: 20 * a.length})
	if found := a.Inverse(nil, far, Joints{}); len(found) != 0 {
		t.Errorf("%d solutions out of reach", len(found))
	}
	if d := a.OutOfReach(far, Joints{}); !(d > a.length) {
		t.Errorf("out of reach by %v mm", d)
	}
}

func BenchmarkSearch(b *testing.B) {
	r := rand.New(rand.NewPCG(1, 2))
	const poses = 64
	var arms [poses]*Arm
	var flanges [poses]Pose
	for i := range poses {
		arms[i] = skewArm(r)
		flanges[i] = arms[i].Forward(randomJoints(r))
	}
	var store [mostSolutions]Solution
	found := 0
	b.ReportAllocs()
	b.ResetTimer()
	for i := range b.N {
		found += len(arms[i%poses].Inverse(store[:0], flanges[i%poses], Joints{}))
	}
	b.ReportMetric(float64(found)/float64(b.N), "sol/op")
}

// An inquiry that comes to the bound of its work before it has looked everywhere says so, and what it has found is right.
func TestAnInquiryThatRunsOutSaysSo(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 76))
	for range 20 {
		a := placed(r, randomAxes(r))
		q := randomJoints(r)
		flange := a.Forward(q)
		for _, bound := range []int{mostSteps, 8, 1} {
			i := a.Inquire(flange, randomJoints(r))
			i.hunt.work.steps = bound
			for done := false; !done; {
				_, done = i.Advance()
			}
			if i.RanOut() != (bound < mostSteps) {
				t.Errorf("%v: with %d steps it ran out: %v", q, bound, i.RanOut())
			}
			for _, s := range i.Solutions() {
				if mm, rad := miss(a, s.Joints, flange); mm > 1e-6 || rad > 1e-9 {
					t.Errorf("%v: with %d steps %v was found, %g mm and %g rad off", q, bound, s.Joints, mm, rad)
				}
			}
		}
	}
}

// Solutions are those of Inverse, on arms of all kinds; that some may be missing only a search says.
func TestSolutionsAreThoseOfInverse(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 78))
	for range 20 {
		for _, a := range []*Arm{skewArm(r), roundArm(r), placed(r, workshopArm(r))} {
			near := randomJoints(r)
			flange := a.Forward(specialJoints(r))
			all, ranOut := a.Solutions(flange, near)
			if want := a.Inverse(nil, flange, near); !slices.Equal(all, want) || ranOut {
				t.Errorf("%s: %d solutions, ran out: %v; Inverse has %d", a.Solver(), len(all), ranOut, len(want))
			}
		}
	}
}
