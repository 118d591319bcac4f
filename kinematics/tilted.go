package kinematics

import (
	"math"
	"slices"
)

// This file sharpens the turns of joints 1 and 5 of a parallelArm where axis 6 is nearly parallel to axes 2, 3 and 4.
// There the conic of joint 1 has two zeros that are nearly one, and their difference, which decides how joint 6 turns, is
// lost in rounding. What is not lost is the tilt of axis 6 from axis 2, as a small vector: it is as long seen from
// joint 1's side as from joint 4's. The difference of the squares of the two lengths keeps its digits.

// tilted is how small the sine of the angle between axes 2 and 6 is where this is worth its while.
const tilted = 1e-2

// tilt is the difference of the squares of the tilt seen from either side, and its derivatives by the turn of joint 1.
type tilt struct{ value, slope, bend float64 }

// sharpenTilted puts the sharp ones in the place of those of the n outers where axis 6 is nearly parallel to axis 2, and
// returns how many there are then.
func (p *parallelArm) sharpenTilted(out *[4]outer, n int, frame *Rotation, sine *linear) int {
	before, count := *out, n
	var done [4]bool
	n = 0
	for i := range count {
		if done[i] = !(p.tiltOf(&before[i], frame) < tilted); done[i] {
			out[n] = before[i]
			n++
		}
	}
	for i := range count {
		if done[i] {
			continue
		}
		o := &before[i]
		for k := i; k < count; k++ {
			done[k] = done[k] || o.beside(&before[k]) < 2*tilted
		}
		var sharp [2]outer
		found := p.besideParallel(&sharp, o, frame, sine)
		same := sameStand
		if found == 2 {
			same = min(same, sharp[0].beside(&sharp[1])/100)
		}
		for k := range found {
			// Of three near to each other two may be found from both sides, and one that is farther away comes by itself.
			if n < len(out) && o.beside(&sharp[k]) < 2*tilted && !slices.ContainsFunc(out[:n], func(other outer) bool { return other.beside(&sharp[k]) < same }) {
				out[n] = sharp[k]
				n++
			}
		}
	}
	return n
}

// beside returns about how far apart in rad the turns of joint 1 are in two ways with joint 5 on the same side; +Inf where it is not.
func (o *outer) beside(other *outer) float64 {
	if o.turn5.cos*other.turn5.cos < 0 {
		return math.Inf(1)
	}
	return hypot(o.turn1.cos-other.turn1.cos, o.turn1.sin-other.turn1.sin)
}

// tiltOf returns the sine of the angle between axes 2 and 6, seen from the side of joint 4 or, where that is more, from joint 1's.
func (p *parallelArm) tiltOf(o *outer, frame *Rotation) float64 {
	first, fourth, fifth := &p.link[0], &p.link[3], &p.link[4]
	axis := first.unturned(o.turn1, frame.Z)
	along := fifth.cosTwist*o.turn5.cos*fourth.sinTwist + fifth.sinTwist*fourth.cosTwist
	return max(hypot(axis.X, axis.Y), hypot(o.turn5.sin*fourth.sinTwist, along))
}

// tiltAt returns the tilt with joint 1 turned so and joint 5 as follows from that, its cosine on this side.
func (p *parallelArm) tiltAt(turn1 direction, side float64, frame *Rotation, sine *linear) (t tilt, turn5 direction) {
	first, fourth, fifth := &p.link[0], &p.link[3], &p.link[4]
	v := aboutZ(turn1.cos, -turn1.sin, frame.Z)
	x, x1, x2 := v.X, v.Y, -v.X
	y, y1, y2 := first.cosTwist*v.Y+first.sinTwist*v.Z, -first.cosTwist*v.X, -first.cosTwist*v.Y
	s, s1 := sine.at(turn1)/p.offset, (sine[1]*turn1.cos-sine[0]*turn1.sin)/p.offset
	s2 := (sine[2] - sine.at(turn1)) / p.offset
	c := side * math.Sqrt(max(0, (1-s)*(1+s)))
	c1 := -s * s1 / c
	c2 := -(s1*s1 + s*s2 + c1*c1) / c
	u, u1, u2 := fourth.sinTwist*s, fourth.sinTwist*s1, fourth.sinTwist*s2
	k := fifth.cosTwist * fourth.sinTwist
	w, w1, w2 := k*c+fifth.sinTwist*fourth.cosTwist, k*c1, k*c2
	return tilt{
		value: (x*x + y*y) - (u*u + w*w),
		slope: 2 * ((x*x1 + y*y1) - (u*u1 + w*w1)),
		bend:  2 * ((x1*x1 + x*x2 + y1*y1 + y*y2) - (u1*u1 + u*u2 + w1*w1 + w*w2)),
	}, direction{c, s}
}

// besideParallel writes the ways to turn joints 1 and 5 near to one at which axes 2 and 6 are nearly parallel.
func (p *parallelArm) besideParallel(out *[2]outer, o *outer, frame *Rotation, sine *linear) (n int) {
	side := sign(o.turn5.cos)
	middle := o.turn1
	for range 4 { // to where the tilt's derivative vanishes, between the zeros
		t, _ := p.tiltAt(middle, side, frame, sine)
		step := -t.slope / t.bend
		if !(math.Abs(step) < 4*tilted) {
			out[0] = *o
			return 1
		}
		middle = middle.turned(step).unit()
	}
	t, turn5 := p.tiltAt(middle, side, frame, sine)
	square := -2 * t.value / t.bend
	if p.tiltOf(&outer{middle, turn5}, frame) < straightWrist && math.Abs(square) < straightWrist*straightWrist || square < 0 && square > -tangentTolerance*tangentTolerance {
		out[0] = outer{middle, turn5}
		return 1
	}
	if !(square > 0) {
		return 0
	}
	for _, way := range [2]float64{math.Sqrt(square), -math.Sqrt(square)} {
		turn1 := middle.turned(way).unit()
		for range 4 {
			t, _ := p.tiltAt(turn1, side, frame, sine)
			step := -t.value / t.slope
			if !(math.Abs(step) < math.Abs(way)/2) {
				break
			}
			turn1 = turn1.turned(step).unit()
		}
		_, turn5 := p.tiltAt(turn1, side, frame, sine)
		out[n] = outer{turn1, turn5}
		n++
	}
	return n
}
