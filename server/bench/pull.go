package bench

import (
	"errors"

	"handrule/kinematics"
	"handrule/kinematics/jog"
)

// pull is a hold with a bound: whoever drags the arm says how far along a direction it shall come, and may draw it back
// beyond where it began. Every change of way is a jog of its own.
type pull struct {
	way   jog.Jog // in the direction of the press
	to    float64 // mm or rad from where the press began
	began float64 // where the jog under way began, likewise
	runs  bool    // its first jog has begun; before that, another still comes to rest
}

// turnBack, mm or rad, is how far the arm must be beyond the bound to be brought back, so that a hand that is not quite
// steady does not rock it.
const turnBack = 0.02

// slowestPart is the least of the chosen speed that a hold runs at, however little a stick is tilted.
const slowestPart = 0.001

// steering returns the bound of a hold, nil for none, and the part of the chosen speed that it runs at.
func steering(r *HoldRequest, way jog.Jog) (*pull, float64, error) {
	part := 1.0
	if r.SpeedPart != nil {
		part = *r.SpeedPart
	}
	if !(part > 0 && part <= 1) {
		return nil, 0, errors.New("the part of the speed must be above 0 and at most 1")
	}
	part = max(part, slowestPart)
	if r.Bound == nil {
		return nil, part, nil
	}
	if way.Several() {
		return nil, 0, errors.New("a hold along several directions cannot have a bound")
	}
	to := *r.Bound
	if !way.Straight() {
		to = kinematics.Radians(to)
	}
	return &pull{way: way, to: to}, part, nil
}

// jog returns the held jog from where the arm stands towards the bound.
func (p *pull) jog() jog.Jog {
	if p.to < p.began {
		return p.way.Reversed()
	}
	return p.way
}

// sign is +1 where the jog runs in the direction of the press, and -1 where it runs back.
func (p *pull) sign(under jog.Jog) float64 { return float64(under.Sign * p.way.Sign) }

// steer brings the bound and the pace of the hold to the jog under way, and turns it round where the arm stands beyond
// its bound.
func (b *Bench) steer() {
	if !b.holding() {
		return
	}
	b.drive().Pace(b.control.part)
	p := b.control.pulled
	if p == nil {
		return
	}
	p.runs = true
	bound := (p.to - p.began) * p.sign(b.drive().Jog())
	b.drive().Bound(bound)
	if b.drive().Waiting() && b.drive().Travel()-bound > turnBack {
		back := b.drive().Jog().Reversed()
		b.control.held = &back
		b.drive().Release()
	}
}

// pullOn takes note that the jog has ended, and of the way that the next one takes.
func (b *Bench) pullOn(stop jog.Stop) {
	p := b.control.pulled
	if p == nil || !p.runs {
		return
	}
	p.began += p.sign(stop.Jog) * stop.Travel
	if stop.Trouble() {
		b.control.held, b.control.pulled = nil, nil
	}
	if b.control.held != nil {
		*b.control.held = p.jog()
	}
}
