package jog

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
)

// explain turns what blocks the path where the lookout is into a Stop. Length is of the stretch beyond that was tried,
// and q, if not nil, where it led.
func (a *lookout) explain(why block, length float64, q *kinematics.Joints) Stop {
	switch why {
	case tooNear:
		s := Stop{Reason: Contact, SetDistance: a.setup.SetDistance, Began: a.s == 0}
		if a.setup.SetDistance > 0 && a.shortfall.floor >= 0 {
			s.Reason = SetDistance
		}
		s.Touch = a.setup.Scene.Pair(a.setup.Arm.Links(a.q), a.shortfall.pair)
		return s
	case atLimit:
		j := a.setup.Arm.Joints[a.which]
		limit := j.Max
		if math.Abs(a.q[a.which]-j.Min) < math.Abs(a.q[a.which]-j.Max) {
			limit = j.Min
		}
		return Stop{Reason: JointLimit, Joint: a.which, Limit: limit}
	}
	// What the next tick at the chosen speed would need says more than the short stretch that was tried.
	over := math.Max(a.speed*Tick, length)
	if rest := a.path.jog.Amount - a.s; over > rest {
		over = rest
	}
	s := Stop{Reason: Singularity, Over: over}
	next, found := a.further(over)
	if found && over > beyondReach {
		// Joints race on the last stretch to where the arm is straight; that is the end of its reach all the same, and also where
		// the path comes back into reach within a tick.
		_, found = a.further(beyondReach)
	}
	if !found {
		return Stop{Reason: OutOfReach, Short: a.short(over)}
	}
	s.race(a, &next)
	if s.Needed <= s.Allowed && q != nil {
		s.Over = length
		s.race(a, q)
	}
	s.AtOnce = a.leaps(&s)
	near := a.setup.Arm.Singularity(a.q, a.setup.Tool.TCP)
	s.Kind, s.Wrist, s.InLine = near.Kind, a.q[4], a.wristInLine()
	return s
}

// beyondReach in mm or rad is how far beyond the place where the arm stands it has to be out of reach for that to be told.
const beyondReach = 1e-5

// further returns joint angles that put the TCP so much further along, close by or elsewhere, and false where there are none.
func (a *lookout) further(over float64) (kinematics.Joints, bool) {
	if next, found := a.path.jointsAt(a.setup.Arm, a.s+over, &a.q); found {
		return next, true
	}
	return a.elsewhere(over)
}

// race names the joint that would have to be quickest on the way to next.
func (s *Stop) race(a *lookout, next *kinematics.Joints) {
	worst := -1.0
	for i, j := range a.setup.Arm.Joints {
		turn := math.Abs(next[i] - a.q[i])
		if turn/j.Speed > worst {
			worst = turn / j.Speed
			s.Joint, s.Turn, s.Allowed = i, turn, j.Speed
		}
	}
	s.Needed = s.Turn / s.Over * a.speed
}

// leaps reports whether the joint would have to turn at once, as far on a thousandth of that much of the path as on all of
// it. Then no path speed is low enough, and how fast it would be says only how long a tick is.
func (a *lookout) leaps(s *Stop) bool {
	near := s.Over / 1000
	next, found := a.further(near)
	return found && math.Abs(next[s.Joint]-a.q[s.Joint]) > s.Turn/2
}

// wristInLine reports whether joint 6 sits on the axis of joint 4, to 0.1 mm, so that the two axes lie in one line
// where they are parallel. On an arm whose wrist is offset they can only be parallel.
func (a *lookout) wristInLine() bool {
	links, joints := a.setup.Arm.Links(a.q), a.setup.Arm.Joints
	axis := links[4].Rotation.Apply(joints[3].Axis)
	apart := r3.Sub(links[6].Apply(joints[5].At), links[4].Apply(joints[3].At))
	return r3.Norm(r3.Cross(axis, apart)) < 0.1
}

// elsewhere looks for joint angles that put the TCP further along although none are close by. Only a leap to them would
// do it: the arm stands where its ways part.
func (a *lookout) elsewhere(over float64) (nearest kinematics.Joints, found bool) {
	var store [16]kinematics.Solution
	target := a.path.tcp(a.s + over).Mul(a.path.toolInv)
	distance := math.Inf(1)
	for _, s := range a.setup.Arm.Inverse(store[:0], target, a.q) {
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
func (a *lookout) short(over float64) float64 {
	rest := a.path.jog.Amount - a.s
	if a.path.jog.Held() {
		rest = a.path.jog.lookAhead()
	}
	return a.setup.Arm.OutOfReach(a.path.tcp(a.s+math.Max(rest, over)).Mul(a.path.toolInv), a.q)
}
