package server

import (
	"context"
	"time"

	"github.com/coder/websocket"
	"golang.org/x/time/rate"

	"handrule/scenarios/spoken"
	"handrule/server/bench"
	"handrule/words"
)

const (
	maxMessage   = 512 << 10 // bytes; a jog file to be played is the most a page sends
	messageRate  = 100       // a second
	messageBurst = 50
	patience     = 500 // messages too many before the page is sent away
)

// session is one connected page at its bench.
type session struct {
	courier
	seat  *seat
	in    *words.Language
	limit *rate.Limiter
}

// run serves the page until it leaves, is sent away, or ctx ends. The arm stands when it returns.
func (s *session) run(ctx context.Context, welcome bench.Welcome) {
	s.begin()
	if err := s.seat.connect(welcome, s.in, s.out, s.end); err != nil {
		s.end(closing{websocket.StatusTryAgainLater, spoken.Tell(err, s.in)})
		return
	}
	go s.writeWaiting(ctx)
	go s.read(ctx) // ends when the connection is closed
	<-ctx.Done()
	s.seat.leave()
}

func (s *session) read(ctx context.Context) {
	dropped := 0
	toll := newToll(tollPart, tollBurst)
	for {
		kind, text, err := s.next()
		if err != nil {
			s.end(err)
			return
		}
		if ctx.Err() != nil {
			return
		}
		if !s.limit.Allow() {
			if dropped++; dropped == 1 {
				s.problem(s.in.Say("problem.too-many"))
			}
			if dropped > patience {
				s.end(closing{websocket.StatusPolicyViolation, "too many messages"})
				return
			}
			continue
		}
		if kind != websocket.MessageText {
			s.problem("messages must be text")
			continue
		}
		if s.seat.renew(text) {
			continue // A hold is renewed at no cost: on a busy machine it must not wait for what the page asked for before.
		}
		renewed := false
		work := worked(func() { renewed = s.seat.request(text) })
		if renewed {
			continue
		}
		work += min(tollBurst, time.Duration(s.seat.owes.Swap(0)))
		if wait := toll.wait(work, time.Now()); wait > 0 {
			select {
			case <-time.After(wait):
			case <-ctx.Done():
				return
			}
		}
	}
}

func (s *session) problem(message string) {
	s.seat.complain(message)
}
