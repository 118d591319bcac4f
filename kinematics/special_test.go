package kinematics

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// roundArm has axes along the base frame's and its points on a grid of 10 mm, some of them the same, as arms in lessons have.
func roundArm(r *rand.Rand) *Arm {
	grid := func() float64 { return float64(r.IntN(61)-30) * 10 }
	for {
		var j [6]Joint
		at := r3.Vec{}
		for i := range j {
			axis := r3.Scale(randomSign(r), NoRotation.Axis(r.IntN(3)))
			switch r.IntN(3) {
			case 0: // as before
			case 1:
				at = r3.Add(at, r3.Scale(grid(), NoRotation.Axis(r.IntN(3))))
			default:
				at = r3.Vec{X: grid(), Y: grid(), Z: grid()}
			}
			j[i] = joint(at, axis)
		}
		switch r.IntN(6) {
		case 0, 1: // three parallel
			j[2].Axis, j[3].Axis = r3.Scale(randomSign(r), j[1].Axis), r3.Scale(randomSign(r), j[1].Axis)
		case 2:
			j[3].Axis, j[4].Axis = r3.Scale(randomSign(r), j[2].Axis), r3.Scale(randomSign(r), j[2].Axis)
		case 3: // spherical wrist
			j[4].At, j[5].At = j[3].At, j[3].At
		case 4:
			j[4].At, j[5].At = j[3].At, j[3].At
			j[2].Axis = j[1].Axis
		}
		flange := Pose{Position: r3.Add(at, r3.Vec{X: grid(), Y: grid(), Z: grid()}), Rotation: FixedXYZ(float64(r.IntN(4))*math.Pi/2, float64(r.IntN(4))*math.Pi/2, 0)}
		a := mustArm(j, flange)
		if a.AlwaysSingular() == "" {
			return a
		}
	}
}

// specialJoints are multiples of 15°, one of them perhaps a little off.
func specialJoints(r *rand.Rand) (q Joints) {
	for i := range q {
		q[i] = float64(r.IntN(25)-12) * math.Pi / 12
	}
	if r.IntN(2) == 0 {
		q[r.IntN(6)] += randomSign(r) * math.Pow(10, -3-11*r.Float64())
	}
	return q
}

// play is by how much, in rad, the accuracy of a flange leaves the joints undetermined at a pose with this smallest singular
// value: by nothing to speak of away from singularities, by its root where two solutions meet, and by more in between.
func play(smallest float64) float64 {
	if smallest < freeBelow {
		return 1e-3
	}
	return math.Max(2e-6, 10*angleTolerance/smallest)
}

// checkOwnStand fails where the joints that make a pose are not among its solutions, seen from those joints and, unless it is
// one of a family, from elsewhere; where a solution is wrong or given twice; and where Track does not stay at the joints.
func checkOwnStand(t *testing.T, a *Arm, q Joints) {
	t.Helper()
	flange := a.Forward(q)
	smallest := a.Singularity(q, Identity).Smallest
	all := a.Inverse(nil, flange, q)
	nearest := math.Inf(1)
	for i, s := range all {
		if mm, rad := miss(a, s.Joints, flange); !(mm <= 1e-6 && rad <= 1e-9) {
			t.Errorf("%s at %.12g°: %v is %g mm and %g rad off", a.Solver(), q.Degrees(), s.Joints, mm, rad)
		}
		if indexOf(all[:i], &s.Joints, sameStand/2) >= 0 {
			t.Errorf("%s at %.12g°: %v is given twice", a.Solver(), q.Degrees(), s.Joints)
		}
		nearest = min(nearest, farthest(s.Joints[:], q[:]))
	}
	if !(nearest < play(smallest)) {
		t.Errorf("%s at %.12g°: of %d solutions the nearest is %g rad away, smallest singular value %g", a.Solver(), q.Degrees(), len(all), nearest, smallest)
	}
	if smallest > freeBelow {
		if all := a.Inverse(nil, flange, Joints{}); indexOf(all, &q, play(smallest)) < 0 {
			t.Errorf("%s at %.12g°, seen from zero: it is not among %d solutions, smallest singular value %g", a.Solver(), q.Degrees(), len(all), smallest)
		}
	}
	if tracked, ok := a.Track(flange, q); !ok || !(farthest(tracked[:], q[:]) < play(smallest)) {
		t.Errorf("%s at %.12g°: Track %v, %v", a.Solver(), q.Degrees(), ok, tracked.Degrees())
	}
}

// checkSmallStep fails where the joints leap that follow a flange carried by joints from q to to.
func checkSmallStep(t *testing.T, a *Arm, q, to Joints) {
	t.Helper()
	// In a family the joints that stay where they are leave others to turn by as much more.
	far := farthest(to[:], q[:])
	if next, ok := a.Track(a.Forward(to), q); !ok || !(farthest(next[:], q[:]) < 3*far+1e-3) {
		t.Errorf("%s at %.12g°, a step of %.12g°: Track %v, %g rad away", a.Solver(), q.Degrees(), to.Degrees(), ok, farthest(next[:], q[:]))
	}
}

// Special poses are those a class drives to. On arms with round numbers, the joints at multiples of 15° or hardly beside
// them, the joints are among the solutions of the pose that they make, and small steps are followed by small steps.
func TestSpecialPosesOfRoundArms(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 71))
	for range thorough(250) {
		a := roundArm(r)
		for range 4 {
			q := specialJoints(r)
			checkOwnStand(t, a, q)
			to := q
			for i := range to {
				if r.IntN(3) == 0 {
					to[i] += r.NormFloat64() * math.Pow(10, -2-4*r.Float64())
				}
			}
			checkSmallStep(t, a, q, to)
		}
	}
}

// A small step that iteration once lost in a narrow bent valley, axes 5 and 6 in the same plane: Track gave another solution, 0.05 rad away.
func TestANarrowValleyIsTracked(t *testing.T) {
	a := mustArm([6]Joint{
		joint(r3.Vec{}, y), joint(r3.Vec{X: 230, Y: 160, Z: 220}, r3.Scale(-1, z)), joint(r3.Vec{X: 100, Y: -110, Z: -160}, r3.Scale(-1, x)),
		joint(r3.Vec{X: 100, Y: -300, Z: -160}, r3.Scale(-1, y)), joint(r3.Vec{X: 100, Y: -300, Z: -160}, r3.Scale(-1, z)), joint(r3.Vec{X: 100, Y: -350, Z: -160}, z),
	}, Pose{Position: r3.Vec{X: -10, Y: -410, Z: -290}, Rotation: Rotation{X: r3.Scale(-1, z), Y: r3.Scale(-1, y), Z: r3.Scale(-1, x)}})
	q := Joints{-0.2617993877991494, 1.0471975511965976, 2.6179938779914944, -1.5707963267950829, 0, -2.356194490192345}
	to := q
	to[0], to[5] = -0.26808154857179856, -2.356890013412831
	checkSmallStep(t, a, q, to)
}

// There too a solution is called one of infinitely many exactly where the arm can move without its flange moving.
func TestFamiliesOfRoundArms(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 72))
	free := 0
	for range thorough(150) {
		a := roundArm(r)
		for range 4 {
			q := specialJoints(r)
			flange := a.Forward(q)
			for _, s := range a.Inverse(nil, flange, q) {
				smallest := a.Singularity(s.Joints, Identity).Smallest
				if smallest > 1e-13 && smallest < 1e-5 || !atOne(a, s.Joints) {
					continue // as in TestFamilyIsWhereJointsAreFree
				}
				moves := smallest < 1e-5 && canMove(a, s.Joints, flange)
				if moves != s.Family {
					t.Errorf("%s at %.12g°: %.12g°: free %v, Family %v, smallest singular value %g", a.Solver(), q.Degrees(), s.Joints.Degrees(), moves, s.Family, smallest)
				}
				if moves {
					free++
				}
			}
		}
	}
	if t.Log(free, "members of families"); free < 20 {
		t.Error("the test says little")
	}
}

// Where two or four solutions meet so softly that joints moved by a few mrad leave the flange where it is to its accuracy, none of them is
// one of infinitely many.
func TestWhereSolutionsMeetSoftlyIsNoFamily(t *testing.T) {
	for _, c := range []struct {
		joints [6]Joint
		at     [6]float64 // degrees
	}{
		{[6]Joint{
			joint(r3.Vec{}, x), joint(r3.Vec{}, y), joint(r3.Vec{X: -90, Y: 160, Z: 90}, y), joint(r3.Vec{X: -90, Y: 160, Z: -10}, y),
			joint(r3.Vec{X: -90, Y: 160, Z: -10}, z), joint(r3.Vec{X: -90, Y: 380, Z: -10}, z),
		}, [6]float64{15, 180, -45, -120, -180, 15}},
		{[6]Joint{
			joint(r3.Vec{}, y), joint(r3.Vec{Z: 10}, y), joint(r3.Vec{X: -190, Z: 10}, z), joint(r3.Vec{X: -190, Y: 110, Z: 10}, z),
			joint(r3.Vec{X: -190, Y: 110, Z: 10}, y), joint(r3.Vec{X: -190, Y: 110, Z: 10}, z),
		}, [6]float64{-15, 105, 180, 60, -75, -45}},
	} {
		a := mustArm(c.joints, Pose{Position: r3.Vec{X: 60, Y: 70, Z: 170}, Rotation: NoRotation})
		var q Joints
		for i, deg := range c.at {
			q[i] = Radians(deg)
		}
		flange := a.Forward(q)
		found := false
		for _, s := range a.Inverse(nil, flange, q) {
			here := farthest(s.Joints[:], q[:]) < 1e-2
			if found = found || here; here && s.Family {
				t.Errorf("%s at %v is one of a family, smallest singular value %g", a.Solver(), s.Joints.Degrees(), a.Singularity(s.Joints, Identity).Smallest)
			}
		}
		if !found {
			t.Errorf("%s at %v is not among its solutions", a.Solver(), c.at)
		}
	}
}

// Where axis 6 is parallel to axes 2, 3 and 4, or nearly, joint 6 hangs on the last digits of joints 1 and 5; and the same
// counted from the flange.
func TestAxis6NextToParallel(t *testing.T) {
	// Joints 1 to 6 of an arm with axes 5 and 6 10 mm apart.
	arm := func(apart float64) ([6]Joint, Pose) {
		return [6]Joint{
			joint(r3.Vec{}, z), joint(r3.Vec{}, y), joint(r3.Vec{X: 340}, y), joint(r3.Vec{X: 770}, y),
			joint(r3.Vec{X: 770, Y: 70}, z), joint(r3.Vec{X: 770 + apart, Y: 70, Z: -75}, y),
		}, Pose{Position: r3.Vec{X: 770 + apart, Y: 135, Z: -75}, Rotation: FixedXYZ(-math.Pi/2, 0, 0)}
	}
	r := rand.New(rand.NewPCG(1, 72))
	for n := range thorough(400) {
		apart := []float64{10, 10, 1, 60, -25}[n%5]
		joints, flange := arm(apart)
		if n%2 == 1 {
			joints, flange = mirror(joints, flange)
		}
		if n%3 == 0 { // and with no round numbers
			j := parallel234(r, randomAxes(r))
			for k := range 4 {
				j[k].Axis = joints[k].Axis
			}
			j[4].Axis, j[5].Axis = joints[4].Axis, joints[5].Axis
			joints = j
		}
		a := mustArm(joints, flange)
		q := specialJoints(r)
		if n%4 == 0 {
			q = randomJoints(r)
		}
		bend := 4
		if n%2 == 1 {
			bend = 1
		}
		q[bend] = float64(r.IntN(2)) * math.Pi
		if n%7 != 0 {
			q[bend] += randomSign(r) * math.Pow(10, -12+9*r.Float64())
		}
		checkOwnStand(t, a, q)
		to := q
		for i := range to {
			if i != bend {
				to[i] += 1e-3 * r.NormFloat64()
			}
		}
		checkSmallStep(t, a, q, to)
	}
}

// An elbow straight or folded at the edge of its reach, axis 6 nearly parallel to axes 2 to 4: where joint 6 hangs on the last digits of
// joint 1, so does how far the elbow has to reach.
func TestStraightElbowNextToParallel(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 79))
	for n := range thorough(400) {
		apart := []float64{10, 1, 60, -25}[n%4]
		a := mustArm([6]Joint{
			joint(r3.Vec{}, z), joint(r3.Vec{}, y), joint(r3.Vec{X: 340}, y), joint(r3.Vec{X: 770}, y),
			joint(r3.Vec{X: 770, Y: 70}, z), joint(r3.Vec{X: 770 + apart, Y: 70, Z: -75}, y),
		}, Pose{Position: r3.Vec{X: 770 + apart, Y: 135, Z: -75}, Rotation: FixedXYZ(-math.Pi/2, 0, 0)})
		q := specialJoints(r)
		q[2] = float64(n%2) * math.Pi
		q[4] = randomSign(r) * math.Pow(10, -6+3*r.Float64())
		checkOwnStand(t, a, q)
	}
}

// Three of the ways to turn joint 1 near to each other, axis 6 nearly parallel to axes 2 to 4 in all of them: two of them nearly one,
// and the third so far off that it is no part of that.
func TestThreeWaysNextToParallel(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 75))
	arm := func(off float64) *Arm {
		length := func(mm float64) float64 { return mm * (1 + off*r.NormFloat64()) }
		at5 := r3.Vec{X: length(1130), Y: length(80)}
		at6 := r3.Add(at5, r3.Vec{X: length(20), Z: length(-50)})
		return mustArm([6]Joint{
			joint(r3.Vec{}, z), joint(r3.Vec{X: length(30)}, y), joint(r3.Vec{X: length(580)}, y),
			joint(r3.Vec{X: at5.X}, y), joint(at5, z), joint(at6, y),
		}, Pose{Position: r3.Add(at6, r3.Vec{Y: 60}), Rotation: FixedXYZ(-math.Pi/2, 0, 0)})
	}
	three := Joints{1.3371164197381555, -0.6088711387967931, -2.0353826532492283, 2.6001367701984517, 3.1131089178764157, 0.479499414567145}
	for range thorough(1000) {
		a, q := arm(math.Pow(10, -2-6*r.Float64())), three
		off := math.Pow(10, -2-6*r.Float64())
		for i := range q {
			q[i] += off * r.NormFloat64()
		}
		checkOwnStand(t, a, q)
		for _, s := range a.Inverse(nil, a.Forward(q), Joints{}) {
			checkOwnStand(t, a, s.Joints)
		}
	}
}

// With the wrist straight to rounding, steps that keep it so move joint 4 no farther than they must.
func TestStepsThatKeepTheWristStraight(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 73))
	a := tabletop()
	for range thorough(2000) {
		q := specialJoints(r)
		q[4] = 0
		to := q
		for i := range to {
			if i != 4 {
				to[i] += r.NormFloat64() * math.Pow(10, -2-4*r.Float64())
			}
		}
		checkOwnStand(t, a, q)
		checkSmallStep(t, a, q, to)
	}
}

// The search, made to track an arm that has a closed form, goes to the nearest of all solutions that the closed form has, also where
// another is hardly farther off: next to a straight wrist or a straight elbow. Where both are straight at once it may go to another, or
// find none; that is less than one in five hundred of these, and one in thirty where what iteration finds is not compared with what is next to it.
func TestSearchTracksTheNearest(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 73))
	a := tabletop()
	searched := newSearch(a)
	told, missed := 0, 0
	for range thorough(20000) {
		q := specialJoints(r)
		for i := range q {
			if r.IntN(2) == 0 {
				q[i] += (2*r.Float64() - 1) * 3
			}
		}
		bent, bend := [2]int{2, 4}[r.IntN(2)], math.Pow(10, -1.5-3*r.Float64())*randomSign(r)
		at := a.method.indicators(Joints{})
		q[bent] = bend - [5]float64{2: at.Elbow, 4: at.Wrist}[bent] // the elbow or the wrist bent by so much
		to := q
		step := math.Pow(10, -1.7-3*r.Float64())
		for i := range to {
			to[i] += step * (2*r.Float64() - 1)
		}
		flange := a.Forward(to)
		least := math.Inf(1)
		for _, s := range a.Inverse(nil, flange, q) {
			if !s.Family {
				least = min(least, farthest(s.Joints[:], q[:]))
			}
		}
		if !(least < smallStep/2) {
			continue
		}
		got, _, ok := searched.track(flange, q, q)
		if told++; !ok || farthest(got[:], q[:]) > least+1e-6 {
			missed++
			t.Logf("at %.12g° to %.12g°: %v, %g rad away, where %g is the nearest", q.Degrees(), to.Degrees(), ok, farthest(got[:], q[:]), least)
		}
	}
	if t.Logf("%d of %d missed", missed, told); missed > told/500 || told < 1000 {
		t.Errorf("%d of %d steps do not lead to the nearest solution", missed, told)
	}
}

// The quick way to the smallest singular value is that of the whole decomposition, where it is well apart from the next.
func TestAboutSmallest(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 74))
	compared := 0
	for range 2000 {
		a := placed(r, randomAxes(r))
		q := randomJoints(r)
		_, jac := a.Jacobian(q, Identity)
		jac.shorten(a.length)
		quick, ok := jac.aboutSmallest()
		whole := decompose(&jac)
		if values := singularValues(scaledJacobian(a, q, Identity)); !ok || values[5] > values[4]/3 {
			continue
		}
		compared++
		along := dot((*[6]float64)(&quick.Racing), (*[6]float64)(&whole.Racing)) * dot(&quick.Lost, &whole.Lost)
		if math.Abs(quick.Smallest/whole.Smallest-1) > 1e-3 || math.Abs(along-1) > 1e-2 {
			t.Errorf("smallest %g, not %g; vectors alike to %g", quick.Smallest, whole.Smallest, along)
		}
	}
	if compared < 500 {
		t.Errorf("compared %d only", compared)
	}
}
