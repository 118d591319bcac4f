package server

import (
	"sync"
	"sync/atomic"
	"time"

	"handrule/server/bench"
	"handrule/words"
)

// seat is a bench, the page at it, and its place in the clock.
type seat struct {
	id string

	mu    sync.Mutex
	bench *bench.Bench    // nil while it is kept at home
	out   *outbox         // of the page; nil while none is connected
	end   func(error)     // ends the page's session
	pace  bench.Pace      // of its ticks
	asked *bench.Question // that the thinkers are to answer; nil: none
	busy  bool            // a thinker is at one

	heard atomic.Int64 // when the page asked for anything last: ns since 1970
	used  atomic.Bool  // something was done here

	home     *home
	clock    *clock
	thinkers *thinkers
}

// connect begins to tell a page, which is told everything first.
func (s *seat) connect(welcome bench.Welcome, in *words.Language, out *outbox, end func(error)) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.bench == nil {
		s.bench = s.home.take(s.id)
	}
	s.out, s.end = out, end
	s.heard.Store(time.Now().UnixNano())
	s.bench.Connect(welcome, in)
	s.after(time.Now())
	s.takeNote()
}

// takeNote takes note of whether something was done here.
func (s *seat) takeNote() {
	if !s.used.Load() && s.bench.Used() {
		s.used.Store(true)
	}
}

// leave brings the arm to rest when its page has gone.
func (s *seat) leave() {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.bench.Leave()
	s.out, s.end, s.asked = nil, nil, nil
	s.pace.Stop()
}

// rest keeps the bench at home, where no page is at it.
func (s *seat) rest() {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.out == nil && s.bench != nil && s.home.keep(s.id, s.bench) {
		s.bench = nil
	}
}

// forget gives up what is kept of the bench.
func (s *seat) forget() {
	if s.home != nil {
		s.home.store.Forget(s.id)
	}
}

// idle is how long the page has asked for nothing.
func (s *seat) idle(now time.Time) time.Duration { return now.Sub(time.Unix(0, s.heard.Load())) }

// renew renews the hold under way, if that is all that the page asks for: its frames come by the clock.
func (s *seat) renew(text []byte) bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	if !s.pace.Running() || s.bench.News() || !s.bench.Renews(text) {
		return false
	}
	now := time.Now()
	s.pace.Advance(s.bench, now)
	s.bench.Request(text, now)
	s.heard.Store(now.UnixNano())
	return true
}

// request does what the page asks, and reports whether that only renewed a hold.
func (s *seat) request(text []byte) (renewed bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	now := time.Now()
	s.pace.Advance(s.bench, now)
	s.bench.Request(text, now)
	s.heard.Store(now.UnixNano())
	if s.pace.Running() && !s.bench.News() {
		return true // Its frames come by the clock.
	}
	s.after(now)
	s.takeNote()
	return false
}

// complain tells the page what it did wrong.
func (s *seat) complain(message string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.bench.Complain(message)
	s.bench.Tell(time.Now(), s.put)
}

// setOffer offers something else.
func (s *seat) setOffer(o *bench.Offer) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.bench == nil {
		return // It takes up the offer there is when it is made again.
	}
	s.bench.SetOffer(o)
	s.after(time.Now())
}

// frame runs the clock up to now and tells the page, for the clock; due is when that should have been. It reports whether the
// clock has to come again. A bench that is at a request is not waited for: the request brings it up to date.
func (s *seat) frame(now, due time.Time) (again bool) {
	if !s.mu.TryLock() {
		return true
	}
	defer s.mu.Unlock()
	if !s.pace.Running() {
		return false
	}
	s.pace.Advance(s.bench, now)
	s.bench.Tell(due, s.put)
	s.think()
	s.pace.Settle(s.bench, now)
	return s.pace.Running()
}

// after tells the page what is new after anything was done, and sets clock and thinkers going where they are needed.
func (s *seat) after(now time.Time) {
	s.bench.Tell(now, s.put)
	if s.pace.Settle(s.bench, now) {
		s.clock.add(s)
	}
	s.think()
}

// think has the thinkers come where there is something to think about.
func (s *seat) think() {
	if s.out != nil && s.bench.Asks() {
		s.thinkers.ask(s)
	}
}

func (s *seat) put(m bench.Message) {
	if s.out != nil && !s.out.put(m.Text, m.Frame) {
		s.end(tooSlow)
	}
}

// question hands out what is to be thought about next: what was begun, if that is still wanted. There is none while a thinker
// is at one. Who takes it must call thought.
func (s *seat) question() *bench.Question {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.out == nil || s.busy {
		return nil
	}
	if s.asked == nil || !s.bench.Wanted(s.asked) {
		s.asked = s.bench.Question()
	}
	s.busy = s.asked != nil
	return s.asked
}

// thought takes a question back after a slice of work, and tells the page the answer where there is one. It reports whether
// there may be more to think about.
func (s *seat) thought(q *bench.Question, done bool) (more bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.busy = false
	if s.asked != q || !done {
		return true // the same, or something else since
	}
	s.asked = nil
	now := time.Now()
	s.pace.Advance(s.bench, now)
	s.bench.Answer(q)
	s.after(now) // which asks for what comes next
	return false
}
