package jog

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
)

// explain turns what blocks the path where the lookout is into a Stop. Length is of the stretch beyond that was tried,
// and q, if not nil, where it led.
func (d *Drive) explain(why block, length float64, q *kinematics.Joints) Stop {
	a := &d.ahead
	switch why {
	case tooNear:
		s := Stop{Reason: Contact, SetDistance: d.setup.SetDistance, Began: a.s == 0}
		if d.setup.SetDistance > 0 && a.breach.floor >= 0 {
			s.Reason = SetDistance
		}
		s.Touch = d.setup.Scene.Pair(d.setup.Arm.Links(a.q), a.breach.pair)
		return s
	case atLimit:
		j := d.setup.Arm.Joints[a.which]
		limit := j.Max
		if math.Abs(a.q[a.which]-j.Min) < math.Abs(a.q[a.which]-j.Max) {
			limit = j.Min
		}
		return Stop{Reason: JointLimit, Joint: a.which, Limit: limit}
	}
	// What the next tick at the chosen speed would need says more than the short stretch that was tried.
	over := math.Max(d.limits.speed*Tick, length)
	if rest := d.path.jog.Amount - a.s; over > rest {
		over = rest
	}
	s := Stop{Reason: Singularity, Over: over}
	next, found := d.path.jointsAt(d.setup.Arm, a.s+over, &a.q)
	if !found {
		next, found = d.elsewhere(over)
	} else if why == tooFar {
		found = false
	}
	if !found {
		// Joints race on the last stretch to where the arm is straight; that is the end of its reach all the same.
		return Stop{Reason: OutOfReach, Short: d.short(over)}
	}
	s.race(d, &next)
	if s.Needed <= s.Allowed && q != nil {
		s.Over = length
		s.race(d, q)
	}
	s.AtOnce = d.leaps(&s)
	near := d.setup.Arm.Singularity(a.q, d.setup.Tool.TCP)
	s.Kind, s.Wrist, s.InLine = near.Kind, a.q[4], d.wristInLine()
	return s
}

// race names the joint that would have to be quickest on the way to next.
func (s *Stop) race(d *Drive, next *kinematics.Joints) {
	worst := -1.0
	for i, j := range d.setup.Arm.Joints {
		turn := math.Abs(next[i] - d.ahead.q[i])
		if turn/j.Speed > worst {
			worst = turn / j.Speed
			s.Joint, s.Turn, s.Allowed = i, turn, j.Speed
		}
	}
	s.Needed = s.Turn / s.Over * d.limits.speed
}

// leaps reports whether the joint would have to turn at once, as far on a thousandth of that much of the path as on all of
// it. Then no path speed is low enough, and how fast it would be says only how long a tick is.
func (d *Drive) leaps(s *Stop) bool {
	near := s.Over / 1000
	next, found := d.path.jointsAt(d.setup.Arm, d.ahead.s+near, &d.ahead.q)
	if !found {
		next, found = d.elsewhere(near)
	}
	return found && math.Abs(next[s.Joint]-d.ahead.q[s.Joint]) > s.Turn/2
}

// wristInLine reports whether joint 6 sits on the axis of joint 4, to 0.1 mm, so that the two axes lie in one line
// where they are parallel. On an arm whose wrist is offset they can only be parallel.
func (d *Drive) wristInLine() bool {
	links, joints := d.setup.Arm.Links(d.ahead.q), d.setup.Arm.Joints
	axis := links[4].Rotation.Apply(joints[3].Axis)
	apart := r3.Sub(links[6].Apply(joints[5].At), links[4].Apply(joints[3].At))
	return r3.Norm(r3.Cross(axis, apart)) < 0.1
}

// elsewhere looks for joint angles that put the TCP further along although none are close by. Only a leap to them would
// do it: the arm stands where its ways part.
func (d *Drive) elsewhere(over float64) (nearest kinematics.Joints, found bool) {
	var store [16]kinematics.Solution
	target := d.path.tcp(d.ahead.s + over).Mul(d.path.toolInv)
	distance := math.Inf(1)
	for _, s := range d.setup.Arm.Inverse(store[:0], target, d.ahead.q) {
		if s.Distance < distance {
			nearest, distance = s.Joints, s.Distance
		}
	}
	return nearest, !math.IsInf(distance, 1)
}

// lookAhead is how far beyond the stop a held jog is taken to want to go: 10 mm, or 10°.
func (j Jog) lookAhead() float64 {
	if j.Straight() {
		return 10
	}
	return kinematics.Radians(10)
}

// short returns how many mm the arm is too short for the rest of the jog.
func (d *Drive) short(over float64) float64 {
	rest := d.path.jog.Amount - d.ahead.s
	if d.path.jog.Held() {
		rest = d.path.jog.lookAhead()
	}
	return d.setup.Arm.OutOfReach(d.path.tcp(d.ahead.s+math.Max(rest, over)).Mul(d.path.toolInv), d.ahead.q)
}
