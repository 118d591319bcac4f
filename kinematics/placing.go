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
}

// newPlacing returns the placing by these links, the last of which ends in the wrist centre. Its bend is by how much the
// Jacobian changes at most, in mm/rad per rad of joint motion. The second derivative by joints i ≤ j is the axis of i
// crossed with the movement by j, so at most as long as the wrist centre can be far from axis j, and all of them together at
// most the norm of the matrix of these lengths.
func newPlacing(base Pose, upright bool, link [3]link, w wrist) *placing {
	first, second := &link[0], &link[1]
	far3 := r3.Norm(link[2].step)
	far2 := far3 + r3.Norm(second.step)
	far1 := far2 + r3.Norm(first.step)
	return &placing{
		base:    base,
		upright: upright,
		link:    link,
		wrist:   w,
		axis1:   r3.Vec{Y: first.sinTwist, Z: first.cosTwist},
		at1:     aboutX(first.cosTwist, -first.sinTwist, r3.Scale(-1, first.step)),
		axis3:   r3.Vec{Y: -second.sinTwist, Z: second.cosTwist},
		joined:  math.Abs(second.sinTwist) < 1e-15,
		bend:    math.Sqrt(far1*far1 + 3*far2*far2 + 5*far3*far3),
	}
}

// track returns the solution nearest to near for this flange. It reports false where it cannot say that this is the nearest.
//
// That it is follows as in the theorem of Newton and Kantorovich (Ortega and Rheinboldt, Iterative Solution of Nonlinear
// Equations in Several Variables, 12.6): along the way from one place x of joints 1 to 3 to another y, as seen from near, the
// movements of the wrist centre add up to none, and the Jacobian is that at near but for bend times the distance from near,
// on average at most half of |x| + |y|. So |J·(y − x)| ≤ bend·|y − x|·(|x| + |y|)/2, and there is no other y unless that
// allows for |y − x|/|J⁻¹|. One with no joint farther from near than the solution's farthest, by d, has |y| ≤ √3·d.
func (p *placing) track(flange *Pose, near *Joints) (Joints, bool) {
	centre, frame := p.wrist.split(&p.base, p.upright, flange)
	var turn [3]direction
	step, bent, ok := p.follow(centre, near, &turn)
	if !ok {
		return *near, false
	}
	l1, l2, l3 := &p.link[0], &p.link[1], &p.link[2]
	frame = frame.unturned(turn[0].cos, turn[0].sin, l1.cosTwist, l1.sinTwist)
	if p.joined {
		both := turn[1].times(direction{turn[2].cos, l2.cosTwist * turn[2].sin})
		frame = frame.unturned(both.cos, both.sin, l2.cosTwist*l3.cosTwist, l2.cosTwist*l3.sinTwist)
	} else {
		frame = frame.unturned(turn[1].cos, turn[1].sin, l2.cosTwist, l2.sinTwist)
		frame = frame.unturned(turn[2].cos, turn[2].sin, l3.cosTwist, l3.sinTwist)
	}
	hand, far := p.wrist.nearest(&frame, near)
	for i := range hand {
		hand[i] -= turnsOff(hand[i], near[3+i])
	}
	far = max(far, math.Abs(step.X), math.Abs(step.Y), math.Abs(step.Z))
	q := Joints{near[0] + step.X, near[1] + step.Y, near[2] + step.Z, hand[0], hand[1], hand[2]}
	return q, bent*(r3.Norm(step)+math.Sqrt(3)*far)/2 < 1
}

// follow returns how joints 1 to 3 have to turn from near, in rad, to bring the wrist centre to its place, by an iteration
// that starts there, and writes their turns then; and bend times the norm of the inverse of the Jacobian at near.
func (p *placing) follow(centre r3.Vec, near *Joints, turn *[3]direction) (way r3.Vec, bent float64, ok bool) {
	for i := range turn {
		turn[i].cos, turn[i].sin = p.link[i].turn(near[i])
	}
	for n := range 4 {
		step, inverse := p.step(centre, turn)
		if n == 0 {
			bent = p.bend * inverse
		}
		way = r3.Add(way, step)
		turn[0], turn[1], turn[2] = turn[0].turned(step.X), turn[1].turned(step.Y), turn[2].turned(step.Z)
		size := r3.Norm2(step)
		square := bent * bent * size
		if !(square < 1 && size < tickStep*tickStep) {
			break
		}
		// What is left is of third order.
		if square*square*size < roundingAngle*roundingAngle {
			return way, bent, true
		}
	}
	return way, bent, false
}

// roundingAngle is an angle in rad that the rounding of some turns may add up to.
const roundingAngle = 1e-15

// step returns the step from these turns towards the wrist centre's place, in rad, and the norm of the inverse of the
// Jacobian (Frobenius), in rad/mm. The step is Chebyshev's, Newton's with the term of second order (Ortega and Rheinboldt,
// 10.2).
func (p *placing) step(centre r3.Vec, turn *[3]direction) (step r3.Vec, inverse float64) {
	l1, l2, l3 := &p.link[0], &p.link[1], &p.link[2]
	goal := aboutX(l1.cosTwist, -l1.sinTwist, r3.Sub(aboutZ(turn[0].cos, -turn[0].sin, centre), l1.step))
	fore := aboutX(l2.cosTwist, l2.sinTwist, aboutZ(turn[2].cos, turn[2].sin, l3.step))
	c, s := turn[1].cos, turn[1].sin
	now := aboutZ(c, s, r3.Add(l2.step, fore))
	by1, by2 := r3.Cross(p.axis1, r3.Sub(now, p.at1)), r3.Vec{X: -now.Y, Y: now.X}
	axis3 := aboutZ(c, s, p.axis3)
	by3 := aboutZ(c, s, r3.Cross(p.axis3, fore))

	row1, row2, row3, det := cramer(by1, by2, by3)
	scale := 1 / det
	inverse = math.Abs(scale) * math.Sqrt(r3.Norm2(row1)+r3.Norm2(row2)+r3.Norm2(row3))
	miss := r3.Sub(goal, now)
	x1, x2, x3 := scale*r3.Dot(row1, miss), scale*r3.Dot(row2, miss), scale*r3.Dot(row3, miss)
	// Half the second derivative along the step: the sum over i < j of axis i × movement by j, and half of that for i = j.
	rest := r3.Scale(x3, by3)
	second := r3.Scale(x3/2, r3.Cross(axis3, rest))
	half := r3.Add(rest, r3.Scale(x2/2, by2))
	second = r3.Add(second, r3.Vec{X: -x2 * half.Y, Y: x2 * half.X})
	half = r3.Sub(miss, r3.Scale(x1/2, by1))
	second = r3.Add(second, r3.Scale(x1, r3.Cross(p.axis1, half)))
	miss = r3.Sub(miss, second)
	return r3.Vec{X: scale * r3.Dot(row1, miss), Y: scale * r3.Dot(row2, miss), Z: scale * r3.Dot(row3, miss)}, inverse
}
