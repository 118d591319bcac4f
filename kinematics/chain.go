package kinematics

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// chain is the arm written with as few numbers as its geometry has, so that a turn or a twist mixes just two
// components of a vector. Every joint has a frame with Z along its axis and X square to its axis and the next
// one's. From the base to the flange:
//
//	flange = base · Π Rz(q+phase)·(step, Rx(twist)) · tip
//
// It is the notation of Denavit and Hartenberg (Craig, Introduction to Robotics, ch. 3) except that step is any
// vector: the origin may sit anywhere on the axis, and so axes that are nearly parallel, whose common
// perpendicular is far away or anywhere, need no special care.
type chain struct {
	base    Pose // of joint 1's frame before it turns
	upright bool // base is just a shift
	link    [6]link
	tip     Rotation // of the flange in frame 6 after it turned and before the step, whole
}

// link is the way from one joint's turned frame to the next joint's.
type link struct {
	phase              float64 // rad, added to the joint angle before it is used; the angle where it is measured is taken off in it
	cosPhase, sinPhase float64
	cosTwist, sinTwist float64 // about X, from this axis to the next
	step               r3.Vec  // the next frame's origin
}

// parallelSine is the sine of the angle between two axes below which their cross product is only rounding.
const parallelSine = 1e-12

// newChain returns the chain of these axes (unit vectors) and flange, with the frame of joint i at origin[i],
// which must be on its axis.
func newChain(joints *[6]Joint, origin [6]r3.Vec, flange Pose) chain {
	var c chain
	axis := func(i int) r3.Vec {
		if i == 6 {
			return flange.Rotation.Z
		}
		return joints[i].Axis
	}
	at := func(i int) r3.Vec {
		if i == 6 {
			return flange.Position
		}
		return origin[i]
	}
	before := uprightOrAcross(axis(0))
	c.base = Pose{Position: at(0), Rotation: before}
	c.upright = before == NoRotation
	for i := range 6 {
		l := &c.link[i]
		z, next := axis(i), axis(i+1)
		x := r3.Cross(z, next)
		if n := r3.Norm(x); n > parallelSine {
			x = r3.Scale(1/n, x)
		} else {
			// Parallel: X towards the next axis, or as before where that leaves nothing to turn.
			x = squareTo(z, r3.Sub(at(i+1), at(i)))
			if n := r3.Norm(x); n > 1e-9 {
				x = r3.Scale(1/n, x)
			} else {
				x = before.X
			}
		}
		// What is short beside what it was made from is much rounding, and made square to this axis once more.
		x = r3.Unit(squareTo(z, x))
		y := r3.Cross(z, x)
		frame := Rotation{X: x, Y: y, Z: z}
		l.cosPhase, l.sinPhase = r3.Dot(x, before.X), r3.Dot(x, before.Y)
		l.phase = math.Atan2(l.sinPhase, l.cosPhase)
		if measured := joints[i].Measured; measured != 0 {
			s, c := math.Sincos(measured)
			l.cosPhase, l.sinPhase = l.cosPhase*c+l.sinPhase*s, l.sinPhase*c-l.cosPhase*s
			l.phase -= measured
		}
		l.cosTwist, l.sinTwist = r3.Dot(next, z), -r3.Dot(next, y)
		l.step = frame.Transpose().Apply(r3.Sub(at(i+1), at(i)))
		before = Rotation{X: x, Y: r3.Cross(next, x), Z: next}
		if i == 5 {
			c.tip = frame.Transpose().Mul(flange.Rotation)
		}
	}
	return c
}

// uprightOrAcross returns a frame with Z axis z: the base frame's own axes where z is its Z axis.
func uprightOrAcross(z r3.Vec) Rotation {
	if z == NoRotation.Z {
		return NoRotation
	}
	return rotationToZ(z)
}

// rotationToZ returns a frame whose Z axis is the unit vector z.
func rotationToZ(z r3.Vec) Rotation {
	other := r3.Vec{X: 1}
	if math.Abs(z.X) > 0.6 {
		other = r3.Vec{Y: 1}
	}
	x := r3.Unit(squareTo(z, other))
	return Rotation{X: x, Y: r3.Cross(z, x), Z: z}
}

// turn returns the cosine and sine of joint angle q with the phase of l added.
func (l *link) turn(q float64) (c, s float64) {
	sq, cq := sincos(q)
	return cq*l.cosPhase - sq*l.sinPhase, sq*l.cosPhase + cq*l.sinPhase
}

// turns writes the cosines and sines of joint angles with the phases of their links added.
func turns(links []link, q []float64, turns []direction) {
	for i := range links {
		s, c := sincos(q[i])
		l, t := &links[i], &turns[i]
		t.cos, t.sin = c*l.cosPhase-s*l.sinPhase, s*l.cosPhase+c*l.sinPhase
	}
}

// joint returns the joint angle in (−π, π] whose turn, phase added, has cosine c and sine s.
func (l *link) joint(c, s float64) float64 {
	return direction{c*l.cosPhase + s*l.sinPhase, s*l.cosPhase - c*l.sinPhase}.angle()
}

// aboutZ returns v turned about Z by the angle with cosine c and sine s.
func aboutZ(c, s float64, v r3.Vec) r3.Vec {
	return r3.Vec{X: c*v.X - s*v.Y, Y: s*v.X + c*v.Y, Z: v.Z}
}

// aboutX returns v turned about X by the angle with cosine c and sine s.
func aboutX(c, s float64, v r3.Vec) r3.Vec {
	return r3.Vec{X: v.X, Y: c*v.Y - s*v.Z, Z: s*v.Y + c*v.Z}
}

// aboutXQuarter returns v turned about X by a quarter turn with this sine, 1 or −1.
func aboutXQuarter(s float64, v r3.Vec) r3.Vec { return r3.Vec{X: v.X, Y: -s * v.Z, Z: s * v.Y} }

// unturned returns v as it is seen from behind the link, whose joint turned so.
func (l *link) unturned(turn direction, v r3.Vec) r3.Vec {
	return aboutX(l.cosTwist, -l.sinTwist, aboutZ(turn.cos, -turn.sin, v))
}

// unturned returns r as it is seen from a frame that turned about Z and then twisted about X, by the angles with
// these cosines and sines.
func (r *Rotation) unturned(cosTurn, sinTurn, cosTwist, sinTwist float64) (u Rotation) {
	u.X = aboutX(cosTwist, -sinTwist, aboutZ(cosTurn, -sinTurn, r.X))
	u.Y = aboutX(cosTwist, -sinTwist, aboutZ(cosTurn, -sinTurn, r.Y))
	u.Z = aboutX(cosTwist, -sinTwist, aboutZ(cosTurn, -sinTurn, r.Z))
	return u
}

// besideAxis is a distance in mm of the wrist centre from axis 1 below which joint 1 is steadied.
const besideAxis = 1.0

// steadied returns the turn of a joint as much nearer to that of joint angle near as a tenth of the accuracy of a solution allows
// for a point that it carries r mm from its axis. Next to the axis that is much, and the last digits of the target
// would decide how the joint turns.
func (l *link) steadied(turn direction, r, near float64) direction {
	const slack = positionTolerance / 10
	off := near - l.joint(turn.cos, turn.sin)
	off -= turnsOff(off, 0)
	if most := slack / r; most < 0.1 {
		off = math.Copysign(min(math.Abs(off), most), off)
	} else if math.Abs(off) > 0.1 {
		return turn // it is another side's
	}
	sin, cos := math.Sincos(off)
	return turn.times(direction{cos, sin})
}
