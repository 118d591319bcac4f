package kinematics

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// placing is the first three joints of an arm with a spherical wrist, which bring the wrist centre to its place, made ready
// to follow it over the small steps of a jog. Everything is seen from frame 2 before joint 2 turns, where few numbers depend
// on the joints.
type placing struct {
	base    Pose
	upright bool
	link    [3]link
	wrist   wrist

	axis1 r3.Vec  // of joint 1 in frame 2
	at1   r3.Vec  // a point on it
	axis3 r3.Vec  // of joint 3 in frame 2 turned
	bend  float64 // see newPlacing

	joined bool // axes 2 and 3 are parallel: the two turn the wrist as one
	both   link // what stands in for links 2 and 3 then
}

// newPlacing returns the placing by these links, the last of which ends in the wrist centre. Its bend is by how much the
// Jacobian changes at most, in mm/rad per rad of joint motion. The second derivative by joints i ≤ j is the axis of i
// crossed with the movement by j, so at most as long as the wrist centre can be far from axis j, and all of them together at
// most the norm of the matrix of these lengths.
func newPlacing(base Pose, upright bool, links [3]link, w wrist) *placing {
	first, second, third := &links[0], &links[1], &links[2]
	far3 := r3.Norm(third.step)
	far2 := far3 + r3.Norm(second.step)
	far1 := far2 + r3.Norm(first.step)
	twists := link{cosTwist: second.cosTwist * third.cosTwist, sinTwist: second.cosTwist * third.sinTwist}
	return &placing{
		base:    base,
		upright: upright,
		link:    links,
		wrist:   w,
		axis1:   r3.Vec{Y: first.sinTwist, Z: first.cosTwist},
		at1:     aboutX(first.cosTwist, -first.sinTwist, r3.Scale(-1, first.step)),
		axis3:   r3.Vec{Y: -second.sinTwist, Z: second.cosTwist},
		joined:  math.Abs(second.sinTwist) < 1e-15,
		both:    twists,
		bend:    math.Sqrt(far1*far1 + 3*far2*far2 + 5*far3*far3),
	}
}

// track writes the solution nearest to near for this flange. It reports false where it cannot say that this is the nearest.
//
// That it is follows as in the theorem of Newton and Kantorovich (Ortega and Rheinboldt, Iterative Solution of Nonlinear
// Equations in Several Variables, 12.6): along the way from one place x of joints 1 to 3 to another y, as seen from near, the
// movements of the wrist centre add up to none, and the Jacobian is that at near but for bend times the distance from near,
// on average at most half of |x| + |y|. So |J·(y − x)| ≤ bend·|y − x|·(|x| + |y|)/2, and there is no other y unless that
// allows for |y − x|/|J⁻¹|. One with no joint farther from near than the solution's farthest, by d, has |y| ≤ √3·d.
func (p *placing) track(flange *Pose, near, q *Joints) bool {
	centre, x, z := lastFrame(&p.base, p.upright, &p.wrist.centre, &p.wrist.untip, flange)
	var turn [3]direction
	step, bent, ok := p.follow(centre, near, &turn)
	if !ok {
		return false
	}
	l := &p.link[0]
	x, z = l.unturned(turn[0], x), l.unturned(turn[0], z)
	if p.joined {
		both := turn[1].times(direction{turn[2].cos, p.link[1].cosTwist * turn[2].sin})
		x, z = p.both.unturned(both, x), p.both.unturned(both, z)
	} else {
		l = &p.link[1]
		x, z = l.unturned(turn[1], x), l.unturned(turn[1], z)
		l = &p.link[2]
		x, z = l.unturned(turn[2], x), l.unturned(turn[2], z)
	}
	frame := Rotation{X: x, Y: r3.Cross(z, x), Z: z}
	hand, far := p.wrist.nearest(&frame, near)
	hand = hand.turned(near)
	q[0], q[1], q[2] = near[0]+step.X, near[1]+step.Y, near[2]+step.Z
	q[3], q[4], q[5] = hand.q4, hand.q5, hand.q6
	far = max(far, math.Abs(step.X), math.Abs(step.Y), math.Abs(step.Z))
	return bent*(math.Sqrt(r3.Norm2(step))+math.Sqrt(3)*far)/2 < 1
}

// follow returns how joints 1 to 3 have to turn from near, in rad, to bring the wrist centre to its place, by an iteration
// that starts there, and writes their turns then; and bend times the norm of the inverse of the Jacobian at near.
func (p *placing) follow(centre r3.Vec, near *Joints, turn *[3]direction) (way r3.Vec, bent float64, ok bool) {
	turns(p.link[:], near[:3], turn[:])
	var row1, row2, row3 r3.Vec // of the inverse of the Jacobian
	part := 1.0                 // of its length, by how much a step with this inverse may miss its end
	for n := range 8 {
		var step r3.Vec
		fresh := part > steepPart
		if fresh {
			step, row1, row2, row3 = p.step(centre, turn)
		} else {
			_, _, miss := p.seen(centre, turn)
			step = byRows(row1, row2, row3, miss)
		}
		way = r3.Add(way, step)
		turn[0], turn[1], turn[2] = turn[0].turned(step.X), turn[1].turned(step.Y), turn[2].turned(step.Z)
		size := math.Sqrt(r3.Norm2(step))
		if n == 0 {
			bent = p.bend * math.Sqrt(r3.Norm2(row1)+r3.Norm2(row2)+r3.Norm2(row3))
		}
		if fresh {
			part = bent * size
			if !(part < 1 && size < tickStep) {
				break
			}
		} else if part*size < closeEnough {
			return way, bent, true
		}
	}
	return way, bent, false
}

// steepPart is the part above which it is quicker to take a new Jacobian.
const steepPart = 1. / 8

// seen returns where the wrist centre is from joint 3's origin, where it is, and what it misses of its place, all in frame 2
// turned, but for the first, which is not.
func (p *placing) seen(centre r3.Vec, turn *[3]direction) (fore, now, miss r3.Vec) {
	l1, l2, l3 := &p.link[0], &p.link[1], &p.link[2]
	goal := aboutX(l1.cosTwist, -l1.sinTwist, r3.Sub(aboutZ(turn[0].cos, -turn[0].sin, centre), l1.step))
	fore = aboutX(l2.cosTwist, l2.sinTwist, aboutZ(turn[2].cos, turn[2].sin, l3.step))
	now = aboutZ(turn[1].cos, turn[1].sin, r3.Add(l2.step, fore))
	return fore, now, r3.Sub(goal, now)
}

// step returns the step from these turns towards the wrist centre's place, in rad, and the rows of the inverse of the
// Jacobian, in rad/mm. The step is Chebyshev's, Newton's with the term of second order (Ortega and Rheinboldt, 10.2).
func (p *placing) step(centre r3.Vec, turn *[3]direction) (step, row1, row2, row3 r3.Vec) {
	fore, now, miss := p.seen(centre, turn)
	c, s := turn[1].cos, turn[1].sin
	by1, by2 := r3.Cross(p.axis1, r3.Sub(now, p.at1)), r3.Vec{X: -now.Y, Y: now.X}
	axis3 := aboutZ(c, s, p.axis3)
	by3 := aboutZ(c, s, r3.Cross(p.axis3, fore))

	row1, row2, row3, det := cramer(by1, by2, by3)
	scale := 1 / det
	row1, row2, row3 = r3.Scale(scale, row1), r3.Scale(scale, row2), r3.Scale(scale, row3)
	x := byRows(row1, row2, row3, miss)
	// Half the second derivative along the step: the sum over i < j of axis i × movement by j, and half of that for i = j.
	rest := r3.Scale(x.Z, by3)
	second := r3.Scale(x.Z/2, r3.Cross(axis3, rest))
	half := r3.Add(rest, r3.Scale(x.Y/2, by2))
	second = r3.Add(second, r3.Vec{X: -x.Y * half.Y, Y: x.Y * half.X})
	half = r3.Sub(miss, r3.Scale(x.X/2, by1))
	second = r3.Add(second, r3.Scale(x.X, r3.Cross(p.axis1, half)))
	return byRows(row1, row2, row3, r3.Sub(miss, second)), row1, row2, row3
}

// byRows returns the matrix with these rows times v.
func byRows(row1, row2, row3, v r3.Vec) r3.Vec {
	return r3.Vec{X: r3.Dot(row1, v), Y: r3.Dot(row2, v), Z: r3.Dot(row3, v)}
}
