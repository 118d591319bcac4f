package jog

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
)

// explain turns what blocks the path where the lookout is into a Stop: a joint limit, or something that is too near. What else
// there is takes longer, see explanation.
func (a *lookout) explain(why block) Stop {
	if why == tooNear {
		s := Stop{Reason: Contact, SetDistance: a.setup.SetDistance, Began: a.s == 0}
		if a.setup.SetDistance > 0 && a.shortfall.floor >= 0 {
			s.Reason = SetDistance
		}
		s.Touch = a.setup.Scene.Pair(a.setup.Arm.Links(a.q), a.shortfall.pair)
		return s
	}
	j := a.setup.Arm.Joints[a.which]
	limit := j.Max
	if math.Abs(a.q[a.which]-j.Min) < math.Abs(a.q[a.which]-j.Max) {
		limit = j.Min
	}
	return Stop{Reason: JointLimit, Joint: a.which, Limit: limit}
}

// explanation is a Stop in the making: a singularity or the end of reach, which depends on how the arm can stand further on. On an arm
// without a closed form it takes long to look for all ways to stand. So it is made in pieces, counted in steps of iteration like the
// look ahead, while the arm comes to rest or stands.
type explanation struct {
	step func(*explanation, *lookout) (steps int, done bool) // what is to be done next
	stop Stop

	length float64           // of the stretch beyond that was tried,
	q      kinematics.Joints // where it led,
	led    bool              // if it led anywhere
	next   kinematics.Joints // where the next tick leads

	close   kinematics.Joints // where the way leads close by,
	isClose bool              // if that was looked for

	onward   onward
	shortage *kinematics.Shortage
}

// clone returns an explanation that is as far as this one and goes its own way.
func (e *explanation) clone() *explanation {
	if e == nil {
		return nil
	}
	c := *e
	if e.onward.inquiry != nil {
		c.onward.inquiry = e.onward.inquiry.Clone()
	}
	if e.shortage != nil {
		c.shortage = e.shortage.Clone()
	}
	return &c
}

// newExplanation begins to explain what blocks the path where the lookout is. Length is of the stretch beyond that was tried, and q, if
// not nil, where it led.
func (a *lookout) newExplanation(length float64, q *kinematics.Joints) *explanation {
	e := &explanation{length: length, step: (*explanation).lookOn}
	if q != nil {
		e.q, e.led = *q, true
	}
	// What the next tick at the chosen speed would need says more than the short stretch that was tried.
	over := math.Max(a.speed*Tick, length)
	if rest := a.path.jog.Amount - a.s; over > rest {
		over = rest
	}
	e.stop = Stop{Reason: Singularity, Over: over}
	e.onward.turnTo(over)
	return e
}

// lookOn looks how the arm can stand after the next tick.
func (e *explanation) lookOn(a *lookout) (steps int, done bool) {
	steps, done = e.onward.look(a)
	switch {
	case !done:
	case !e.onward.found:
		e.step = (*explanation).measure
	case e.stop.Over > beyondReach:
		// Joints race on the last stretch to where the arm is straight; that is the end of its reach all the same, and also where
		// the path comes back into reach within a tick.
		e.next = e.onward.nearest
		e.onward.turnTo(beyondReach)
		e.step = (*explanation).lookClose
	default:
		e.next = e.onward.nearest
		e.race(a)
	}
	return steps, false
}

// lookClose looks whether it can stand close by.
func (e *explanation) lookClose(a *lookout) (steps int, done bool) {
	steps, done = e.onward.look(a)
	switch {
	case !done:
	case e.onward.found:
		e.close, e.isClose = e.onward.nearest, true
		e.race(a)
	default:
		e.step = (*explanation).measure
	}
	return steps, false
}

// race names the joint that would have to be quickest on the way.
func (e *explanation) race(a *lookout) {
	s := &e.stop
	s.race(a, &e.next)
	if s.Needed <= s.Allowed && e.led {
		s.Over = e.length
		s.race(a, &e.q)
	}
	if s.Needed <= s.Allowed && e.isClose {
		// The way may end and begin again within the tick.
		if close := (Stop{Over: beyondReach}); close.race(a, &e.close) {
			s.Over = beyondReach
			s.race(a, &e.close)
		}
	}
	e.onward.turnTo(s.Over / 1000)
	e.step = (*explanation).leap
}

// leap looks whether that joint would have to turn at once, as far on a thousandth of that much of the path as on all of
// it. Then no path speed is low enough, and how fast it would be says only how long a tick is.
func (e *explanation) leap(a *lookout) (steps int, done bool) {
	if steps, done = e.onward.look(a); done {
		s := &e.stop
		s.AtOnce = e.onward.found && math.Abs(e.onward.nearest[s.Joint]-a.q[s.Joint]) > s.Turn/2
		if !s.AtOnce && s.Needed <= s.Allowed {
			e.stop = Stop{Reason: Uncomputed} // no joint races, and yet the way could not be looked along
			return steps, done
		}
		near := a.setup.Arm.Singularity(a.q, a.setup.Tool.TCP)
		s.Kind, s.Wrist, s.InLine = near.Kind, a.q[4], a.wristInLine()
	}
	return steps, done
}

// measure measures how many mm the arm is too short for the rest of the jog, where that is wanted.
func (e *explanation) measure(a *lookout) (steps int, done bool) {
	switch {
	case e.onward.ranOut:
		e.stop = Stop{Reason: Uncomputed} // nobody knows that there is no way to stand
		return 0, true
	case a.unmeasured:
		e.stop = Stop{Reason: OutOfReach}
		return 0, true
	case e.shortage == nil:
		rest := a.path.jog.Amount - a.s
		if a.path.jog.Held() {
			rest = a.path.jog.lookAhead()
		}
		e.shortage = a.setup.Arm.Shortage(a.path.tcp(a.s+math.Max(rest, e.stop.Over)).Mul(a.path.toolInv), a.q)
	}
	if steps, done = e.shortage.Advance(); done {
		e.stop = Stop{Reason: OutOfReach, Short: e.shortage.Short()}
	}
	return steps, done
}

// beyondReach in mm or rad is how far beyond the place where the arm stands it has to be out of reach for that to be told.
const beyondReach = 1e-5

// onward looks for joint angles that put the TCP so much further along than where the lookout is, close by or elsewhere. Where none
// are close by, only a leap to others would do it: the arm stands where its ways part. All ways to stand are looked for only
// where none that is known already leads there, because that takes long on an arm without a closed form.
type onward struct {
	over    float64
	begun   bool
	tried   int // how many of the known ways to stand
	inquiry *kinematics.Inquiry

	known  []kinematics.Solution // that were found somewhere further along
	ranOut bool                  // it came to the bound of its work before all were looked for

	nearest kinematics.Joints
	least   float64 // how far that is
	found   bool
}

// turnTo turns to another place.
func (o *onward) turnTo(over float64) {
	o.over, o.begun, o.tried, o.inquiry, o.ranOut, o.least, o.found = over, false, 0, nil, false, math.Inf(1), false
}

// look makes the next piece of it. It returns how many steps of iteration that took, and reports whether the answer is known.
func (o *onward) look(a *lookout) (steps int, done bool) {
	arm := a.setup.Arm
	target := a.path.tcp(a.s + o.over).Mul(a.path.toolInv)
	switch {
	case !o.begun:
		o.begun = true
		before := a.path.steps
		o.nearest, o.found = a.path.jointsAt(arm, a.s+o.over, &a.q)
		steps, a.path.steps = a.path.steps-before, before
		return steps, o.found
	case o.tried < len(o.known):
		s := &o.known[o.tried]
		o.tried++
		q, steps, ok := arm.Follow(target, s.Joints, s.Joints)
		if far := farthestTurn(&q, &a.q); ok && far < o.least {
			o.nearest, o.least, o.found = q, far, true
		}
		return steps, o.found && o.tried == len(o.known)
	case o.inquiry == nil:
		o.inquiry = arm.Inquire(target, a.q)
	}
	if steps, done = o.inquiry.Advance(); done {
		o.known, o.ranOut = o.inquiry.Solutions(), o.inquiry.RanOut()
		for _, s := range o.known {
			if s.Distance < o.least {
				o.nearest, o.least, o.found = s.Joints, s.Distance, true
			}
		}
	}
	return steps, done
}

// race names the joint that would have to be quickest on the way to next, and reports whether it would be quicker than it can.
func (s *Stop) race(a *lookout, next *kinematics.Joints) bool {
	worst := -1.0
	for i, j := range a.setup.Arm.Joints {
		turn := math.Abs(next[i] - a.q[i])
		if turn/j.Speed > worst {
			worst = turn / j.Speed
			s.Joint, s.Turn, s.Allowed = i, turn, j.Speed
		}
	}
	s.Needed = s.Turn / s.Over * a.speed
	return s.Needed > s.Allowed
}

// wristInLine reports whether joint 6 sits on the axis of joint 4, to 0.1 mm, so that the two axes lie in one line
// where they are parallel. On an arm whose wrist is offset they can only be parallel.
func (a *lookout) wristInLine() bool {
	links, joints := a.setup.Arm.Links(a.q), a.setup.Arm.Joints
	axis := links[4].Rotation.Apply(joints[3].Axis)
	apart := r3.Sub(links[6].Apply(joints[5].At), links[4].Apply(joints[3].At))
	return r3.Norm(r3.Cross(axis, apart)) < 0.1
}

// lookAhead is how far beyond the stop a held jog is taken to want to go: 10 mm, or 10°.
func (j Jog) lookAhead() float64 {
	if j.Straight() {
		return 10
	}
	return kinematics.Radians(10)
}
