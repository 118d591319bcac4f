package kinematics

import (
	"iter"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// elbowArm brings the wrist centre to its place where axes 2 and 3 are parallel: joint 1 turns the plane in which
// the arm works until the wrist centre is in it, and in the plane upper arm and forearm are two sides of a
// triangle. This is the arm of most workshops. (Craig, ch. 4; Murray, Li and Sastry, ch. 3.)
//
// Frame 1's origin, the shoulder, the elbow and the wrist centre are in one plane square to axis 2.
type elbowArm struct {
	base    Pose
	upright bool
	link    [3]link
	wrist   wrist

	triangle           triangle
	reverse            float64 // 1 where axes 2 and 3 point the same way, −1 where they are opposed
	foreAngle          float64 // rad, from frame 3's X to the wrist centre, in the sense of axis 2
	cosFore, sinFore   float64
	cosTwist, sinTwist float64 // from axis 2 to axis 4

	front float64 // sign of the wrist centre's X in joint 1's turned frame where the arm reaches to the front
	above float64 // sign of the bend, with that X negative, where the elbow is above
}

// newElbowArm reads the chain of an arm with a spherical wrist and axes 2 and 3 parallel.
func newElbowArm(joints *[6]Joint, flange Pose, wristCentre r3.Vec) *elbowArm {
	elbow := footOn(&joints[2], wristCentre)
	shoulder := footOn(&joints[1], elbow)
	k := newChain(joints, [6]r3.Vec{footOn(&joints[0], shoulder), shoulder, elbow, wristCentre, wristCentre, wristCentre}, flange)
	e := &elbowArm{base: k.base, upright: k.upright, link: [3]link(k.link[:3]), wrist: newWrist(&k)}
	upper, fore := &e.link[1], &e.link[2]
	e.reverse = sign(upper.cosTwist)
	e.triangle = triangle{upper: upper.step.X, fore: math.Hypot(fore.step.X, fore.step.Y)}
	e.foreAngle = math.Atan2(e.reverse*fore.step.Y, fore.step.X)
	e.sinFore, e.cosFore = math.Sincos(e.foreAngle)
	e.cosTwist = upper.cosTwist * fore.cosTwist
	e.sinTwist = upper.cosTwist * fore.sinTwist

	// The front is the side on which the arm reaches at the zero pose or, if its wrist is over axis 1, the side of
	// the base frame's X. Up is the way axis 1 points, or the opposite if that is down.
	x := r3.Cross(joints[0].Axis, joints[1].Axis)
	out := r3.Dot(x, r3.Sub(wristCentre, joints[0].At))
	if math.Abs(out) < lengthNoise {
		out = x.X
	}
	e.front, e.above = sign(out), sign(joints[0].Axis.Z+lengthNoise)
	return e
}

// footOn returns the point of j's axis nearest to p.
func footOn(j *Joint, p r3.Vec) r3.Vec {
	return r3.Add(j.At, r3.Scale(r3.Dot(j.Axis, r3.Sub(p, j.At)), j.Axis))
}

// side is joint 1 turned so that the wrist centre is in the plane of the arm.
type side struct {
	cos, sin float64 // of its turn, phase included
	x        float64 // the wrist centre in the turned frame 1; what is its distance from axis 1 in plain arms
	target   [2]float64
	distance float64 // from shoulder to wrist centre
}

// sides returns the ways to turn joint 1, the front one first. Where the wrist centre is on axis 1 joint 1 is free
// and left at q1.
func (e *elbowArm) sides(centre r3.Vec, q1 float64) (s [2]side, n int, free bool) {
	l := &e.link[0]
	// In frame 1, turned, the plane of the arm is square to axis 2, which leans from axis 1 by the twist.
	up := (centre.Z - l.step.Z) / l.sinTwist
	y := l.step.Y + l.cosTwist*up
	r := math.Sqrt(centre.X*centre.X + centre.Y*centre.Y)
	short := math.Abs(y) - r
	if !(short < reachSlack) {
		return s, 0, false
	}
	x := e.front * math.Sqrt(math.Max(0, -short)*(math.Abs(y)+r))
	switch {
	case r < reachSlack:
		s[0].cos, s[0].sin = l.turn(q1)
		s[0].x, n, free = 0, 1, true
	case math.Abs(x) < sameSolution*r:
		s[0].x, n = x, 1
	default:
		s[0].x, s[1].x, n = x, -x, 2
	}
	scale := 1 / (r * math.Sqrt(x*x+y*y))
	for i := range n {
		x := s[i].x
		if !free {
			s[i].cos, s[i].sin = (centre.X*x+centre.Y*y)*scale, (centre.Y*x-centre.X*y)*scale
		}
		x -= l.step.X
		s[i].target = [2]float64{x, up}
		s[i].distance = math.Sqrt(x*x + up*up)
	}
	return s, n, free
}

// bends returns cosine and sine of the forearm's bend to the other side of the upper arm for either way, the elbow
// above first.
func (e *elbowArm) bends(s *side) (cos float64, sin [2]float64, n int) {
	cos, bend, ok := e.triangle.bend(s.distance)
	if !ok {
		return 0, sin, 0
	}
	if s.x > 0 {
		bend = -bend
	}
	bend *= e.above
	if math.Abs(bend) < sameSolution {
		return cos, [2]float64{bend}, 1
	}
	return cos, [2]float64{bend, -bend}, 2
}

// joint3 returns joint 3 for a bend.
func (e *elbowArm) joint3(cos, sin float64) float64 {
	c, s := cos*e.cosFore+sin*e.sinFore, sin*e.cosFore-cos*e.sinFore
	return e.link[2].joint(c, e.reverse*s)
}

// joint2 returns joint 2, and cosine and sine of joints 2 and 3 together, for a bend. Where the wrist centre is on
// axis 2 joint 2 is free and left at q2.
func (e *elbowArm) joint2(s *side, cos, sin, q2 float64) (angle, c23, s23 float64, free bool) {
	l := &e.link[1]
	x, y := e.triangle.upper+e.triangle.fore*cos, e.triangle.fore*sin
	var c, sn float64
	if s.distance < reachSlack {
		c, sn = l.turn(q2)
		angle, free = q2, true
	} else {
		scale := 1 / math.Sqrt((x*x+y*y)*(s.distance*s.distance))
		c, sn = (s.target[0]*x+s.target[1]*y)*scale, (s.target[1]*x-s.target[0]*y)*scale
		angle = l.joint(c, sn)
	}
	// The forearm's direction is joint 2 and the bend together; frame 3 is foreAngle before it.
	cb, sb := cos*e.cosFore+sin*e.sinFore, sin*e.cosFore-cos*e.sinFore
	return angle, c*cb - sn*sb, sn*cb + c*sb, free
}

// seenAfter1 returns frame r, given in joint 1's frame, in joint 2's frame before it turns.
func (e *elbowArm) seenAfter1(s *side, r *Rotation) Rotation {
	l := &e.link[0]
	return Rotation{
		X: aboutX(l.cosTwist, -l.sinTwist, aboutZ(s.cos, -s.sin, r.X)),
		Y: aboutX(l.cosTwist, -l.sinTwist, aboutZ(s.cos, -s.sin, r.Y)),
		Z: aboutX(l.cosTwist, -l.sinTwist, aboutZ(s.cos, -s.sin, r.Z)),
	}
}

// seenAfter3 returns frame r, given in joint 2's frame, in joint 4's frame before it turns.
func (e *elbowArm) seenAfter3(c23, s23 float64, r *Rotation) Rotation {
	return Rotation{
		X: aboutX(e.cosTwist, -e.sinTwist, aboutZ(c23, -s23, r.X)),
		Y: aboutX(e.cosTwist, -e.sinTwist, aboutZ(c23, -s23, r.Y)),
		Z: aboutX(e.cosTwist, -e.sinTwist, aboutZ(c23, -s23, r.Z)),
	}
}

func (e *elbowArm) name() string { return "closed form: spherical wrist, axes 2 and 3 parallel" }

func (e *elbowArm) solve(dst []Solution, flange Pose, near Joints) []Solution {
	centre, frame := e.wrist.split(&e.base, e.upright, &flange)
	sides, n, family1 := e.sides(centre, near[0])
	for i := range n {
		s := &sides[i]
		cos, sin, n := e.bends(s)
		if n == 0 {
			continue
		}
		q1 := e.link[0].joint(s.cos, s.sin)
		after1 := e.seenAfter1(s, &frame)
		for k := range n {
			q2, c23, s23, family2 := e.joint2(s, cos, sin[k], near[1])
			q3 := e.joint3(cos, sin[k])
			after3 := e.seenAfter3(c23, s23, &after1)
			hands := e.wrist.solve(&after3, near[3])
			for h, q := range hands.q[:hands.n] {
				dst = append(dst, Solution{
					Joints:  Joints{q1, q2, q3, q[0], q[1], q[2]},
					Posture: Posture{Shoulder: shoulderWords[i], Elbow: elbowWords[k], Wrist: wristWords[h]},
					Family:  family1 || family2 || hands.family,
				})
			}
		}
	}
	return dst
}

// track goes through the ways of solve, each joint's nearer way first, and leaves out those that cannot come nearer
// than the best so far.
func (e *elbowArm) track(flange Pose, near Joints) (best Joints, ok bool) {
	centre, frame := e.wrist.split(&e.base, e.upright, &flange)
	sides, n, _ := e.sides(centre, near[0])
	var q1 [2]float64
	for i := range n {
		q1[i] = e.link[0].joint(sides[i].cos, sides[i].sin)
	}
	least := math.Inf(1)
	for i := range nearerFirst(q1, n, near[0]) {
		s := &sides[i]
		apart1 := farthest(q1[i:i+1], near[:1])
		if apart1 >= least {
			break
		}
		cos, sin, n := e.bends(s)
		var q3 [2]float64
		for k := range n {
			q3[k] = e.joint3(cos, sin[k])
		}
		after1 := e.seenAfter1(s, &frame)
		for k := range nearerFirst(q3, n, near[2]) {
			apart := math.Max(apart1, farthest(q3[k:k+1], near[2:3]))
			if apart >= least {
				break
			}
			q2, c23, s23, _ := e.joint2(s, cos, sin[k], near[1])
			apart = math.Max(apart, math.Abs(q2-near[1]-turnsOff(q2, near[1])))
			if apart >= least {
				continue
			}
			after3 := e.seenAfter3(c23, s23, &after1)
			hand, apartHand := e.wrist.nearest(&after3, &near)
			if apart = math.Max(apart, apartHand); apart < least {
				best, least = Joints{q1[i], q2, q3[k], hand[0], hand[1], hand[2]}, apart
			}
		}
	}
	return best, least < math.Inf(1)
}

// nearerFirst goes through the first n indices of q, the one nearer to near first.
func nearerFirst(q [2]float64, n int, near float64) iter.Seq[int] {
	return func(yield func(int) bool) {
		first := 0
		if n == 2 && farthest(q[1:2], []float64{near}) < farthest(q[:1], []float64{near}) {
			first = 1
		}
		for i := range n {
			if !yield(first ^ i) {
				return
			}
		}
	}
}

func (e *elbowArm) posture(q Joints) Posture {
	i := e.indicators(q)
	return Posture{
		Shoulder: word(shoulderWords, i.Shoulder),
		Elbow:    word(elbowWords, -sign(i.Shoulder*e.front)*i.Elbow*e.above),
		Wrist:    word(wristWords, i.Wrist),
	}
}

// indicators returns what the three factors of the Jacobian's determinant vanish with.
func (e *elbowArm) indicators(q Joints) Indicators {
	upper, fore := &e.link[1], &e.link[2]
	c2, s2 := upper.turn(q[1])
	bend := e.reverse*(q[2]+fore.phase) + e.foreAngle
	bend -= turnsOff(bend, 0)
	sb, cb := sincos(bend)
	x := e.link[0].step.X + c2*(e.triangle.upper+e.triangle.fore*cb) - s2*e.triangle.fore*sb
	return Indicators{Wrist: e.wrist.bend(q[4]), Elbow: bend, Shoulder: x * e.front}
}
