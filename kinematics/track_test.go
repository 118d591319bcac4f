package kinematics

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// tick is a flange a small step from where it is at q: a straight one of up to 1 mm, which is a tick at 250 mm/s, a turn
// in proportion, or both; and now and then a step of no length.
func tick(r *rand.Rand, a *Arm, q Joints) Pose {
	flange := a.Forward(q)
	size := math.Pow(10, -6*r.Float64())
	kind := r.IntN(10)
	if kind == 0 {
		return flange
	}
	if kind < 8 {
		flange.Position = r3.Add(flange.Position, r3.Scale(size, randomUnit(r)))
	}
	if kind > 4 {
		flange.Rotation = RotationAbout(randomUnit(r), 0.005*size).Mul(flange.Rotation)
	}
	return flange
}

// somewhere is a pose of joints anywhere or, half of the time, at or near a singularity.
func somewhere(r *rand.Rand, a *Arm) Joints {
	q := randomJoints(r)
	if r.IntN(2) == 0 {
		kind := []string{"wrist", "elbow", "shoulder"}[r.IntN(3)]
		off := math.Pow(10, -1-8*r.Float64())
		if kind == "shoulder" {
			off *= a.length
		}
		if r.IntN(8) == 0 {
			off = 0
		}
		q, _ = singularAt(a, q, kind, off)
	}
	return q
}

// Where the quick way over a small step answers, its answer is a solution, and none of all the solutions is nearer.
func TestSmallStepsLeadToTheNearestSolution(t *testing.T) {
	for n, f := range solvable() {
		t.Run(f.name, func(t *testing.T) {
			t.Parallel()
			r := rand.New(rand.NewPCG(uint64(n), 31))
			steps := thorough(4000)
			if f.solver == "search" {
				steps = thorough(120)
			}
			answered, found := 0, 0
			for range steps {
				a := f.make(r)
				near := somewhere(r, a)
				flange := tick(r, a, near)
				var q Joints
				if !a.quick.track(&flange, &near, &q) {
					continue
				}
				answered++
				if mm, rad := miss(a, q, flange); !(mm <= positionTolerance && rad <= angleTolerance) {
					t.Errorf("%v is %g mm and %g rad off", q, mm, rad)
				}
				all := a.Inverse(nil, flange, near)
				far := farthest(q[:], near[:])
				determined := 1e-9 + 1e-13/a.Singularity(near, Identity).Smallest // by the rounding of the flange
				for _, s := range all {
					if d := farthest(s.Joints[:], near[:]); d < far-determined {
						t.Errorf("%v is %g rad from %v, and %v only %g", q, far, near, s.Joints, d)
					}
				}
				if len(all) > 0 {
					found++
				}
			}
			t.Logf("answered %d of %d steps", answered, steps)
			if answered < steps/4 || found < answered/2 {
				t.Errorf("only %d of %d steps are answered, with solutions to compare in %d: the test says little", answered, steps, found)
			}
		})
	}
}

// Away from singularities nearly every tick goes the quick way.
func TestTicksGoTheQuickWay(t *testing.T) {
	for n, f := range solvable() {
		t.Run(f.name, func(t *testing.T) {
			r := rand.New(rand.NewPCG(uint64(n), 32))
			answered, asked := 0, 0
			for asked < 500 {
				a := f.make(r)
				near := randomJoints(r)
				if a.Singularity(near, Identity).Smallest < 0.05 {
					continue
				}
				flange := a.Forward(near)
				flange.Position = r3.Add(flange.Position, r3.Scale(0.2, randomUnit(r)))
				asked++
				var q Joints
				if a.quick.track(&flange, &near, &q) {
					answered++
				}
			}
			if answered < asked*95/100 {
				t.Errorf("%d of %d steps of 0.2 mm", answered, asked)
			}
		})
	}
}

// Where an answer from afar is at hand a solution close by is not sought for long, as with elbow and wrist straight at once, where all ways
// on from there are narrow and bent.
func TestASolutionCloseByIsSoughtForFewSteps(t *testing.T) {
	a := mustArm([6]Joint{
		joint(r3.Vec{}, z), joint(r3.Vec{}, y), joint(r3.Vec{Z: 310}, y),
		joint(r3.Vec{X: 50, Z: 310}, x), joint(r3.Vec{X: 280, Z: 310}, y), joint(r3.Vec{X: 280, Z: 310}, x),
	}, Pose{Position: r3.Vec{X: 360, Z: 310}, Rotation: FixedXYZ(0, math.Pi/2, 0)})
	q := Joints{Radians(-90), Radians(-105), Radians(-90), 0, 0, Radians(90)}
	for _, mm := range []float64{7.62939453125e-06, 3.2077652559422093e-06, 2.0799784329705385e-06} {
		to := a.Forward(q)
		to.Position.X += mm
		if _, steps, _ := a.Follow(to, q, q); steps > 400 {
			t.Errorf("%g mm on: %d steps of iteration", mm, steps)
		}
	}
}
