package kinematics

import "math"

// fourBar is what an arm with parallel axes 2, 3 and 4 can still do where axis 6 is parallel to them too and its flange is held: joints
// 1 and 5 stay, and in the plane square to the four axes upper arm, forearm and hand, in a row from axis 2, have to end on axis 6. So
// it is three links and a ground, in which one angle is free (Norton, Design of Machinery, ch. 4; from memory). Where the ground is as
// long as the three links together, or one link as long as all the rest, it closes in one way only, and where it is longer in none.
//
// The angles of the links are those from the X axis of the plane in the sense of axis 2. Those of joints 2, 3 and 4 are their differences,
// but for senses and phases, and joint 6 takes up what the last link turns.
type fourBar struct {
	length   [3]float64 // mm, of upper arm, forearm and hand
	x, y     float64    // axis 6
	ground   float64    // its distance from axis 2
	closings int        // of Newton's that closed has taken
}

// bar is a way in which a fourBar closes, or nearly does: the angles of its links, rad.
type bar [3]float64

// slack returns by how many mm the longest of the four is shorter than the others together. Where that is less than zero it does not close.
func (f *fourBar) slack() float64 {
	sum, most := f.ground, f.ground
	for _, l := range f.length {
		sum, most = sum+l, max(most, l)
	}
	return sum - 2*most
}

// straight returns the one way to close where there is no slack: all in one line.
func (f *fourBar) straight() (b bar, ok bool) {
	way := math.Atan2(f.y, f.x)
	b = bar{way, way, way}
	for i, l := range f.length {
		if l > f.ground {
			b = bar{way + math.Pi, way + math.Pi, way + math.Pi}
			b[i] = way
			break
		}
	}
	return b, f.ground > meetTolerance
}

// beside returns a way to close near to b: with the hand as there or, where it cannot be, as near to that as it can, and the elbow on
// the same side.
func (f *fourBar) beside(b bar) (bar, bool) {
	hand, way := f.length[2], math.Atan2(f.y, f.x)
	turn := b[2] - way
	turn -= turnsOff(turn, 0)
	t := triangle{f.length[0], f.length[1]}
	if both := 2 * f.ground * hand; both > 0 {
		square := f.ground*f.ground + hand*hand
		least, most := (square-(t.upper+t.fore)*(t.upper+t.fore))/both, (square-(t.upper-t.fore)*(t.upper-t.fore))/both
		if cos := math.Cos(turn); cos < least || cos > most {
			turn = math.Copysign(math.Acos(max(-1, min(1, max(least, min(most, cos))))), turn)
		}
	}
	sin, cos := sincos(way + turn)
	x, y := f.x-hand*cos, f.y-hand*sin
	distance := hypot(x, y)
	cosBend, sinBend, ok := t.bend(distance)
	if !ok || distance < meetTolerance {
		return b, false
	}
	bend := math.Copysign(math.Atan2(sinBend, cosBend), math.Sin(b[1]-b[0]))
	upper := math.Atan2(y, x) - math.Atan2(t.fore*math.Sin(bend), t.upper+t.fore*math.Cos(bend))
	to := bar{upper, upper + bend, way + turn}
	for i := range to {
		to[i] -= turnsOff(to[i], b[i])
	}
	return f.closed(to)
}

// miss returns where the links end less where they have to, and how that moves for every rad that a link turns.
func (f *fourBar) miss(b *bar) (x, y float64, byX, byY [3]float64) {
	x, y = -f.x, -f.y
	for i, l := range f.length {
		sin, cos := sincos(b[i])
		x, y = x+l*cos, y+l*sin
		byX[i], byY[i] = -l*sin, l*cos
	}
	return x, y, byX, byY
}

// spreadOver returns how the links turn where these forces on them turn the joints, all four as easily: joints 2, 3 and 4 turn by what
// one link turns more than the one before, and joint 6 by what the last does. Steps in such directions take the least joint motion.
func spreadOver(force *[3]float64) bar {
	a, b, c := force[0], force[1], force[2]
	return bar{(3*a + 2*b + c) / 4, (a + 2*b + c) / 2, (a + 2*b + 3*c) / 4}
}

// closed closes a fourBar that nearly is, by Newton's steps of least joint motion. It reports false where they do not lead there.
func (f *fourBar) closed(b bar) (bar, bool) {
	enough := 1e-15 * (f.ground + f.length[0] + f.length[1] + f.length[2])
	before := math.Inf(1)
	for range mostClosing {
		if f.closings == allClosing {
			return b, false
		}
		f.closings++
		x, y, byX, byY := f.miss(&b)
		size := hypot(x, y)
		if size < enough {
			return b, true
		}
		if !(size < before) { // rounding
			return b, before < 16*enough
		}
		before = size
		overX, overY := spreadOver(&byX), spreadOver(&byY)
		var xx, xy, yy float64
		for i := range b {
			xx, xy, yy = xx+byX[i]*overX[i], xy+byX[i]*overY[i], yy+byY[i]*overY[i]
		}
		det := xx*yy - xy*xy
		p, q := (x*yy-y*xy)/det, (y*xx-x*xy)/det
		most := 0.0
		for i := range b {
			step := p*overX[i] + q*overY[i]
			b[i] -= step
			most = max(most, math.Abs(step))
		}
		if !(most < 1) {
			break
		}
	}
	return b, false
}

const (
	mostClosing     = 12  // of Newton's steps that closed takes at most,
	allClosing      = 400 // and that one fourBar takes in all
	closingsPerStep = 4   // so many take as long as one by all of an arm's joints
)

// joints returns how the four joints turn where the links do.
func (on *bar) joints() [4]float64 { return [4]float64{on[0], on[1] - on[0], on[2] - on[1], -on[2]} }

// onward returns how the links turn together, per rad that the joints go (all four taken together), in the direction nearest to before, and
// how far they can go about so: the straighter the links, the sooner the way bends.
func (f *fourBar) onward(b, before *bar) (on bar, reach float64, ok bool) {
	l := &f.length
	on = bar{l[1] * l[2] * math.Sin(b[2]-b[1]), l[2] * l[0] * math.Sin(b[0]-b[2]), l[0] * l[1] * math.Sin(b[1]-b[0])}
	size, along := 0.0, 0.0
	old := before.joints()
	for i, x := range on.joints() {
		size, along = size+x*x, along+x*old[i]
	}
	size = math.Sqrt(size)
	for i := range on {
		on[i] *= math.Copysign(1/size, along)
	}
	return on, size / max(l[1]*l[2], l[2]*l[0], l[0]*l[1]) / 4, math.Abs(along) > mostSettlingTurn*size
}

// towards goes along the ways to close, from b on, to the one nearest to home in joints 2, 3 and 4: the same as settle does by all of an
// arm's joints. It takes at most settlingSteps.
func (f *fourBar) towards(b, home bar) (bar, bool) {
	on, reach, _ := f.onward(&b, &bar{1, 1, 1})
	if !(reach > 0) {
		return b, false
	}
	most := settlingStep
	descend(f.wayAlong(&on, &b, &home), func(step float64) (gone, way float64) {
		step = math.Copysign(min(math.Abs(step), most), step)
		for n := range 6 {
			if n == 3 { // it bends as sharply as it may
				step = math.Copysign(min(math.Abs(step), reach), step)
			}
			next := b
			for i := range next {
				next[i] += step * on[i]
			}
			if next, ok := f.closed(next); ok {
				var d bar
				for i := range d {
					d[i] = next[i] - b[i]
				}
				far := 0.0
				for _, x := range d.joints() {
					far += x * x
				}
				if then, farther, ok := f.onward(&next, &on); ok && far < 4*step*step {
					b, on, reach, most = next, then, farther, max(4*math.Abs(step), farther)
					return step, f.wayAlong(&on, &b, &home)
				}
			}
			step /= 4
		}
		return 0, 0
	})
	return b, true
}

// wayAlong is that of an Arm.
func (f *fourBar) wayAlong(on, b, home *bar) float64 {
	along, size := 0.0, 1e-30
	turns, to, from := on.joints(), home.joints(), b.joints()
	for i, v := range turns[:3] {
		way := to[i] - from[i]
		along += v * (way - turnsOff(way, 0))
		size += v * v
	}
	return along / size
}

// fourBar returns what is left of the arm where it is one.
func (p *parallelArm) fourBar(in *inner) (f fourBar) {
	t := &p.planar.triangle
	x, y := in.whole.cos*in.handX-in.whole.sin*in.handY, in.whole.sin*in.handX+in.whole.cos*in.handY
	f.length = [3]float64{t.upper, t.fore, hypot(x, y)}
	f.x, f.y = in.x+x, in.y+y
	f.ground = hypot(f.x, f.y)
	return f
}

// nearby says what is known of a family near to joint angles.
type nearby int

const (
	unsure  nearby = iota
	reached        // it is there, close by
	outside        // the flange is out of its reach
)

// member returns, of the family of solutions that has joints 1 and 5 in common, the one nearest to home that can be reached from near
// without a leap, as track promises it, and how many steps of iteration that took.
func (p *parallelArm) member(in *inner, o *outer, flange Pose, frame *Rotation, near, home *Joints) (q Joints, steps int, is nearby) {
	f := p.fourBar(in)
	slack := f.slack()
	if slack < -reachSlack {
		return q, 0, outside
	}
	// The last link is turned by so much more than frame 4, and axis 6 points as axis 2 does, or against it.
	lead, sense := math.Atan2(in.handY, in.handX), sign(p.link[0].unturned(o.turn1, frame.Z).Z)
	links := func(q *Joints) (b bar) {
		b[0] = q[1] + p.link[1].phase
		b[1] = b[0] + p.planar.bend(q[2])
		b[2] = b[1] - p.planar.foreAngle + p.sense4*(q[3]+p.link[3].phase) + lead
		return b
	}
	start := links(near)
	joints := func(b *bar) Joints {
		q := Joints{p.link[0].joint(o.turn1.cos, o.turn1.sin), b[0] - p.link[1].phase, p.planar.secondJoint(b[1] - b[0]),
			p.sense4*(b[2]-lead-b[1]+p.planar.foreAngle) - p.link[3].phase, p.link[4].joint(o.turn5.cos, o.turn5.sin), 0}
		turn := b[2] - lead - in.whole.angle()
		q[5] = near[5] - sense*(turn-turnsOff(turn, 0))
		return q
	}
	far := func(b *bar) float64 {
		q := joints(b)
		return farthest(q[:], near[:])
	}
	at, ok := start, false
	if slack < reachSlack {
		at, ok = f.straight()
	} else if at, ok = f.beside(start); ok {
		if at, ok = f.towards(at, start); ok && *home != *near {
			to, ok := f.towards(at, links(home))
			if ok && far(&to) <= far(&at)+smallStep {
				at = to
			}
		}
	}
	if !ok || f.closings == allClosing || !(far(&at) < smallStep) {
		return q, f.closings / closingsPerStep, unsure
	}
	q, steps, ok = p.arm.sharpened(flange, joints(&at))
	if ok && farthest(q[:], near[:]) < smallStep {
		is = reached
	}
	return q, steps + f.closings/closingsPerStep, is
}
