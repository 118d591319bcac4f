package server

import (
	"context"
	"runtime"
	"sync"
	"sync/atomic"
	"time"
)

const (
	frameRate = 60 // frames a second of every arm that moves
	slots     = 16 // among which the arms are spread, so that not all of them are due at the same time
	slotTime  = time.Second / frameRate / slots
)

// clock lets the arms move that have to. It runs as many hands as there are processors, so that thousands of arms need no
// goroutine and no timer each. Where the machine cannot keep up, frames are left out for all alike.
type clock struct {
	hands []hand
	next  atomic.Uint32
}

type hand struct {
	mu    sync.Mutex
	slots [slots][]*seat
	moves int           // how many seats are in the slots
	comes chan struct{} // has room for one: a seat has come where there was none
}

func newClock() *clock {
	c := &clock{hands: make([]hand, runtime.GOMAXPROCS(0))}
	for i := range c.hands {
		c.hands[i].comes = make(chan struct{}, 1)
	}
	return c
}

// add has the seat's frames told from now on, until it says that it need not.
func (c *clock) add(s *seat) {
	n := int(c.next.Add(1))
	h := &c.hands[n%len(c.hands)]
	slot := n / len(c.hands) % slots
	h.mu.Lock()
	h.slots[slot] = append(h.slots[slot], s)
	first := h.moves == 0
	h.moves++
	h.mu.Unlock()
	if first {
		select {
		case h.comes <- struct{}{}:
		default: // The hand has not slept since.
		}
	}
}

// run lets the clock go until ctx ends.
func (c *clock) run(ctx context.Context) {
	var hands sync.WaitGroup
	for i := range c.hands {
		hands.Go(func() { c.hands[i].run(ctx) })
	}
	hands.Wait()
}

func (h *hand) run(ctx context.Context) {
	timer := time.NewTimer(0)
	defer timer.Stop()
	due := time.Now()
	var now []*seat
	for slot := 0; ; slot = (slot + 1) % slots {
		select {
		case <-ctx.Done():
			return
		case <-timer.C:
		}
		h.mu.Lock()
		idle := h.moves == 0
		now = append(now[:0], h.slots[slot]...)
		h.mu.Unlock()
		if idle { // It sleeps until an arm moves.
			select {
			case <-ctx.Done():
				return
			case <-h.comes:
			}
			due = time.Now()
			timer.Reset(0)
			continue
		}
		stays := 0
		for _, s := range now {
			if s.frame(time.Now(), due) {
				now[stays] = s
				stays++
			}
		}
		if stays < len(now) {
			h.keep(slot, now[:stays], len(now))
		}
		clear(now)
		due = due.Add(slotTime)
		if late := time.Since(due); late > slots*slotTime {
			due = due.Add(late.Truncate(slots * slotTime)) // whole rounds are left out
		}
		timer.Reset(time.Until(due))
	}
}

// keep leaves those of the first so many in the slot that have to stay, and those that came meanwhile.
func (h *hand) keep(slot int, stay []*seat, of int) {
	h.mu.Lock()
	defer h.mu.Unlock()
	all := h.slots[slot]
	n := copy(all, stay)
	n += copy(all[n:], all[of:])
	clear(all[n:])
	h.slots[slot] = all[:n]
	h.moves -= len(all) - n
}
