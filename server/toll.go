package server

import "time"

// What the requests of a page may cost together. Opening a lesson takes some tenths of a millisecond, and most requests a tenth of
// that; so a page that asks as people do never waits.
const (
	tollPart  = 0.1                    // of one processor's time
	tollBurst = 250 * time.Millisecond // at once
	tollWait  = 2 * time.Second        // at most after one piece of work; the rest is waited for after the next
)

// toll makes whoever works more than a part of the time wait: a page that asks for much, of which what it sends on waits to be
// read; a thinker.
type toll struct {
	part  float64
	burst time.Duration // that may be worked at once
	left  time.Duration // of it
	last  time.Time     // when it was counted
}

// newToll has nothing to wait for yet.
func newToll(part float64, burst time.Duration) toll { return toll{part: part, burst: burst} }

// wait returns how long to wait after so much work, which is done now.
func (t *toll) wait(work time.Duration, now time.Time) time.Duration {
	if t.last.IsZero() {
		t.left, t.last = t.burst, now
	}
	t.left = min(t.burst, t.left+time.Duration(t.part*float64(now.Sub(t.last)))) - work
	t.last = now
	if t.left >= 0 {
		return 0
	}
	return min(tollWait, time.Duration(float64(-t.left)/t.part))
}
