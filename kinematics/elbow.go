package kinematics

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// elbowArm has a spherical wrist and parallel axes 2 and 3: joint 1 turns the plane in which the arm works until the
// wrist centre is in it, and in the plane upper arm and forearm are two sides of a triangle. This is the arm of most
// workshops. (Craig, Introduction to Robotics, ch. 4; Murray, Li and Sastry, A Mathematical Introduction to Robotic
// Manipulation, ch. 3.)
//
// Frame 1's origin, the shoulder, the elbow and the wrist centre are in one plane square to axis 2.
type elbowArm struct {
	base    Pose
	upright bool
	first   link
	planar  planar
	wrist   wrist
	exact   *Arm // of exactly this form

	cosTwist, sinTwist float64 // from axis 2 to axis 4

	front float64 // sign of the wrist centre's X in joint 1's turned frame where the arm reaches to the front
	left  float64 // sign of the bend where the elbow is below and that X is positive
}

// newElbowArm reads the axes of an arm with a spherical wrist and axes 2 and 3 parallel; nil if a link has no length.
func newElbowArm(joints *[6]Joint, flange Pose, wristCentre r3.Vec) method {
	elbow := footOn(&joints[2], wristCentre)
	shoulder := footOn(&joints[1], elbow)
	k := newChain(joints, [6]r3.Vec{footOn(&joints[0], shoulder), shoulder, elbow, wristCentre, wristCentre, wristCentre}, flange)
	e := &elbowArm{base: k.base, upright: k.upright, first: k.link[0], planar: newPlanar(&k.link[1], &k.link[2]), wrist: newWrist(&k), exact: exactArm(joints, flange)}
	if e.planar.degenerate() {
		return nil
	}
	e.cosTwist = k.link[1].cosTwist * k.link[2].cosTwist
	e.sinTwist = k.link[1].cosTwist * k.link[2].sinTwist
	e.front, e.left = frontAndUp(joints, wristCentre)
	return e
}

// frontAndUp returns what tells the words of the posture: 1 where the arm reaches to the front when the wrist point
// has a positive X in joint 1's turned frame, else −1; and 1 where axis 1 points up, else −1. The front is the side
// on which the arm reaches at the measured pose or, if it reaches to neither, the side of the base frame's X.
func frontAndUp(joints *[6]Joint, wristPoint r3.Vec) (front, up float64) {
	x := r3.Cross(joints[0].Axis, joints[1].Axis)
	out := r3.Dot(x, r3.Sub(wristPoint, joints[0].At))
	if math.Abs(out) < lengthNoise {
		out = x.X
	}
	return sign(out), sign(joints[0].Axis.Z + lengthNoise)
}

// side is joint 1 turned so that the wrist centre is in the plane of the arm.
type side struct {
	cos, sin float64 // of its turn, phase included
	out      float64 // the wrist centre's X in the turned frame 1; its distance from axis 1 where the plane holds that
	x, y     float64 // the wrist centre in the plane, from the shoulder
	distance float64 // from shoulder to wrist centre
}

// sides writes the ways to turn joint 1, the front one first. Where the wrist centre is on axis 1 joint 1 is free
// and left at q1.
func (e *elbowArm) sides(centre r3.Vec, q1 float64, s *[2]side) (n int, free bool) {
	l := &e.first
	// In frame 1, turned, the plane of the arm is square to axis 2, which leans from axis 1 by the twist.
	up := (centre.Z - l.step.Z) / l.sinTwist
	across := l.step.Y + l.cosTwist*up
	r := hypot(centre.X, centre.Y)
	short := math.Abs(across) - r
	if !(short < reachSlack) {
		return 0, false
	}
	out := e.front * math.Sqrt(max(0, -short)*(math.Abs(across)+r))
	switch {
	case r < reachSlack:
		s[0].cos, s[0].sin = l.turn(q1)
		n, free, out = 1, true, 0
	case math.Abs(out) < sameSolution*r:
		n = 1
	default:
		n = 2
	}
	scale := 1 / (r * hypot(out, across))
	for i := range n {
		s := &s[i]
		if !free {
			s.cos, s.sin = (centre.X*out+centre.Y*across)*scale, (centre.Y*out-centre.X*across)*scale
		}
		s.out, s.x, s.y = out, out-l.step.X, up
		s.distance = hypot(s.x, s.y)
		out = -out
	}
	return n, free
}

// aboveFirst returns 1 where bending to the left puts the elbow above, else −1.
func (e *elbowArm) aboveFirst(out float64) float64 {
	if out > 0 {
		return -e.left
	}
	return e.left
}

func (e *elbowArm) name() string { return "closed form: spherical wrist, axes 2 and 3 parallel" }

func (e *elbowArm) solve(dst []Solution, flange Pose, near Joints) []Solution {
	from, doubtful := len(dst), false
	var frame Rotation
	centre := e.wrist.split(&e.base, e.upright, &flange, &frame)
	var sides [2]side
	n, family1 := e.sides(centre, near[0], &sides)
	for i := range n {
		s := &sides[i]
		cos, sin, n := e.planar.bends(s.distance, e.aboveFirst(s.out))
		if n == 0 {
			continue
		}
		q1 := e.first.joint(s.cos, s.sin)
		bend := direction{cos, sin[0]}.angle()
		q3 := [2]float64{e.planar.secondJoint(bend), e.planar.secondJoint(-bend)}
		after1 := frame.unturned(s.cos, s.sin, e.first.cosTwist, e.first.sinTwist)
		for k := range n {
			q2, c23, s23, family2 := e.planar.firstJoint(s.x, s.y, s.distance, cos, sin[k], near[1])
			after3 := after1.unturned(c23, s23, e.cosTwist, e.sinTwist)
			// Where two ways to bring the wrist centre to its place meet, they leave its axes to half the digits.
			if rho := hypot(after3.Z.X, after3.Z.Y); rho < roundedWrist || rho < nearlyDouble && (math.Abs(sin[k]) < nearlyDouble || s.distance < nearAxis || math.Abs(s.out) < nearAxis) {
				doubtful = true
			}
			hands := e.wrist.solve(&after3, near[3])
			for h, q := range hands.q[:hands.n] {
				dst = append(dst, Solution{
					Joints:  Joints{q1, q2, q3[k], q.q4, q.q5, q.q6},
					Posture: Posture{Shoulder: ShoulderWords[i], Elbow: ElbowWords[k], Wrist: WristWords[h]},
					Family:  family1 || family2 || hands.family,
				})
			}
		}
	}
	if doubtful {
		return e.exact.complete(dst, from, flange, near, e.posture, true)
	}
	return dst
}

// track goes through the ways of solve, each joint's nearer way first, and leaves out those that cannot come nearer
// than the best so far.
func (e *elbowArm) track(flange Pose, near, home Joints) (best Joints, steps int, ok bool) {
	var frame Rotation
	centre := e.wrist.split(&e.base, e.upright, &flange, &frame)
	var sides [2]side
	n, family := e.sides(centre, near[0], &sides)
	if r := hypot(centre.X, centre.Y); r < besideAxis && !family {
		for i := range n {
			s := &sides[i]
			turn := e.first.steadied(direction{s.cos, s.sin}, r, near[0])
			s.cos, s.sin = turn.cos, turn.sin
		}
	}
	var q1 [2]float64
	for i := range n {
		q1[i] = e.first.joint(sides[i].cos, sides[i].sin)
	}
	least := math.Inf(1)
	first := nearer(&q1, n, near[0])
	for i := range n {
		i ^= first
		s := &sides[i]
		apart1 := apart(q1[i], near[0])
		if apart1 >= least {
			break
		}
		cos, sin, n := e.planar.bends(s.distance, 1)
		bend := direction{cos, sin[0]}.angle()
		q3 := [2]float64{e.planar.secondJoint(bend), e.planar.secondJoint(-bend)}
		after1 := frame.unturned(s.cos, s.sin, e.first.cosTwist, e.first.sinTwist)
		first := nearer(&q3, n, near[2])
		for k := range n {
			k ^= first
			far := max(apart1, apart(q3[k], near[2]))
			if far >= least {
				break
			}
			q2, c23, s23, free := e.planar.firstJoint(s.x, s.y, s.distance, cos, sin[k], near[1])
			family = family || free
			if far = max(far, apart(q2, near[1])); far >= least {
				continue
			}
			after3 := after1.unturned(c23, s23, e.cosTwist, e.sinTwist)
			hand, farHand := e.wrist.nearest(&after3, &near)
			if far = max(far, farHand); far < least {
				best, least = Joints{q1[i], q2, q3[k], hand.q4, hand.q5, hand.q6}, far
			}
		}
	}
	if family {
		return e.exact.orByIteration(best, least, flange, near, home)
	}
	return best, 0, least < math.Inf(1)
}

func (e *elbowArm) sure(flange Pose, _ Joints, found bool) bool { return !found && e.short(flange) > 0 }

func (e *elbowArm) placing() *placing {
	return newPlacing(e.base, e.upright, [3]link{e.first, e.planar.first, e.planar.second}, e.wrist)
}

func (e *elbowArm) posture(q Joints) Posture {
	i := e.indicators(q)
	return Posture{
		Shoulder: word(ShoulderWords, i.Shoulder),
		Elbow:    word(ElbowWords, e.aboveFirst(i.Shoulder*e.front)*i.Elbow),
		Wrist:    word(WristWords, i.Wrist),
	}
}

// indicators returns what the three factors of the Jacobian's determinant vanish with.
func (e *elbowArm) indicators(q Joints) Indicators {
	c2, s2 := e.planar.first.turn(q[1])
	bend := e.planar.bend(q[2])
	sb, cb := sincos(bend)
	t := &e.planar.triangle
	out := e.first.step.X + c2*(t.upper+t.fore*cb) - s2*t.fore*sb
	return Indicators{Wrist: e.wrist.bend(q[4]), Elbow: bend, Shoulder: out * e.front}
}
