package kinematics

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// steadyTriangle is the sine of the bend of a triangle, and of the angle between axes 2 and 6, below which follow leaves
// the step to those who mind rounding.
const steadyTriangle = 0.02

// follow writes the solution nearest to near for a flange a small step away, as placing.track does. It reports false where
// it cannot say that this is the nearest.
//
// Joints 1 and 5 are found by Newton's iteration from near, and that there is no other way to turn them follows as in
// placing.track: the columns of the two equations' Jacobian each depend on one joint, so that it changes by at most the
// greater of their lengths for every rad. For each such way joint 6 is one angle, and the other bend of the elbow takes joint 3
// farther away than the sine of the bend.
func (p *parallelArm) follow(flange *Pose, near, q *Joints) bool {
	var frame Rotation
	origin := p.split(flange, &frame)
	var o outer
	way1, way5, bent, ok := p.followOuter(&o, origin, &frame, near)
	if !ok {
		return false
	}
	var in inner
	p.inner(&in, &o, origin, &frame, near)
	cos, sin, ok := p.planar.triangle.bend(in.distance)
	if !(ok && sin > steadyTriangle && in.across > steadyTriangle && in.distance > steadyTriangle*p.planar.triangle.upper) {
		return false
	}
	left := sign(p.planar.bend(near[2]))
	q2, c23, s23, _ := p.planar.firstJoint(in.x, in.y, in.distance, cos, left*sin, 0)
	q[0], q[4] = near[0]+way1, near[4]+way5
	far := max(math.Abs(way1), math.Abs(way5))
	far = max(far, q.bring(1, q2, near))
	far = max(far, q.bring(2, p.planar.secondJoint(direction{cos, left * sin}.angle()), near))
	far = max(far, q.bring(3, p.fourth(&in, c23, s23), near))
	far = max(far, q.bring(5, p.link[5].joint(in.turn6.cos, in.turn6.sin), near))
	return far < sin && bent*(hypot(way1, way5)+math.Sqrt2*far)/2 < 1
}

// bring sets a joint to an angle, whole turns on to be nearest to near, and returns how far it is from there.
func (q *Joints) bring(i int, angle float64, near *Joints) float64 {
	q[i] = angle - turnsOff(angle, near[i])
	return math.Abs(q[i] - near[i])
}

// followOuter writes the turns of joints 1 and 5 and returns how far they are from near, in rad, and bent as in placing.
func (p *parallelArm) followOuter(o *outer, origin r3.Vec, frame *Rotation, near *Joints) (way1, way5, bent float64, ok bool) {
	var sine, cosine linear
	p.along(origin, frame, &sine, &cosine)
	scale := 1 / p.arm.length // of the equation for the sine, in mm
	s0, s1, s2, offset := scale*sine[0], scale*sine[1], scale*sine[2], scale*p.offset
	twist := p.link[4].sinTwist
	c1, n1 := p.link[0].turn(near[0])
	c5, n5 := p.link[4].turn(near[4])
	for n := range 4 {
		missSine, missCosine := offset*n5-(s0*c1+s1*n1+s2), twist*c5-(cosine[0]*c1+cosine[1]*n1+cosine[2])
		// The Jacobian's columns are (a, b) for joint 1 and (c, d) for joint 5.
		a, b, c, d := s1*c1-s0*n1, cosine[1]*c1-cosine[0]*n1, -offset*c5, twist*n5
		inverse := 1 / (a*d - b*c)
		step1, step5 := (d*missSine-c*missCosine)*inverse, (a*missCosine-b*missSine)*inverse
		if n == 0 {
			bend := math.Sqrt(max(s0*s0+s1*s1+cosine[0]*cosine[0]+cosine[1]*cosine[1], offset*offset+twist*twist))
			bent = bend * math.Abs(inverse) * math.Sqrt(a*a+b*b+c*c+d*d)
		}
		way1, way5 = way1+step1, way5+step5
		size := hypot(step1, step5)
		if !(bent*size < 1 && size < tickStep) {
			break
		}
		turn1, turn5 := direction{c1, n1}.turned(step1), direction{c5, n5}.turned(step5)
		c1, n1, c5, n5 = turn1.cos, turn1.sin, turn5.cos, turn5.sin
		if bent/2*size*size < closeEnough {
			o.turn1.cos, o.turn1.sin, o.turn5.cos, o.turn5.sin = c1, n1, c5, n5
			return way1, way5, bent, true
		}
	}
	return way1, way5, bent, false
}
