package jog

import "math"

// How quickly the arm gets up to speed along its path, and from speed to rest.
const (
	// PathAccel in mm/s² is the highest acceleration of the TCP along a straight path: about a tenth of gravity. From
	// the reduced speed of 250 mm/s the arm stands within 44 mm and 0.35 s; from 50 mm/s within 3.6 mm. Common practice
	// for jogging by hand, no source: quick enough to obey, gentle enough to watch.
	PathAccel = 1000.0

	// TurnAccel in rad/s² (360°/s²) is the same for turns and for single joints. A joint whose arm file names a lower
	// acceleration keeps to that.
	TurnAccel = 2 * math.Pi

	// RampTime in s is how long the acceleration takes to build up to its highest; the jerk is that acceleration
	// over this time. A tenth of a second is about one swing of a slender arm at 10 Hz, so that it is not set
	// ringing. Common practice, no source.
	RampTime = 0.1
)

// limits bound the motion along a path: speed, acceleration and jerk, per s, s² and s³, of mm or rad.
type limits struct{ speed, accel, jerk float64 }

// moment is where the arm is along its path, how fast it goes and how it accelerates.
type moment struct{ s, v, a float64 }

// ramp is the quickest way from one speed along the path to another that ends with no acceleration: jerk until the
// acceleration is at its peak, the peak held, jerk the other way. It is the acceleration phase of the double-S profile
// of Biagiotti and Melchiorri (Trajectory Planning for Automatic Machines and Robots, 2008, section 3.4, from memory),
// but begun with any acceleration. Without a held peak it has two parts.
type ramp struct {
	from          moment
	jerk          float64 // of the first part, sign included; the third has the opposite
	up, hold, off float64 // s, the length of each part
	to            float64 // the speed at its end
}

// ramp returns the way from that moment to the speed to.
func (l limits) ramp(from moment, to float64) ramp {
	r := ramp{from: from, jerk: l.jerk, to: to}
	// Where the speed would settle if the acceleration were taken off from now on decides which way to go.
	way := 1.0
	if to < from.v+from.a*math.Abs(from.a)/(2*l.jerk) {
		way, r.jerk = -1, -l.jerk
	}
	a, gain := way*from.a, way*(to-from.v)
	peak := math.Max(math.Sqrt(math.Max(l.jerk*gain+a*a/2, 0)), a)
	if peak > l.accel {
		peak = math.Max(l.accel, a)
		r.hold = math.Max((gain-(2*peak*peak-a*a)/(2*l.jerk))/peak, 0)
	}
	r.up, r.off = (peak-a)/l.jerk, peak/l.jerk
	return r
}

// time returns how long the ramp takes in s.
func (r *ramp) time() float64 { return r.up + r.hold + r.off }

// length returns how far along the path it leads, mm or rad.
func (r *ramp) length() float64 {
	m := r.from.under(r.jerk, r.up)
	m = m.under(0, r.hold)
	return m.under(-r.jerk, r.off).s - r.from.s
}

// after returns the moment t seconds into the ramp; beyond its end the speed stays.
func (r *ramp) after(t float64) moment {
	m := r.from
	for _, part := range [3]struct{ jerk, time float64 }{{r.jerk, r.up}, {0, r.hold}, {-r.jerk, r.off}} {
		if t < part.time {
			return m.under(part.jerk, t)
		}
		m = m.under(part.jerk, part.time)
		t -= part.time
	}
	return moment{m.s + r.to*t, r.to, 0}
}

// under returns the moment t seconds later under a constant jerk.
func (m moment) under(jerk, t float64) moment {
	return moment{
		s: m.s + t*(m.v+t*(m.a/2+t*jerk/6)),
		v: m.v + t*(m.a+t*jerk/2),
		a: m.a + t*jerk,
	}
}

// stopping returns how far the arm goes on from that moment when it brakes at once, mm or rad, and for how long, s.
// From a steady speed v this is v·T/2 in the time T = v/a + a/j, or T = 2·√(v/j) where the acceleration a is not
// reached (Biagiotti and Melchiorri, 2008, section 3.4, from memory).
func (l limits) stopping(m moment) (distance, time float64) {
	r := l.ramp(m, 0)
	return r.length(), r.time()
}

// canSlow reports whether the arm, from that moment on, can still be no faster than v once it gets to s.
func (l limits) canSlow(m moment, s, v float64) bool {
	settles := m.v + m.a*math.Abs(m.a)/(2*l.jerk)
	switch {
	case m.v <= v && settles <= v:
		return true
	case m.s >= s:
		return false
	case settles <= v:
		// Braking already more than enough: it only has to be slow in time when the brake is taken off from now on.
		t := (-m.a - math.Sqrt(math.Max(m.a*m.a-2*l.jerk*(m.v-v), 0))) / l.jerk
		return m.under(l.jerk, t).s <= s
	}
	r := l.ramp(m, v)
	return m.s+r.length() <= s
}

// between returns the moment that is the part of the way from m to n. Both are one tick after the same moment, so what
// lies between keeps the same bounds on acceleration and jerk.
func (m moment) between(n moment, part float64) moment {
	return moment{m.s + part*(n.s-m.s), m.v + part*(n.v-m.v), m.a + part*(n.a-m.a)}
}
