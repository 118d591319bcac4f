package server

import "time"

// What the requests of a page may cost together. Opening a lesson takes some ten milliseconds, and most requests a hundredth of
// that; so a page that asks as people do never waits.
const (
	tollPart  = 0.1                    // of one processor's time
	tollBurst = 250 * time.Millisecond // at once
	tollWait  = 2 * time.Second        // at most after one request; the rest is waited for after the next
)

// toll makes a page wait that asks for more work than its part. Only that page waits: what it sends on waits to be read.
type toll struct {
	left time.Duration
	last time.Time // when it was counted
}

// wait returns how long the page has to wait after a request that took so much work and is done now.
func (t *toll) wait(work time.Duration, now time.Time) time.Duration {
	if t.last.IsZero() {
		t.left, t.last = tollBurst, now
	}
	t.left = min(tollBurst, t.left+time.Duration(tollPart*float64(now.Sub(t.last)))) - work
	t.last = now
	if t.left >= 0 {
		return 0
	}
	return min(tollWait, time.Duration(float64(-t.left)/tollPart))
}
