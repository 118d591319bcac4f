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
