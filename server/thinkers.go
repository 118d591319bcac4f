package server

import (
	"context"
	"runtime"
	"sync"
	"time"
)

// thinkers answer the long questions of the benches, in turn and a slice at a time, with a bounded share of the machine. So
// they are a small part of what the arms' clock and the pages can have to wait for.
type thinkers struct {
	share float64 // of the machine

	mu      sync.Mutex
	queue   []*seat // that may have questions, the first in first out
	waiting map[*seat]bool
	wake    chan struct{} // has room for one: the queue is not empty
}

const (
	defaultShare = 0.25
	// burst is how long thinkers may think without a pause after they had nothing to do.
	burst = 50 * time.Millisecond
)

func newThinkers(share float64) *thinkers {
	return &thinkers{share: share, waiting: map[*seat]bool{}, wake: make(chan struct{}, 1)}
}

// ask has a seat asked for questions when it is its turn.
func (t *thinkers) ask(s *seat) {
	t.mu.Lock()
	defer t.mu.Unlock()
	if t.waiting[s] {
		return
	}
	t.waiting[s] = true
	t.queue = append(t.queue, s)
	select {
	case t.wake <- struct{}{}:
	default:
	}
}

// next returns the seat whose turn it is, nil for none.
func (t *thinkers) next() *seat {
	t.mu.Lock()
	defer t.mu.Unlock()
	if len(t.queue) == 0 {
		return nil
	}
	s := t.queue[0]
	t.queue[0] = nil
	t.queue = t.queue[1:]
	delete(t.waiting, s)
	if len(t.queue) > 0 {
		select {
		case t.wake <- struct{}{}:
		default:
		}
	}
	return s
}

// run thinks until ctx ends.
func (t *thinkers) run(ctx context.Context) {
	cores := t.share * float64(runtime.GOMAXPROCS(0))
	count := max(1, int(cores))
	var all sync.WaitGroup
	for range count {
		all.Go(func() { t.think(ctx, min(1, cores/float64(count))) })
	}
	all.Wait()
}

// think is one thinker, which thinks that part of the time.
func (t *thinkers) think(ctx context.Context, part float64) {
	toll := newToll(part, burst)
	for {
		s := t.next()
		if s == nil {
			select {
			case <-ctx.Done():
				return
			case <-t.wake:
			}
			continue
		}
		q := s.question()
		if q == nil {
			continue
		}
		begun := time.Now()
		done := q.Work()
		ended := time.Now()
		if q.OfARequest() {
			s.owes.Add(int64(ended.Sub(begun)))
		}
		if s.thought(q, done) {
			t.ask(s)
		}
		if pause := toll.wait(ended.Sub(begun), ended); pause > 0 {
			select {
			case <-ctx.Done():
				return
			case <-time.After(pause):
			}
		}
	}
}
