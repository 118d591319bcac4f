package kinematics

import "math"

// planar is two parallel joints and what follows them in the plane square to their axes: a shoulder, an elbow and a
// point to be brought to its place. The link from the first to the second lies in the plane, along the first's X.
type planar struct {
	first, second link
	triangle      triangle
	reverse       float64 // 1 where the axes point the same way, −1 where they are opposed
	foreAngle     float64 // rad, from the second frame's X to the point, in the sense of the first axis
	cosFore       float64
	sinFore       float64
}

func newPlanar(first, second *link) planar {
	p := planar{first: *first, second: *second, reverse: sign(first.cosTwist)}
	p.triangle = triangle{upper: first.step.X, fore: math.Hypot(second.step.X, second.step.Y)}
	p.foreAngle = math.Atan2(p.reverse*second.step.Y, second.step.X)
	p.sinFore, p.cosFore = math.Sincos(p.foreAngle)
	return p
}

// degenerate reports whether a link has no length, so that there is no triangle.
func (p *planar) degenerate() bool {
	return p.triangle.upper < meetTolerance || p.triangle.fore < meetTolerance
}

// bends returns cosine and sine of the second link's bend from the first for a point at this distance from the
// first axis: to the left (seen with the first axis towards the eye) and to the right, if left is 1, or the other
// way round, if left is −1.
func (p *planar) bends(distance, left float64) (cos float64, sin [2]float64, n int) {
	cos, bend, ok := p.triangle.bend(distance)
	switch {
	case !ok:
		return 0, sin, 0
	case bend < sameSolution: // rounding decides which way and how far
		return sign(cos), [2]float64{}, 1
	}
	return cos, [2]float64{left * bend, -left * bend}, 2
}

// secondJoint returns the second joint's angle, any turn, for a bend in rad.
func (p *planar) secondJoint(bend float64) float64 {
	return p.reverse*(bend-p.foreAngle) - p.second.phase
}

// firstJoint returns the first joint's angle for a bend and a point at x, y, and cosine and sine of both joints'
// turns together. Where the point is on the first axis that joint is free and left at q.
func (p *planar) firstJoint(x, y, distance, cos, sin, q float64) (angle, c, s float64, free bool) {
	if distance < reachSlack {
		c, s = p.first.turn(q)
		angle, free = q, true
	} else {
		along, across := p.triangle.upper+p.triangle.fore*cos, p.triangle.fore*sin
		scale := 1 / (distance * hypot(along, across))
		c, s = (x*along+y*across)*scale, (y*along-x*across)*scale
		angle = p.first.joint(c, s)
	}
	// Frame 2 is the bend, less foreAngle, on from the first link.
	cb, sb := cos*p.cosFore+sin*p.sinFore, sin*p.cosFore-cos*p.sinFore
	return angle, c*cb - s*sb, s*cb + c*sb, free
}

// bend returns the second link's bend from the first for the second joint at q, rad in (−π, π], positive to the left.
func (p *planar) bend(q float64) float64 {
	b := p.reverse*(q+p.second.phase) + p.foreAngle
	return b - turnsOff(b, 0)
}
