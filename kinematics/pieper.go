package kinematics

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// pieperArm has a spherical wrist and axes 2 and 3 at an angle. The wrist centre's distance from a point of axis 1
// and its height along that axis do not depend on joint 1, and from the two joint 2 can be eliminated: what remains
// is a conic in the cosine and sine of joint 3, and less where axes 1 and 2 meet or are parallel. (Pieper, The
// Kinematics of Manipulators under Computer Control, 1968; Craig, Introduction to Robotics, "Pieper's solution when
// three axes intersect".)
//
// The origins of frames 1 and 2 are the feet of the common perpendicular of axes 1 and 2.
type pieperArm struct {
	base    Pose
	upright bool
	link    [3]link
	wrist   wrist
	exact   *Arm // of exactly this form

	offset   float64   // between axes 1 and 2, along frame 1's X
	form     pieper    // which of the equations apply
	centre   [3]linear // the wrist centre in frame 2, by joint 3
	distance linear    // its squared distance from frame 2's origin
}

type pieper int

const (
	skew12 pieper = iota
	meeting12
	parallel12
)

func newPieperArm(joints *[6]Joint, flange Pose, wristCentre r3.Vec) method {
	elbow := footOn(&joints[2], wristCentre)
	form := skew12
	var base, shoulder r3.Vec
	if parallel(&joints[0], &joints[1]) {
		form = parallel12
		joints[1].Axis = r3.Scale(sign(r3.Dot(joints[0].Axis, joints[1].Axis)), joints[0].Axis)
		shoulder = footOn(&joints[1], elbow)
		base = footOn(&joints[0], shoulder)
	} else {
		base, shoulder = commonPerpendicular(&joints[0], &joints[1])
		if r3.Norm(r3.Sub(base, shoulder)) < meetTolerance {
			form = meeting12
			shoulder = base
			joints[1].At = base
		}
	}
	k := newChain(joints, [6]r3.Vec{base, shoulder, elbow, wristCentre, wristCentre, wristCentre}, flange)
	p := &pieperArm{base: k.base, upright: k.upright, link: [3]link(k.link[:3]), wrist: newWrist(&k), exact: exactArm(joints, flange), form: form}
	p.offset = k.link[0].step.X

	l, u := &p.link[1], p.link[2].step
	across := linear{u.Y, u.X, 0} // the wrist centre's Y in frame 3 before it turns
	p.centre = [3]linear{
		{u.X, -u.Y, l.step.X},
		{l.cosTwist * across[0], l.cosTwist * across[1], l.step.Y},
		{l.sinTwist * across[0], l.sinTwist * across[1], l.step.Z},
	}
	for i, t := range [3]float64{l.step.X, l.step.Y, l.step.Z} {
		p.distance[0] += 2 * t * p.centre[i][0]
		p.distance[1] += 2 * t * p.centre[i][1]
	}
	p.distance[2] = r3.Norm2(l.step) + r3.Norm2(u)

	// Joint 3 must move the wrist centre in the way that the first equation sees.
	decisive := hypot(p.distance[0], p.distance[1]) / math.Sqrt(p.distance[2])
	if form == parallel12 {
		decisive = hypot(p.centre[2][0], p.centre[2][1])
		if math.Abs(p.offset) < meetTolerance {
			return nil
		}
	}
	if form == skew12 {
		decisive = hypot(u.X, u.Y)
	}
	if !(decisive > meetTolerance) {
		return nil
	}
	return p
}

// commonPerpendicular returns the points of two axes at an angle that are nearest to each other.
func commonPerpendicular(a, b *Joint) (onA, onB r3.Vec) {
	n := r3.Cross(a.Axis, b.Axis)
	between := r3.Sub(b.At, a.At)
	n2 := r3.Norm2(n)
	onA = r3.Add(a.At, r3.Scale(r3.Dot(r3.Cross(between, b.Axis), n)/n2, a.Axis))
	onB = r3.Add(b.At, r3.Scale(r3.Dot(r3.Cross(between, a.Axis), n)/n2, b.Axis))
	return onA, onB
}

// positioning is a way to bring the wrist centre to its place: the turns of joints 1 to 3, phases included.
type positioning struct {
	turn   [3]direction
	family bool
}

// positionings returns the ways to bring the wrist centre to its place, given in joint 1's frame. Where it is on axis 1 or
// 2 that joint is free and left at near.
//
// It reports as doubtful where there may be more.
func (p *pieperArm) positionings(centre r3.Vec, near *Joints) (out [8]positioning, n int, doubtful bool) {
	l := &p.link[0]
	var thirds [4]direction
	var count int
	switch p.form {
	case parallel12:
		// The height is that of frame 2 along the parallel axes.
		height := p.centre[2]
		height[2] -= l.cosTwist * (centre.Z - l.step.Z)
		two, n := height.zeros()
		count = copy(thirds[:], two[:n])
		doubtful = height.doubtful(p.exact.length)
	case meeting12:
		distance := p.distance
		distance[2] -= r3.Norm2(centre)
		two, n := distance.zeros()
		count = copy(thirds[:], two[:n])
		doubtful = distance.doubtful(p.distance[2])
	default:
		along, up := p.aroundAxis2(centre)
		// along² + up² is the squared distance from axis 2: all the squared distance less the height's.
		var k conic
		one := linear{0, 0, 1}
		size := 1 / p.distance[2]
		k.addProduct(size*l.sinTwist*l.sinTwist, &along, &along)
		k.addProduct(size*4*p.offset*p.offset, &up, &up)
		most := size * 4 * p.offset * p.offset * l.sinTwist * l.sinTwist
		k.addProduct(-most, &p.distance, &one)
		k.addProduct(most, &p.centre[2], &p.centre[2])
		thirds, count = k.zeros()
		doubtful = k.doubtful(thirds[:count])
	}
	doubtful = doubtful || hypot(centre.X, centre.Y) < nearAxis
	for _, third := range thirds[:count] {
		var close bool
		n, close = p.positioningsFor(third, centre, near, &out, n)
		doubtful = doubtful || close
	}
	return out, n, doubtful
}

// nearAxis is a distance in mm of the wrist centre from an axis below which that joint's angle loses digits.
const nearAxis = 1e-3

// aroundAxis2 returns what has to equal the wrist centre's coordinates square to axis 2, turned by joint 2: along the
// common perpendicular, times twice the offset, and across it, times the sine of the twist.
func (p *pieperArm) aroundAxis2(centre r3.Vec) (along, up linear) {
	l := &p.link[0]
	for i := range along {
		along[i] = -p.distance[i]
		up[i] = -l.cosTwist * p.centre[2][i]
	}
	along[2] += r3.Norm2(centre) - p.offset*p.offset
	up[2] += centre.Z
	return along, up
}

// positioningsFor adds the positionings with this turn of joint 3 to the n there are, and returns how many there are then, and whether
// the wrist centre is so near to axis 2, or two positionings so near to each other, that there may be more.
func (p *pieperArm) positioningsFor(third direction, centre r3.Vec, near *Joints, out *[8]positioning, n int) (int, bool) {
	l := &p.link[0]
	f := r3.Vec{X: p.centre[0].at(third), Y: p.centre[1].at(third), Z: p.centre[2].at(third)}
	around := hypot(f.X, f.Y)
	along, up := p.aroundAxis2(centre)
	// The wrist centre turned by joint 2 is (x, y, f.Z).
	var x, y [2]float64
	count := 2
	switch p.form {
	case parallel12:
		r := hypot(centre.X, centre.Y)
		cos, sin, ok := triangle{upper: math.Abs(p.offset), fore: around}.bend(r)
		if around < reachSlack {
			cos, sin, ok = 1, 0, math.Abs(r-math.Abs(p.offset)) < reachSlack
		}
		if !ok {
			return n, false
		}
		x[0], y[0] = sign(p.offset)*around*cos, around*sin
		x[1], y[1] = x[0], -y[0]
	case meeting12:
		y[0] = up.at(third) / l.sinTwist
		x[0] = math.Sqrt(max(0, (around-y[0])*(around+y[0])))
		if math.Abs(y[0]) > around*(1+tangentTolerance)+reachSlack {
			return n, false
		}
		x[1], y[1] = -x[0], y[0]
	default:
		x[0], y[0], count = along.at(third)/(2*p.offset), up.at(third)/l.sinTwist, 1
	}
	doubtful := around < nearAxis || count == 2 && hypot(x[0]-x[1], y[0]-y[1]) <= nearlyDouble*around
	if count == 2 && hypot(x[0]-x[1], y[0]-y[1]) <= sameSolution*around || around < reachSlack {
		count = 1
	}
	for i := range count {
		s := positioning{}
		s.turn[2] = third
		if around < reachSlack {
			s.turn[1].cos, s.turn[1].sin = p.link[1].turn(near[1])
			s.family = true
		} else {
			s.turn[1] = direction{x[i]*f.X + y[i]*f.Y, y[i]*f.X - x[i]*f.Y}.unit()
		}
		g := r3.Add(l.step, aboutX(l.cosTwist, l.sinTwist, aboutZ(s.turn[1].cos, s.turn[1].sin, f)))
		if hypot(centre.X, centre.Y) < reachSlack {
			s.turn[0].cos, s.turn[0].sin = l.turn(near[0])
			s.family = true
		} else {
			s.turn[0] = direction{centre.X*g.X + centre.Y*g.Y, centre.Y*g.X - centre.X*g.Y}.unit()
		}
		if p.settle(&s.turn, centre) && !repeated(out[:n], &s) {
			out[n] = s
			n++
		}
	}
	return n, doubtful
}

func repeated(positionings []positioning, s *positioning) bool {
	for i := range positionings {
		most := 0.0
		for k := range s.turn {
			most = max(most, hypot(s.turn[k].cos-positionings[i].turn[k].cos, s.turn[k].sin-positionings[i].turn[k].sin))
		}
		if most < sameStand {
			return true
		}
	}
	return false
}

// settle brings the wrist centre to its place to rounding, from turns that bring it there nearly, by Newton's method
// with Levenberg and Marquardt's damping. It reports false where that is not possible.
func (p *pieperArm) settle(turn *[3]direction, centre r3.Vec) bool {
	damping := 0.0
	miss, jac := p.miss(turn, centre)
	for range 40 {
		size := r3.Norm(miss)
		if size < reachSlack/2 {
			p.polish(turn, miss, &jac, centre)
			return true
		}
		next := stepped(turn, solveDamped(&jac, miss, damping))
		nextMiss, nextJac := p.miss(&next, centre)
		if r3.Norm(nextMiss) < size {
			*turn, miss, jac = next, nextMiss, nextJac
			damping /= 100
		} else {
			damping = 10*damping + 1e-9*r3.Norm2(jac[0])
		}
	}
	return false
}

// polish takes one more of Newton's steps where it helps. What is left after it is rounding, and the wrist needs its
// frame as good as that where its joints are nearly stretched.
func (p *pieperArm) polish(turn *[3]direction, miss r3.Vec, jac *[3]r3.Vec, centre r3.Vec) {
	next := stepped(turn, solveDamped(jac, miss, 0))
	if left, _ := p.miss(&next, centre); r3.Norm(left) < r3.Norm(miss) {
		*turn = next
	}
}

// stepped returns the turns, further by these angles.
func stepped(turn *[3]direction, step r3.Vec) (next [3]direction) {
	for i, s := range [3]float64{step.X, step.Y, step.Z} {
		sin, cos := sincos(s)
		next[i] = turn[i].times(direction{cos, sin})
	}
	return next
}

// miss returns how far the wrist centre is from its place, and its movement per joint.
func (p *pieperArm) miss(turn *[3]direction, centre r3.Vec) (miss r3.Vec, jac [3]r3.Vec) {
	// From the wrist centre inwards: the point in each joint's frame, and the movement by each joint before.
	v := p.link[2].step
	for i := 2; ; i-- {
		d := &turn[i]
		v = aboutZ(d.cos, d.sin, v)
		for k := i + 1; k < 3; k++ {
			jac[k] = aboutZ(d.cos, d.sin, jac[k])
		}
		jac[i] = r3.Vec{X: -v.Y, Y: v.X}
		if i == 0 {
			return r3.Sub(centre, v), jac
		}
		l := &p.link[i-1]
		v = r3.Add(l.step, aboutX(l.cosTwist, l.sinTwist, v))
		for k := i; k < 3; k++ {
			jac[k] = aboutX(l.cosTwist, l.sinTwist, jac[k])
		}
	}
}

// solveDamped returns x with (JᵀJ + damping·1)·x = Jᵀ·b, J by its columns.
func solveDamped(jac *[3]r3.Vec, b r3.Vec, damping float64) r3.Vec {
	if damping == 0 {
		if x := solve3(jac[0], jac[1], jac[2], b); finite(x) { // J itself
			return x
		}
		damping = 1e-9 * (r3.Norm2(jac[0]) + r3.Norm2(jac[1]) + r3.Norm2(jac[2]))
	}
	xx, yy, zz := r3.Norm2(jac[0])+damping, r3.Norm2(jac[1])+damping, r3.Norm2(jac[2])+damping
	xy, xz, yz := r3.Dot(jac[0], jac[1]), r3.Dot(jac[0], jac[2]), r3.Dot(jac[1], jac[2])
	c := r3.Vec{X: r3.Dot(jac[0], b), Y: r3.Dot(jac[1], b), Z: r3.Dot(jac[2], b)}
	return solve3(r3.Vec{X: xx, Y: xy, Z: xz}, r3.Vec{X: xy, Y: yy, Z: yz}, r3.Vec{X: xz, Y: yz, Z: zz}, c)
}

func (p *pieperArm) name() string {
	switch p.form {
	case meeting12:
		return "closed form: spherical wrist, axes 1 and 2 meet"
	case parallel12:
		return "closed form: spherical wrist, axes 1 and 2 parallel"
	}
	return "closed form: spherical wrist"
}

func (p *pieperArm) solve(dst []Solution, flange Pose, near Joints) []Solution {
	from := len(dst)
	var frame Rotation
	centre := p.wrist.split(&p.base, p.upright, &flange, &frame)
	positionings, n, doubtful := p.positionings(centre, &near)
	for i := range n {
		s := &positionings[i]
		after, q := p.arm(s, &frame)
		doubtful = doubtful || hypot(after.Z.X, after.Z.Y) < roundedWrist
		hands := p.wrist.solve(&after, near[3])
		for h, w := range hands.q[:hands.n] {
			dst = append(dst, Solution{
				Joints:  Joints{q[0], q[1], q[2], w.q4, w.q5, w.q6},
				Posture: Posture{Wrist: WristWords[h]},
				Family:  s.family || hands.family,
			})
		}
	}
	if doubtful || len(dst) == from {
		return p.exact.complete(dst, from, flange, near, p.posture, doubtful)
	}
	return dst
}

// arm returns the joints of a positioning, and frame as it is seen from joint 4 before it turns.
func (p *pieperArm) arm(s *positioning, frame *Rotation) (after Rotation, q [3]float64) {
	after = *frame
	for i := range q {
		l, d := &p.link[i], &s.turn[i]
		q[i] = l.joint(d.cos, d.sin)
		after = after.unturned(d.cos, d.sin, l.cosTwist, l.sinTwist)
	}
	return after, q
}

// smallStep is the joint difference in rad up to which the solution that iteration finds from near is compared with those
// around it only, and not with all.
const smallStep = 0.05

func (p *pieperArm) track(flange Pose, near, home Joints) (best Joints, steps int, ok bool) {
	var frame Rotation
	centre := p.wrist.split(&p.base, p.upright, &flange, &frame)
	var s positioning
	for i := range s.turn {
		s.turn[i].cos, s.turn[i].sin = p.link[i].turn(near[i])
	}
	least := math.Inf(1)
	if p.settle(&s.turn, centre) {
		best, least = p.withHand(&s, &frame, &near)
	}
	positionings, n, doubtful := p.positionings(centre, &near)
	for i := range n {
		doubtful = doubtful || positionings[i].family
		if q, far := p.withHand(&positionings[i], &frame, &near); far < least {
			best, least = q, far
		}
	}
	if doubtful || least == math.Inf(1) {
		return p.exact.orByIteration(best, least, flange, near, home)
	}
	return best, 0, true
}

func (p *pieperArm) withHand(s *positioning, frame *Rotation, near *Joints) (Joints, float64) {
	after, q := p.arm(s, frame)
	hand, far := p.wrist.nearest(&after, near)
	return Joints{q[0], q[1], q[2], hand.q4, hand.q5, hand.q6}, max(far, farthest(q[:], near[:3]))
}

func (p *pieperArm) placing() *placing { return newPlacing(p.base, p.upright, p.link, p.wrist) }

func (p *pieperArm) posture(q Joints) Posture {
	return Posture{Wrist: word(WristWords, p.wrist.bend(q[4]))}
}

func (p *pieperArm) indicators(q Joints) Indicators {
	return Indicators{Wrist: p.wrist.bend(q[4]), Elbow: math.NaN(), Shoulder: math.NaN()}
}
