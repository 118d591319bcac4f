package bench

import (
	"time"

	"handrule/kinematics/jog"
)

// MaxCatchUp is how many ticks are made up for at once after the owner was busy.
const MaxCatchUp = jog.TickRate / 10

// Pace is where a bench is on its owner's clock. The zero value is that of a bench at rest.
type Pace struct {
	Last time.Time // up to which the ticks have been run; zero while nothing moves
}

// Running reports whether the bench's ticks are due by the clock.
func (p *Pace) Running() bool { return !p.Last.IsZero() }

// Advance runs the ticks that are due.
func (p *Pace) Advance(b *Bench, now time.Time) {
	if p.Last.IsZero() {
		return
	}
	ticks := int(now.Sub(p.Last) / tickTime)
	p.Last = p.Last.Add(time.Duration(ticks) * tickTime)
	if ticks > 0 {
		b.Advance(min(ticks, MaxCatchUp), p.Last)
	}
}

// Settle looks whether the arm moves after something was done, and reports whether it has just begun to: then frames are due
// from now on.
func (p *Pace) Settle(b *Bench, now time.Time) (begins bool) {
	switch {
	case !b.Busy():
		p.Last = time.Time{}
	case p.Last.IsZero():
		p.Last = now
		return true
	}
	return false
}

// Stop is for a bench that was brought to rest.
func (p *Pace) Stop() { p.Last = time.Time{} }
