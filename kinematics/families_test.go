package kinematics

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r3"
)

// family is a kind of arm that has a closed form, or none, with a maker of random ones in random directions.
type family struct {
	name   string
	solver string // what Solver says begins with this
	most   int    // solutions
	make   func(r *rand.Rand) *Arm
}

// families are all the forms the solver tells apart.
var families = []family{
	{"elbow", "closed form: spherical wrist, axes 2 and 3 parallel", 8, func(r *rand.Rand) *Arm {
		j := randomAxes(r)
		j[2].Axis = r3.Scale(randomSign(r), j[1].Axis)
		return placed(r, meet(r, j, 3))
	}},
	{"elbow, square", "closed form: spherical wrist, axes 2 and 3 parallel", 8, func(r *rand.Rand) *Arm {
		j := workshopArm(r)
		return placed(r, j)
	}},
	{"meeting 1 and 2", "closed form: spherical wrist, axes 1 and 2 meet", 8, func(r *rand.Rand) *Arm {
		j := meet(r, randomAxes(r), 3)
		j[1].At = j[0].At
		return placed(r, j)
	}},
	{"parallel 1 and 2", "closed form: spherical wrist, axes 1 and 2 parallel", 8, func(r *rand.Rand) *Arm {
		j := meet(r, randomAxes(r), 3)
		j[1].Axis = r3.Scale(randomSign(r), j[0].Axis)
		return placed(r, j)
	}},
	{"spherical wrist", "closed form: spherical wrist", 8, func(r *rand.Rand) *Arm {
		return placed(r, meet(r, randomAxes(r), 3))
	}},
	{"three parallel", "closed form: axes 2, 3 and 4 parallel", 8, func(r *rand.Rand) *Arm {
		return placed(r, parallel234(r, randomAxes(r)))
	}},
	{"three parallel, 5 and 6 meet", "closed form: axes 2, 3 and 4 parallel, axes 5 and 6 meet", 8, func(r *rand.Rand) *Arm {
		j := parallel234(r, randomAxes(r))
		j[5].At = j[4].At
		return placed(r, j)
	}},
	{"three parallel, 5 and 6 parallel", "closed form: axes 2, 3 and 4 parallel, axes 5 and 6 parallel", 8, func(r *rand.Rand) *Arm {
		j := parallel234(r, randomAxes(r))
		j[5].Axis = r3.Scale(randomSign(r), j[4].Axis)
		return placed(r, j)
	}},
	{"three parallel, square", "closed form: axes 2, 3 and 4 parallel, axes 5 and 6 meet", 8, func(r *rand.Rand) *Arm {
		return placed(r, benchArm(r))
	}},
	{"spherical shoulder", "closed form, from the flange: spherical wrist", 8, func(r *rand.Rand) *Arm {
		return placed(r, meet(r, randomAxes(r), 0))
	}},
	{"spherical shoulder, 4 and 5 parallel", "closed form, from the flange: spherical wrist, axes 2 and 3 parallel", 8, func(r *rand.Rand) *Arm {
		j := meet(r, randomAxes(r), 0)
		j[4].Axis = r3.Scale(randomSign(r), j[3].Axis)
		return placed(r, j)
	}},
	{"parallel 3, 4 and 5", "closed form, from the flange: axes 2, 3 and 4 parallel", 8, func(r *rand.Rand) *Arm {
		j := randomAxes(r)
		j[3].Axis = r3.Scale(randomSign(r), j[2].Axis)
		j[4].Axis = r3.Scale(randomSign(r), j[2].Axis)
		return placed(r, j)
	}},
}

func joint(at, axis r3.Vec) Joint {
	return Joint{At: at, Axis: axis, Min: -math.Pi, Max: math.Pi, Speed: 1}
}

func mustArm(joints [6]Joint, flange Pose) *Arm {
	a, err := New(joints, flange)
	if err != nil {
		panic(err)
	}
	return a
}

var x, y, z = r3.Vec{X: 1}, r3.Vec{Y: 1}, r3.Vec{Z: 1}

// tabletop is an arm of the commonest kind: spherical wrist, axes 2 and 3 parallel.
func tabletop() *Arm {
	return mustArm([6]Joint{
		joint(r3.Vec{}, z), joint(r3.Vec{X: 40}, y), joint(r3.Vec{X: 40, Z: 285}, y),
		joint(r3.Vec{X: 100, Z: 312}, x), joint(r3.Vec{X: 340, Z: 312}, y), joint(r3.Vec{X: 400, Z: 312}, x),
	}, Pose{Position: r3.Vec{X: 420, Z: 312}, Rotation: FixedXYZ(0, math.Pi/2, 0)})
}

func randomSign(r *rand.Rand) float64 { return float64(2*r.IntN(2) - 1) }

func randomUnit(r *rand.Rand) r3.Vec {
	return r3.Unit(r3.Vec{X: r.NormFloat64(), Y: r.NormFloat64(), Z: r.NormFloat64()})
}

func randomPoint(r *rand.Rand) r3.Vec {
	return r3.Vec{X: 800*r.Float64() - 400, Y: 800*r.Float64() - 400, Z: 800*r.Float64() - 400}
}

func randomAngle(r *rand.Rand) float64 { return (2*r.Float64() - 1) * math.Pi }

func randomJoints(r *rand.Rand) (q Joints) {
	for i := range q {
		q[i] = randomAngle(r)
	}
	return q
}

// randomAxes are six axes anywhere, no two next to each other nearly parallel.
func randomAxes(r *rand.Rand) (j [6]Joint) {
	for i := range j {
		j[i] = joint(randomPoint(r), randomUnit(r))
		for i > 0 && r3.Norm(r3.Cross(j[i].Axis, j[i-1].Axis)) < 0.3 {
			j[i].Axis = randomUnit(r)
		}
	}
	return j
}

// meet makes three axes meet in one point, and hides it: each is given by another of its points.
func meet(r *rand.Rand, j [6]Joint, first int) [6]Joint {
	centre := randomPoint(r)
	for i := first; i < first+3; i++ {
		j[i].At = r3.Add(centre, r3.Scale(200*r.NormFloat64(), j[i].Axis))
	}
	return j
}

func parallel234(r *rand.Rand, j [6]Joint) [6]Joint {
	j[2].Axis = r3.Scale(randomSign(r), j[1].Axis)
	j[3].Axis = r3.Scale(randomSign(r), j[1].Axis)
	for r3.Norm(r3.Cross(j[4].Axis, j[1].Axis)) < 0.3 {
		j[4].Axis = randomUnit(r)
	}
	return j
}

// workshopArm has axes along the base frame's, some reversed, with random offsets and some without.
func workshopArm(r *rand.Rand) [6]Joint {
	length := func() float64 { return 80 + 300*r.Float64() }
	some := func() float64 { return float64(r.IntN(2)) * (200*r.Float64() - 100) }
	up, out, side := length(), some(), some()
	elbow := up + length()
	drop, fore, hand := some(), length(), length()
	s := func(v r3.Vec) r3.Vec { return r3.Scale(randomSign(r), v) }
	return [6]Joint{
		joint(r3.Vec{}, s(z)),
		joint(r3.Vec{X: out, Y: side, Z: up}, s(y)),
		joint(r3.Vec{X: out, Y: side, Z: elbow}, s(y)),
		joint(r3.Vec{X: out, Y: side, Z: elbow + drop}, s(x)),
		joint(r3.Vec{X: out + fore, Y: side, Z: elbow + drop}, s(y)),
		joint(r3.Vec{X: out + fore + hand, Y: side, Z: elbow + drop}, s(x)),
	}
}

// benchArm has parallel axes 2, 3 and 4 and the others square to them.
func benchArm(r *rand.Rand) [6]Joint {
	length := func() float64 { return 80 + 300*r.Float64() }
	up, upper, fore, side, down := length(), length(), length(), length(), length()
	s := func(v r3.Vec) r3.Vec { return r3.Scale(randomSign(r), v) }
	return [6]Joint{
		joint(r3.Vec{}, s(z)),
		joint(r3.Vec{Z: up}, s(y)),
		joint(r3.Vec{X: upper, Z: up}, s(y)),
		joint(r3.Vec{X: upper + fore, Z: up}, s(y)),
		joint(r3.Vec{X: upper + fore, Y: side, Z: up}, s(z)),
		joint(r3.Vec{X: upper + fore, Y: side, Z: up - down}, s(y)),
	}
}

// placed puts a random flange on the arm, and the whole somewhere else half of the time.
func placed(r *rand.Rand, j [6]Joint) *Arm {
	flange := Pose{Position: randomPoint(r), Rotation: RotationAbout(randomUnit(r), randomAngle(r))}
	if r.IntN(2) == 0 {
		move := Pose{Position: randomPoint(r), Rotation: RotationAbout(randomUnit(r), randomAngle(r))}
		for i := range j {
			j[i].At, j[i].Axis = move.Apply(j[i].At), move.Rotation.Apply(j[i].Axis)
		}
		flange = move.Mul(flange)
	}
	return mustArm(j, flange)
}
