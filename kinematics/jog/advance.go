package jog

import (
	"math"

	"handrule/kinematics"
)

const (
	// looksPerTick is how many stretches a tick looks along at most, and stepsPerTick after how many steps of iteration it leaves off.
	// Where that is not enough the arm goes slower, or waits where it stands.
	looksPerTick, stepsPerTick = 64, 400

	// snap, mm or rad, is what rounding may leave between the place where the arm comes to rest and the one where it
	// was to stand; it is then set there.
	snap = 1e-8

	// noRoom, mm or degrees, is less room than is told as any.
	noRoom = 0.05

	// rounding, mm or rad, or as a part of a longer path, is how far before its end it counts as looked along. Where the arm is singular there,
	// rounding can keep the last bit of the path out of reach for ever.
	rounding = 1e-15
)

// choose returns the moment one tick on, and the stop that comes with it, its Reason empty while the jog goes on.
//
// The arm goes as quickly as its limits allow, as long as from the next tick on it can still brake for everything
// that has been found ahead: the end of the step, the place where the path is blocked, every stretch that has to be gone
// slowly, and where it has looked to. Braking stays possible for as long as it is begun in time, so there is always a
// way to go on that keeps to the bounds on acceleration and jerk. What comes of it is the double-S profile, its
// switches on ticks. Contact is the one end that is not braked for.
func (d *Drive) choose(m *motion) (next moment, ends Stop) {
	a, l := &m.ahead, m.limits
	if m.halted {
		d.Slowed = NotSlowed
		a.lookFor(m.path.steps + stepsPerTick)
		return moment{s: d.now.s}, a.stop
	}
	d.Slowed = m.capped
	toRest := l.ramp(d.now, 0)
	if m.braking != "" {
		d.Slowed = NotSlowed
		next = toRest.after(Tick)
		end := m.rest + m.noRoom()
		m.look(end)
		if toRest.time() <= Tick {
			next, ends = moment{s: m.rest}, Stop{Reason: m.braking}
			// Who held it could not have gone on, so what blocks the path is the reason. Contact is none that was not reached.
			if a.closed && a.s < end && a.stop.Reason != Contact {
				ends, m.halted = a.stop, true
			}
		}
		return m.hit(next, ends)
	}
	r := l.ramp(d.now, m.pace)
	next = r.after(Tick)
	need, _ := l.stopping(next)
	m.look(next.s + need)
	last, final := a.s, a.closed || m.path.jog.Amount-a.s <= rounding*math.Max(1, a.s)
	if a.closed && a.stop.Reason == Contact {
		last, final = math.Inf(1), false
	}
	if m.bound < last {
		last, final = m.bound, false
	}
	end := d.now.s + toRest.length()
	switch arrives := toRest.time() <= Tick && last-end < snap; {
	case arrives && last == m.bound:
		// It waits: at the bound, or as near to one that was drawn in too late as it could stop.
		if end-last < snap {
			end = math.Max(last, d.now.s)
		}
		d.Slowed = NotSlowed
		return m.hit(moment{s: end}, ends)
	case arrives && final:
		ends = a.stop
		if !a.closed {
			ends.Reason, last = Done, m.path.jog.Amount
		}
		return moment{s: math.Max(last, d.now.s)}, ends // rounding must not take it back
	}
	brake := toRest.after(Tick)
	quick, part := next, 1.0
	inTime := func(then moment) float64 { // by how much, mm or rad; negative where braking would begin too late
		distance, _ := l.stopping(then)
		return last - (then.s + distance)
	}
	if spare := last - (next.s + need); spare < 0 {
		part = largestRoot(spare, func(p float64) float64 { return inTime(brake.between(quick, p)) })
		next = brake.between(quick, part)
	}
	for k := range m.plan.kept {
		slow := &m.plan.slows[(m.plan.first+k)%slowsKept]
		slowly := func(then moment) bool {
			if then.s >= slow.from {
				return then.v+math.Max(then.a, 0)*then.a/(2*l.jerk) <= slow.speed
			}
			return l.canSlow(then, slow.from, slow.speed)
		}
		if !slowly(next) {
			part = largest(part, func(p float64) bool { return slowly(brake.between(quick, p)) })
			next = brake.between(quick, part)
			d.Slowed = slow.by
		}
	}
	return m.hit(next, ends)
}

// look looks along the path up to a place, or as far as a tick has time for.
func (m *motion) look(to float64) {
	for look, steps := 0, m.path.steps+stepsPerTick; look < looksPerTick && m.path.steps <= steps && m.ahead.s < to && m.ahead.lookFor(steps); look++ {
	}
}

// noRoom is less room on the path, mm or rad, than is told as any.
func (m *motion) noRoom() float64 {
	if m.path.jog.Straight() {
		return noRoom
	}
	return kinematics.Radians(noRoom)
}

// hit ends the motion where the arm touches something, if that is before the next moment.
func (m *motion) hit(next moment, ends Stop) (moment, Stop) {
	a := &m.ahead
	if a.closed && a.stop.Reason == Contact && next.s >= a.s {
		return moment{s: a.s}, a.stop
	}
	return next, ends
}

// largest returns the largest part of 0 to most that is good, where every smaller part is too; 0 where none is.
func largest(most float64, good func(part float64) bool) float64 {
	low, high := 0.0, most
	for range 45 {
		if mid := (low + high) / 2; good(mid) {
			low = mid
		} else {
			high = mid
		}
	}
	return low
}

// largestRoot returns the largest part of 0 to 1 at which the spare is not negative, where it falls all the way and is negative
// at 1; 0 where it is negative everywhere. It is found by the secant method with one end of the bracket damped
// (the Illinois algorithm; Dowell and Jarratt, BIT 11, 1971).
func largestRoot(atOne float64, spare func(part float64) float64) float64 {
	low, high, above, below := 0.0, 1.0, spare(0), atOne
	if !(above >= 0) {
		return 0
	}
	side := 0 // on which the last place was
	for range 45 {
		if above <= 1e-15 || high-low < 1e-14 {
			break
		}
		at := low + (high-low)*above/(above-below)
		if !(at > low && at < high) {
			at = (low + high) / 2
		}
		if s := spare(at); s >= 0 {
			if low, above = at, s; side > 0 {
				below /= 2
			}
			side = 1
		} else {
			if high, below = at, s; side < 0 {
				above /= 2
			}
			side = -1
		}
	}
	return low
}

// follow returns the joint angles at the next moment. The path has been looked along, so as a rule they are good. Where
// it was not finely enough, and a joint would be too fast, it shortens the tick; where a joint would be beyond its
// limit or something would be touched, it ends the jog before that.
func (d *Drive) follow(m *motion, next *moment, ends *Stop) kinematics.Joints {
	at := d.tickTo(m, next.s)
	whole := next.s - d.now.s
	for try := 0; at.ratio > 1+1e-9 && try < 20; try++ {
		// The joints move nearly in proportion, so aim just below their highest speed.
		next.s = d.now.s + (next.s-d.now.s)*0.999/at.ratio
		d.Slowed, *ends = at.quickest, Stop{}
		at = d.tickTo(m, next.s)
	}
	if part := next.s - d.now.s; part < whole {
		// No faster than was planned, so that braking is still in time.
		next.v = math.Min(next.v, part/Tick)
		next.a = math.Max(math.Min(next.a, 0), -math.Sqrt(2*m.limits.jerk*next.v))
		if at.ratio > 1+1e-9 || part < slowest*whole && m.path.known == nil {
			if part <= 0 {
				part = whole
			}
			*next = moment{s: d.now.s}
			*ends = m.halt(d.now.s, &d.q, tooQuick, part, &at.q)
			return d.q
		}
	}
	if d.within(m, &at, next.s) {
		return at.q
	}
	why, last := atLimit, state{q: d.q}
	for low, high := d.now.s, next.s; ; {
		if at.beyond < 0 {
			why = tooNear
		} else {
			m.ahead.which = at.beyond
		}
		if next.s = low; high-low < resolution {
			break
		}
		mid := (low + high) / 2
		if there := d.tickTo(m, mid); d.within(m, &there, mid) {
			low, last = mid, there
		} else {
			high, at = mid, there
		}
	}
	*next = moment{s: next.s}
	*ends = m.halt(next.s, &last.q, why, resolution, nil)
	return last.q
}

// halt has the arm stand at s, where its path turned out to be blocked; length and to are as in block. It returns the stop; its Reason
// is empty where it has to be worked out yet.
func (m *motion) halt(s float64, q *kinematics.Joints, why block, length float64, to *kinematics.Joints) Stop {
	a := &m.ahead
	a.s, a.q = s, *q
	a.block(why, length, to)
	m.halted = true
	return a.stop
}

// state is that of the arm at the place where it would be one tick on.
type state struct {
	q        kinematics.Joints
	ratio    float64 // how much faster than it can a joint would have to be,
	quickest int     // which one,
	beyond   int     // and which would be beyond its limit, or -1
}

// tickTo returns what is at the place s.
func (d *Drive) tickTo(m *motion, s float64) state {
	if s == d.now.s {
		return state{q: d.q, beyond: -1}
	}
	at := state{q: m.ahead.q, beyond: -1}
	if s != m.ahead.s {
		near, exact := m.plan.between(s)
		if at.q = near; !exact {
			var found bool
			if at.q, found = m.path.jointsNear(d.setup.Arm, s, &near, &near); !found {
				return state{q: d.q, ratio: math.Inf(1), beyond: -1}
			}
		}
	}
	at.beyond, _ = m.path.onLimits(d.setup, s, &at.q, &d.q)
	for i := range at.q {
		j := &d.setup.Arm.Joints[i]
		if r := math.Abs(at.q[i]-d.q[i]) / (j.Speed * Tick); r > at.ratio {
			at.ratio, at.quickest = r, i
		}
	}
	return at
}

// within reports whether the arm may be at that place.
func (d *Drive) within(m *motion, at *state, s float64) bool {
	if at.beyond >= 0 {
		return false
	}
	a := &m.ahead
	f := &a.floors
	if d.setup.Scene == nil || s > a.close && f.n == 0 {
		return true
	}
	d.setup.Arm.PutLinks(&at.q, &a.links)
	a.bodies.Put(&a.links)
	var g gaps
	if s > a.close {
		f.measureNear(a.bodies, &g)
	} else {
		f.measure(a.bodies, &g)
	}
	b, short := f.shortfall(&g, s)
	if short {
		a.shortfall = b
	}
	return !short
}
