package kinematics

import (
	"math"
	"slices"
)

// Inquiry is an Inverse that is made a piece at a time, for whoever may not take long at once: on an arm without a closed form
// all solutions take a thousand times as long as a small step. What comes of it in the end is what Inverse returns.
type Inquiry struct {
	arm    *Arm
	flange Pose
	near   Joints
	hunt   *hunt // on an arm without a closed form
	done   bool
	ranOut bool
	found  []Solution
}

// Inquire begins to look for every way to put the flange at this pose; see Inverse.
func (a *Arm) Inquire(flange Pose, near Joints) *Inquiry {
	i := &Inquiry{arm: a, flange: flange, near: near}
	if s := searchOf(a.method); s != nil && flange.finite() && near.finite() {
		i.hunt = s.hunt(nil, flange, near)
	}
	return i
}

// Solutions returns what Inverse does, and reports whether the search came to the bound of its work before it had looked everywhere, so that
// some may be missing. It does on an arm without a closed form alone.
func (a *Arm) Solutions(flange Pose, near Joints) (all []Solution, ranOut bool) {
	i := a.Inquire(flange, near)
	for done := false; !done; {
		_, done = i.Advance()
	}
	return i.Solutions(), i.RanOut()
}

// Advance makes the next piece of it: one start or one elimination, or all of a closed form. It returns how long that took, in
// steps of iteration, and reports whether all is known.
func (i *Inquiry) Advance() (steps int, done bool) {
	switch {
	case i.done:
		return 0, true
	case i.hunt == nil:
		i.found, i.done = i.arm.Inverse(nil, i.flange, i.near), true
		return 0, true
	}
	steps, more := i.hunt.next()
	if !more {
		i.done, i.ranOut, i.found = true, i.hunt.work.steps <= 0, slices.Clone(i.hunt.found)
		for k := range i.found {
			i.found[k].Posture = i.arm.method.posture(i.found[k].Joints)
			i.arm.finish(&i.found[k], &i.near)
		}
		i.hunt = nil
	}
	return steps, i.done
}

// Solutions returns what was found, all of it once Advance has reported that it is done.
func (i *Inquiry) Solutions() []Solution { return i.found }

// RanOut reports whether it came to the bound of its work, so that solutions may be missing.
func (i *Inquiry) RanOut() bool { return i.ranOut }

// any reports whether something was found already.
func (i *Inquiry) any() bool { return len(i.found) > 0 || i.hunt != nil && len(i.hunt.found) > 0 }

// Clone returns an inquiry that stands where this one does and goes its own way.
func (i *Inquiry) Clone() *Inquiry {
	c := *i
	if i.hunt != nil {
		c.hunt = i.hunt.clone()
	}
	return &c
}

// Shortage is an OutOfReach that is made a piece at a time, like an Inquiry.
type Shortage struct {
	arm      *Arm
	flange   Pose
	near     Joints
	tracked  bool
	inquiry  *Inquiry
	start    Joints
	attempts int
	least    float64
	done     bool
}

// Shortage begins to ask how far out of reach a pose is; see OutOfReach.
func (a *Arm) Shortage(flange Pose, near Joints) *Shortage {
	return &Shortage{arm: a, flange: flange, near: near, start: near, least: math.Inf(1)}
}

// Advance makes the next piece of it. It returns how long that took, in steps of iteration, and reports whether the answer is known.
func (s *Shortage) Advance() (steps int, done bool) {
	a := s.arm
	switch {
	case s.done:
	case !s.flange.finite() || !s.near.finite():
		s.done = true
	case !s.tracked:
		s.tracked = true
		if arm, ok := a.method.(*elbowArm); ok {
			if d := arm.short(s.flange); d > 0 {
				s.least, s.done = d, true
				break
			}
		}
		var ok bool
		if _, steps, ok = a.Follow(s.flange, s.near, s.near); ok {
			s.least, s.done = 0, true
		} else if isDear(a.method) {
			s.inquiry = a.Inquire(s.flange, s.near)
		}
	case s.inquiry != nil:
		var all bool
		steps, all = s.inquiry.Advance()
		switch {
		case s.inquiry.any():
			s.least, s.done = 0, true
		case all:
			s.inquiry = nil
		}
	default:
		w := work{steps: mostStepsEach}
		_, miss, _ := a.refineWithin(s.flange, s.start, &w)
		steps = mostStepsEach - w.steps
		s.least = min(s.least, miss)
		s.attempts++
		s.start = spreadFrom(s.near, s.attempts)
		s.done = s.attempts == shortAttempts
	}
	return steps, s.done
}

// shortAttempts is from how many places the best attempt is looked for.
const shortAttempts = 12

// Short returns how many mm the arm is short, once Advance has reported that it is done.
func (s *Shortage) Short() float64 { return s.least }

// Clone returns one that stands where this one does and goes its own way.
func (s *Shortage) Clone() *Shortage {
	c := *s
	if s.inquiry != nil {
		c.inquiry = s.inquiry.Clone()
	}
	return &c
}
