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

// How often an address may try a code that is none before it is slowed: a class behind one address mistypes some.
//
// A school may have one address, so whoever guesses there locks nobody out. Learners whom the class knows by their token, and the
// instructor, come in as ever: tokens and links are too long to be guessed. A newcomer waits guessWait, whether the code is right or not, and
// each by itself. So what bounds guesses is how often an address may connect at all: openRate, 20 a second. Of 21⁶ codes that finds a given
// one in 25 days, or with 2 % in the day in which a class takes newcomers; one of a hundred such classes in 12 hours. Pages passed on by a
// program that was not named as a proxy have one address, and may connect localTimes as often. What is found is a newcomer's place, which
// the board shows, and which the instructor takes away; a locked class has none.
const (
	guessRate  = rate.Limit(1)
	guessBurst = 40
	guessWait  = 5 * time.Second
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

// guesses bounds how often one address may be wrong about a code or the link, and is answered at once. Who is right takes nothing of that:
// a whole class may come at once.
type guesses struct {
	byAddress
	wait time.Duration // of a newcomer at an address that was wrong too often
}

// allow reports whether an address may be wrong once more.
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
