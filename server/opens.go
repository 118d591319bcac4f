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

// opens keeps pages from connecting over and over.
type opens struct {
	rate rate.Limit
	mu   sync.Mutex
	from map[string]*rate.Limiter
}

// wait returns how long a page from that address has to wait until it may connect, and false where that is too long.
func (o *opens) wait(address string, now time.Time) (time.Duration, bool) {
	o.mu.Lock()
	defer o.mu.Unlock()
	l := o.from[address]
	if l == nil {
		if len(o.from) >= mostAddresses {
			o.forget(now)
		}
		l = rate.NewLimiter(o.rate, openBurst)
		if address == thisMachine && o.rate != rate.Inf {
			l = rate.NewLimiter(localTimes*o.rate, localTimes*openBurst)
		}
		o.from[address] = l
	}
	r := l.ReserveN(now, 1)
	if d := r.DelayFrom(now); d <= openWait {
		return d, true
	}
	r.CancelAt(now)
	return 0, false
}

// forget forgets the addresses from which none came lately; where all did, all of them.
func (o *opens) forget(now time.Time) {
	for address, l := range o.from {
		if l.TokensAt(now) >= float64(l.Burst()) {
			delete(o.from, address)
		}
	}
	if len(o.from) >= mostAddresses {
		clear(o.from)
	}
}
