package kinematics

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// parallelArm has parallel axes 2, 3 and 4. Turning those three keeps the direction of axis 2 and moves nothing along
// it. So two components of the pose, axis 6's along axis 2 and that of a point of axis 6, depend on joints 1 and 5
// alone: they are linear in the cosine and sine of joint 1 and give the cosine and the sine of joint 5, and these
// being on a circle leaves a conic in joint 1, and less where axes 5 and 6 meet or are parallel. Joint 6 follows
// from the direction of axis 2 seen from the flange, and joints 2, 3 and 4 are an arm in a plane. (The same
// decomposition as in Elias and Wen, "IK-Geo", Mechanism and Machine Theory 209 (2025) 105971, table of the
// three-parallel family; the elimination is our own.)
//
// Frame 5's and 6's origins are the feet of the common perpendicular of axes 5 and 6, and those of frames 2, 3 and 4
// are in one plane.
type parallelArm struct {
	arm     *Arm // exactly of this form
	base    Pose
	upright bool
	link    [6]link
	untip   Rotation // frame 6 in the flange
	origin6 r3.Vec   // frame 6's origin in the flange's frame
	planar  planar
	form    axes56

	twist4   float64 // rad
	twist5   float64
	sense4   float64 // 1 where axis 4 points as axis 2 does, −1 where it is opposed
	offset   float64 // between axes 5 and 6, along frame 5's X
	straight float64 // cosine of joint 5's turn, phase included, from which the wrist is bent: 1 or −1
	front    float64 // as for elbowArm
	up       float64
}

type axes56 int

const (
	skew56 axes56 = iota
	meeting56
	parallel56
)

func newParallelArm(joints *[6]Joint, flange Pose) method {
	for i := 2; i < 4; i++ {
		joints[i].Axis = r3.Scale(sign(r3.Dot(joints[1].Axis, joints[i].Axis)), joints[1].Axis)
	}
	p := &parallelArm{}
	var origin [6]r3.Vec
	switch {
	case parallel(&joints[4], &joints[5]):
		p.form = parallel56
		joints[5].Axis = r3.Scale(sign(r3.Dot(joints[4].Axis, joints[5].Axis)), joints[4].Axis)
		origin[4] = footOn(&joints[4], joints[3].At)
		origin[5] = footOn(&joints[5], origin[4])
	default:
		origin[4], origin[5] = commonPerpendicular(&joints[4], &joints[5])
		if r3.Norm(r3.Sub(origin[4], origin[5])) < meetTolerance {
			p.form = meeting56
			origin[5] = origin[4]
			joints[5].At = origin[4]
		}
	}
	origin[3] = footOn(&joints[3], origin[4])
	origin[2] = footOn(&joints[2], origin[3])
	origin[1] = footOn(&joints[1], origin[2])
	origin[0] = footOn(&joints[0], origin[1])
	k := newChain(joints, origin, flange)
	p.base, p.upright, p.link = k.base, k.upright, k.link
	p.planar = newPlanar(&k.link[1], &k.link[2])
	p.offset = k.link[4].step.X
	if p.planar.degenerate() || p.form == parallel56 && math.Abs(p.offset) < meetTolerance {
		return nil
	}
	p.untip = k.tip.Transpose()
	p.origin6 = p.untip.Apply(r3.Scale(-1, k.link[5].step))
	p.twist4 = math.Atan2(k.link[3].sinTwist, k.link[3].cosTwist)
	p.twist5 = math.Atan2(k.link[4].sinTwist, k.link[4].cosTwist)
	p.sense4 = sign(k.link[1].cosTwist) * sign(k.link[2].cosTwist)
	p.straight = sign(math.Cos(k.link[4].phase+joints[4].Measured) + lengthNoise)
	p.front, p.up = frontAndUp(joints, origin[5])
	p.arm = exactArm(joints, flange)
	return p
}

// outer is a way to turn joints 1 and 5.
type outer struct{ turn1, turn5 direction }

// along writes what joint 5 must be for each angle of joint 1 by what is seen along axis 2: offset times its sine, and the
// sine of link 5's twist times its cosine, with frame 6 given in joint 1's frame.
func (p *parallelArm) along(origin r3.Vec, frame *Rotation, sine, cosine *linear) {
	first, fourth, fifth := &p.link[0], &p.link[3], &p.link[4]
	// From the side of joint 4 axis 6 is seen as sense4·(cos·cos − sin·sin·cos5), and its origin less that of frame 2 as
	// sense4·(height + sin·offset·sin5).
	height := fourth.step.Z + fourth.cosTwist*fifth.step.Z
	k := p.sense4 / fourth.sinTwist
	s := k * first.sinTwist
	sine[0], sine[1] = -s*origin.Y, s*origin.X
	sine[2] = s*first.step.Y + k*first.cosTwist*(origin.Z-first.step.Z) - height/fourth.sinTwist
	cosine[0], cosine[1] = s*frame.Z.Y, -s*frame.Z.X
	cosine[2] = fourth.cosTwist*fifth.cosTwist/fourth.sinTwist - k*first.cosTwist*frame.Z.Z
}

// outers returns the ways to turn joints 1 and 5 for frame 6, given in joint 1's frame.
//
// It reports as doubtful where there may be more, and of that as settled where two have only met, or nearly, in one in which axis 6 is
// parallel to axis 2.
func (p *parallelArm) outers(origin r3.Vec, frame *Rotation) (out [4]outer, n int, doubtful, settled bool) {
	fifth := &p.link[4]
	var sine, cosine linear
	p.along(origin, frame, &sine, &cosine)
	switch p.form {
	case parallel56:
		firsts, count := cosine.zeros()
		doubtful = cosine.doubtful(1)
		for _, d := range firsts[:count] {
			s := sine.at(d) / p.offset
			doubtful = doubtful || math.Abs(1-math.Abs(s)) < nearlyDouble*nearlyDouble
			n += alongOuters(out[n:], d, s)
		}
	case meeting56:
		firsts, count := sine.zeros()
		doubtful = sine.doubtful(p.arm.length)
		for _, d := range firsts[:count] {
			n += p.meetingOuters(out[n:], d, frame)
		}
	default:
		var k conic
		one := linear{0, 0, 1}
		size := 1 / (p.offset*p.offset + 1)
		k.addProduct(size*fifth.sinTwist*fifth.sinTwist, &sine, &sine)
		k.addProduct(size*p.offset*p.offset, &cosine, &cosine)
		k.addProduct(-size*p.offset*p.offset*fifth.sinTwist*fifth.sinTwist, &one, &one)
		firsts, count := k.zeros()
		doubtful = k.doubtful(firsts[:count])
		for _, d := range firsts[:count] {
			out[n] = outer{d, direction{cosine.at(d) / fifth.sinTwist, sine.at(d) / p.offset}.unit()}
			n++
		}
		if doubtful {
			n = p.sharpenTilted(&out, n, frame, &sine)
			settled = p.settled(&k, firsts[:count], out[:n], frame)
		}
	}
	return out, n, doubtful, settled
}

// apartTilt is how far axis 6 has to be from parallel to axis 2, times the offset between axes 5 and 6 as a part of the arm's length, for rounding
// not to decide how joint 6 turns.
const apartTilt = 1e-9

// settled reports whether the zeros of a conic are not doubtful but for those beside sharpened ways to turn joints 1 and 5: two beside two
// that are told apart, or in which axis 6 is parallel to axis 2, one or two beside that one.
func (p *parallelArm) settled(k *conic, firsts []direction, out []outer, frame *Rotation) bool {
	var rest [4]direction
	var met [4]int
	n := 0
	for _, d := range firsts {
		alone := true
		for i := range out {
			if near := &out[i].turn1; hypot(d.cos-near.cos, d.sin-near.sin) < tilted && p.tiltOf(&out[i], frame) < tilted {
				met[i]++
				alone = false
			}
		}
		if alone {
			rest[n] = d
			n++
		}
	}
	for i := range out {
		beside := 0
		for k := range out {
			if out[i].beside(&out[k]) < 2*tilted {
				beside++
			}
		}
		tilt := p.tiltOf(&out[i], frame)
		one, two := beside == 1 && tilt < straightWrist, beside == met[i] && tilt > apartTilt*p.arm.length/math.Abs(p.offset)
		if met[i] > 2 || met[i] > 0 && !one && !two {
			return false
		}
	}
	return !k.doubtful(rest[:n])
}

// alongOuters writes the ways to turn joint 5 to this sine: none where that is beyond one, else two, or one where they
// are the same.
func alongOuters(out []outer, first direction, sine float64) int {
	square := (1 - sine) * (1 + sine)
	switch {
	case !(square > -2*tangentTolerance):
		return 0
	case square < sameSolution*sameSolution:
		out[0] = outer{first, direction{0, sign(sine)}}
		return 1
	}
	cos := math.Sqrt(square)
	out[0], out[1] = outer{first, direction{cos, sine}}, outer{first, direction{-cos, sine}}
	return 2
}

// meetingOuters writes the ways to turn joint 5 where axes 5 and 6 meet: by the angle between axes 4 and 6, from both
// its sine and its cosine, because joint 6 depends on the smallest bends from where those axes are parallel.
func (p *parallelArm) meetingOuters(out []outer, first direction, frame *Rotation) int {
	l, fourth, fifth := &p.link[0], &p.link[3], &p.link[4]
	axis := aboutX(l.cosTwist, -l.sinTwist, aboutZ(first.cos, -first.sin, frame.Z))
	across := hypot(axis.X, axis.Y)
	sin2, cos2, ok := halfTurn(fourth, fifth, p.twist4, p.twist5, math.Atan2(across, p.sense4*axis.Z))
	if !ok {
		return 0
	}
	cos, sin := cos2-sin2, 2*math.Sqrt(sin2*cos2)
	out[0] = outer{first, direction{cos, sin}}
	// Two bends that are hardly one differ in joint 6 by their difference over the sine of that angle.
	if sin < sameSolution && sin*math.Abs(fourth.sinTwist) < sameSolution*across {
		return 1
	}
	out[1] = outer{first, direction{cos, -sin}}
	return 2
}

// inner is what is left of the problem when joints 1, 5 and 6 are known: an arm in the plane square to axis 2.
type inner struct {
	turn6    direction
	across   float64   // sine of the angle between axes 2 and 6
	whole    direction // joints 2, 3 and 4 together, in the sense of axis 2
	x, y     float64   // frame 4's origin in frame 2
	distance float64
	handX    float64 // from frame 4's origin to frame 6's, in frame 4 turned back to frame 2's sense
	handY    float64
	family   bool // axis 6 is parallel to axes 2, 3 and 4, and joint 6 was left at near
}

// inner writes what is left when joints 1 and 5 have turned so, for frame 6 given in joint 1's frame.
func (p *parallelArm) inner(in *inner, o *outer, origin r3.Vec, frame *Rotation, near *Joints) {
	first, fourth, fifth := &p.link[0], &p.link[3], &p.link[4]
	after1 := frame.unturned(o.turn1.cos, o.turn1.sin, first.cosTwist, first.sinTwist)
	c5, s5 := o.turn5.cos, o.turn5.sin
	// Axis 2 seen from frame 6: before joint 6 turns, from joint 4's side, and after, from the flange's.
	before := r3.Vec{X: p.sense4 * s5 * fourth.sinTwist,
		Y: p.sense4 * (fifth.cosTwist*c5*fourth.sinTwist + fifth.sinTwist*fourth.cosTwist)}
	seen := r3.Vec{X: after1.X.Z, Y: after1.Y.Z}
	in.across = hypot(before.X, before.Y)
	if in.family = in.across < straightWrist; in.family {
		in.turn6.cos, in.turn6.sin = p.link[5].turn(near[5])
	} else {
		d := direction{seen.X*before.X + seen.Y*before.Y, before.Y*seen.X - before.X*seen.Y}.unit()
		in.turn6.cos, in.turn6.sin = d.cos, d.sin
	}
	// Frame 4's X axis, seen from frame 6, is after1's image of where joints 2 to 4 have turned it.
	c6, s6 := in.turn6.cos, in.turn6.sin
	x4 := r3.Vec{X: c5*c6 - s5*fifth.cosTwist*s6, Y: -c5*s6 - s5*fifth.cosTwist*c6, Z: s5 * fifth.sinTwist}
	whole := after1.Apply(x4)
	d := direction{whole.X, whole.Y}.unit()
	in.whole.cos, in.whole.sin = d.cos, d.sin
	// From frame 4 to frame 6, in frame 2.
	arm := aboutZ(c5, s5, fifth.step)
	arm = r3.Add(fourth.step, aboutX(fourth.cosTwist, fourth.sinTwist, arm))
	arm.Y *= p.sense4
	in.handX, in.handY = arm.X, arm.Y
	arm = aboutZ(d.cos, d.sin, arm)
	at := aboutX(first.cosTwist, -first.sinTwist, r3.Sub(aboutZ(o.turn1.cos, -o.turn1.sin, origin), first.step))
	in.x, in.y = at.X-arm.X, at.Y-arm.Y
	in.distance = hypot(in.x, in.y)
}

// split writes the axes of frame 6 for this flange and returns its origin, both in joint 1's frame before it turns.
func (p *parallelArm) split(flange *Pose, frame *Rotation) (origin r3.Vec) {
	origin, x, z := lastFrame(&p.base, p.upright, &p.origin6, &p.untip, flange)
	frame.X, frame.Y, frame.Z = x, r3.Cross(z, x), z
	return origin
}

// fourth returns joint 4, which turns what joints 2 and 3 (their turns together) leave of the whole.
func (p *parallelArm) fourth(in *inner, c23, s23 float64) float64 {
	rest := in.whole.times(direction{c23, -s23})
	return p.link[3].joint(rest.cos, p.sense4*rest.sin)
}

// roundedReach is what rounding leaves of a distance, as a part of the reach, where axes 5 and 6 meet and the ways to turn joint 1 are not
// about to meet.
const roundedReach = 1e-11

// bends returns cosine and sine of the elbow's bends. The distance suffers where two ways to turn joints 1 and 5 are
// about to meet and are found with half their digits, and where joint 6 is free it may have to give way. So a small miss,
// or then one that is not so small, is taken as as much within reach, where sharpening has a way to go.
func (p *parallelArm) bends(in *inner, doubtful bool) (cos float64, sin [2]float64, n int) {
	t := &p.planar.triangle
	most, least, distance := t.upper+t.fore, math.Abs(t.upper-t.fore), in.distance
	slack := tangentTolerance * most
	switch {
	case in.family:
		slack = most / 4
	case p.form == meeting56 && !doubtful:
		slack = roundedReach * most
	}
	switch {
	case distance > most && distance < most+slack:
		distance = max(least, 2*most-distance)
	case distance < least && distance > least-slack:
		distance = min(most, 2*least-distance)
	}
	return p.planar.bends(distance, 1)
}

func (p *parallelArm) solve(dst []Solution, flange Pose, near Joints) []Solution {
	from := len(dst)
	var frame Rotation
	origin := p.split(&flange, &frame)
	outers, n, doubtful, _ := p.outers(origin, &frame)
	var in inner
	edge := false
	for i := range n {
		o := &outers[i]
		p.inner(&in, o, origin, &frame, &near)
		edge = edge || p.atEdge(&in)
		cos, sin, n := p.bends(&in, doubtful)
		if n == 0 {
			continue
		}
		q1, q5, q6 := p.link[0].joint(o.turn1.cos, o.turn1.sin), p.link[4].joint(o.turn5.cos, o.turn5.sin),
			p.link[5].joint(in.turn6.cos, in.turn6.sin)
		for k := range n {
			q2, c23, s23, free := p.planar.firstJoint(in.x, in.y, in.distance, cos, sin[k], near[1])
			q := Joints{q1, q2, p.planar.secondJoint(direction{cos, sin[k]}.angle()), p.fourth(&in, c23, s23), q5, q6}
			if q, _, ok := p.arm.sharpened(flange, q); ok && !known(dst[from:], &q, sameStand) {
				dst = append(dst, Solution{Joints: q, Posture: p.posture(q), Family: free || in.family})
			}
		}
	}
	if doubtful || edge || len(dst) == from && !p.sure(flange, near, false) {
		return p.arm.complete(dst, from, flange, near, p.posture, doubtful || edge)
	}
	return dst
}

func (p *parallelArm) track(flange Pose, near, home Joints) (best Joints, steps int, ok bool) {
	var frame Rotation
	origin := p.split(&flange, &frame)
	outers, n, doubtful, settled := p.outers(origin, &frame)
	doubtful = doubtful && !settled
	var in inner
	least, bent := math.Inf(1), false
	r := hypot(origin.X, origin.Y)
	for i := range n {
		o := &outers[i]
		if p.form == meeting56 && r < besideAxis {
			var both [2]outer
			for k := range p.meetingOuters(both[:], p.link[0].steadied(o.turn1, r, near[0]), &frame) {
				if both[k].turn5.sin*o.turn5.sin >= 0 {
					*o = both[k]
					break
				}
			}
		}
		q1, q5 := p.link[0].joint(o.turn1.cos, o.turn1.sin), p.link[4].joint(o.turn5.cos, o.turn5.sin)
		far15 := max(apart(q1, near[0]), apart(q5, near[4]))
		if far15 >= least {
			continue
		}
		p.inner(&in, o, origin, &frame, &near)
		if in.family {
			q, took, there := p.member(&in, o, flange, &frame, &near, &home)
			switch steps += took; there {
			case reached:
				return q, steps, true
			case outside:
				continue
			}
			doubtful = true
		}
		cos, sin, n := p.bends(&in, doubtful)
		bent = bent || n > 0
		for k := range n {
			q2, c23, s23, _ := p.planar.firstJoint(in.x, in.y, in.distance, cos, sin[k], near[1])
			q := Joints{q1, q2, p.planar.secondJoint(direction{cos, sin[k]}.angle()), p.fourth(&in, c23, s23), q5, p.link[5].joint(in.turn6.cos, in.turn6.sin)}
			if far := farthest(q[:], near[:]); far < least {
				q, took, ok := p.arm.sharpened(flange, q)
				if steps += took; ok {
					best, least = q, far
				}
			}
		}
	}
	if doubtful || least == math.Inf(1) && (bent || !p.sure(flange, near, false)) {
		best, more, ok := p.arm.orByIteration(best, least, flange, near, home)
		return best, steps + more, ok
	}
	return best, steps, least < math.Inf(1)
}

// roundedTilt is the sine of the angle between axes 2 and 6 below which rounding may decide how joint 6 turns.
const roundedTilt = 1e-6

// sure reports whether the equations for joints 1 and 5 are far enough from a double zero and, where nothing was found, joints 2 and 3 too
// short or too long in all of their solutions.
func (p *parallelArm) sure(flange Pose, near Joints, found bool) bool {
	var frame Rotation
	origin := p.split(&flange, &frame)
	outers, n, doubtful, settled := p.outers(origin, &frame)
	if doubtful && !settled {
		return false
	}
	var in inner
	for i := range n {
		p.inner(&in, &outers[i], origin, &frame, &near)
		if in.family {
			if bars := p.fourBar(&in); bars.slack() > -reachSlack {
				return false
			}
		} else if _, _, bends := p.bends(&in, false); (bends > 0 || p.atEdge(&in)) && !found || in.across < roundedTilt {
			return false
		}
	}
	return true
}

// roundedTurn is what rounding may leave of the ways to turn joint 1 where two of them are near to each other, rad.
const roundedTurn = 1e-8

// atEdge reports whether frame 4's origin is so near to the edge of joints 2 and 3's reach that what rounding leaves of it decides:
// joint 6, which turns it about axis 6, hangs on joint 1 the more, the more nearly axis 6 is parallel to axis 2.
func (p *parallelArm) atEdge(in *inner) bool {
	t := &p.planar.triangle
	off := min(math.Abs(in.distance-t.upper-t.fore), math.Abs(in.distance-math.Abs(t.upper-t.fore)))
	return !in.family && off < roundedTurn*hypot(in.handX, in.handY)/in.across
}

func (p *parallelArm) name() string {
	const name = "closed form: axes 2, 3 and 4 parallel"
	switch p.form {
	case meeting56:
		return name + ", axes 5 and 6 meet"
	case parallel56:
		return name + ", axes 5 and 6 parallel"
	}
	return name
}

func (p *parallelArm) posture(q Joints) (s Posture) {
	i := p.indicators(q)
	side := 1.0
	if !math.IsNaN(i.Shoulder) {
		s.Shoulder = word(ShoulderWords, i.Shoulder)
		side = i.Shoulder * p.front
	}
	if !math.IsNaN(i.Wrist) {
		s.Wrist = word(WristWords, i.Wrist)
	}
	s.Elbow = word(ElbowWords, -sign(side)*p.up*i.Elbow)
	return s
}

// indicators returns what the determinant of the Jacobian vanishes with. The elbow is always a factor of it; wrist
// and shoulder are factors where axes 5 and 6 meet.
func (p *parallelArm) indicators(q Joints) Indicators {
	i := Indicators{Wrist: math.NaN(), Elbow: p.planar.bend(q[2]), Shoulder: math.NaN()}
	if p.form != meeting56 {
		return i
	}
	bend := q[4] + p.link[4].phase
	if p.straight < 0 {
		bend += math.Pi
	}
	i.Wrist = bend - turnsOff(bend, 0)
	// Where the meeting point of axes 5 and 6 is, in joint 1's turned frame.
	v := p.link[3].step
	for k := 3; k > 0; k-- {
		c, s := p.link[k].turn(q[k])
		l := &p.link[k-1]
		v = r3.Add(l.step, aboutX(l.cosTwist, l.sinTwist, aboutZ(c, s, v)))
	}
	i.Shoulder = p.front * v.X
	return i
}
