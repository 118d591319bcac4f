package server

import (
	"sync"
	"time"

	"golang.org/x/time/rate"
)

// How often pages of one address may connect. A class behind one address may load its pages all at once.
const (
	openRate, openBurst = 20, 200 // a second, at once
	openWait            = 3 * time.Second
	// Pages on this machine may be everybody's, passed on by another program.
	localTimes    = 10
	mostAddresses = 10_000
)

// How often an address may try a code that is none, or a link that is none: a class behind one address mistypes some. With 21⁶ codes and a
// hundred classes one is found in 600 days, by an address that does nothing else.
const (
	guessRate  = rate.Limit(1)
	guessBurst = 40
)

// byAddress bounds how often each address may do something.
type byAddress struct {
	rate  rate.Limit
	burst int
	mu    sync.Mutex
	from  map[string]*rate.Limiter
}

// of returns the limit of an address, which may do so many times as much; under the lock.
func (b *byAddress) of(address string, times int, now time.Time) *rate.Limiter {
	l := b.from[address]
	if l == nil {
		if len(b.from) >= mostAddresses {
			b.forget(now)
		}
		if b.from == nil {
			b.from = map[string]*rate.Limiter{}
		}
		l = rate.NewLimiter(rate.Limit(times)*b.rate, times*b.burst)
		b.from[address] = l
	}
	return l
}

// forget forgets the addresses from which none came lately; where all did, all of them.
func (b *byAddress) forget(now time.Time) {
	for address, l := range b.from {
		if l.TokensAt(now) >= float64(l.Burst()) {
			delete(b.from, address)
		}
	}
	if len(b.from) >= mostAddresses {
		clear(b.from)
	}
}

// opens keeps pages from connecting over and over.
type opens struct{ byAddress }

// wait returns how long a page from that address has to wait until it may connect, and false where that is too long.
func (o *opens) wait(address string, now time.Time) (time.Duration, bool) {
	o.mu.Lock()
	defer o.mu.Unlock()
	times := 1
	if address == thisMachine && o.rate != rate.Inf {
		times = localTimes
	}
	r := o.of(address, times, now).ReserveN(now, 1)
	if d := r.DelayFrom(now); d <= openWait {
		return d, true
	}
	r.CancelAt(now)
	return 0, false
}

// guesses bounds how often one address may be wrong about a code or the link. Who is right takes nothing of that: a whole class may come at
// once.
type guesses struct{ byAddress }

// allow reports whether an address may try.
func (g *guesses) allow(address string, now time.Time) bool {
	g.mu.Lock()
	defer g.mu.Unlock()
	return g.of(address, 1, now).TokensAt(now) >= 1
}

// wrong counts a try that was wrong, those too that were begun before another was found wrong.
func (g *guesses) wrong(address string, now time.Time) {
	g.mu.Lock()
	defer g.mu.Unlock()
	g.of(address, 1, now).ReserveN(now, 1)
}
