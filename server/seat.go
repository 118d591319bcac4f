package server

import (
	"sync"
	"sync/atomic"
	"time"

	"handrule/server/bench"
	"handrule/server/class"
	"handrule/words"
)

// seat is a bench, the page at it, and its place in the clock.
type seat struct {
	id string

	pen sync.Mutex // held by who writes the bench down; locked before mu

	mu      sync.Mutex
	bench   *bench.Bench    // nil while it is kept at home
	isNew   bool            // nothing is kept of the bench at home
	out     *outbox         // of the page; nil while none is connected
	end     func(error)     // ends the page's session
	pace    bench.Pace      // of its ticks
	asked   *bench.Question // that the thinkers are to answer; nil: none
	busy    bool            // a thinker is at one
	keeping keeping

	shown []*shownTo // who sees the arm besides

	insight class.Insight // what the learner's wrong answers reveal; see stands

	changed atomic.Bool  // something may be other than its class knows; see room
	heard   atomic.Int64 // when the page asked for anything last: ns since 1970
	used    atomic.Bool  // something was done here
	owes    atomic.Int64 // ns of work that thinkers did for requests of the page, and that it has not waited for

	home     *home
	clock    *clock
	thinkers *thinkers
}

// connect begins to tell a page, which is told everything first. The error is for the page: its bench cannot be fetched.
func (s *seat) connect(welcome bench.Welcome, in *words.Language, out *outbox, end func(error)) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	var err error
	if welcome.Found, err = s.fetch(); err != nil {
		return err
	}
	s.out, s.end = out, end
	s.heard.Store(time.Now().UnixNano())
	s.bench.Connect(welcome, in)
	s.after(time.Now())
	s.takeNote()
	return nil
}

// fetch sees to it that the bench is here and this process's own. It reports whether it was found as another process left it, or
// this one before it was started again.
func (s *seat) fetch() (found bool, err error) {
	k := &s.keeping
	if s.bench != nil && !k.lost {
		var still bool
		if k.revision, still = s.home.stillHas(s.id, k.revision); still {
			return false, nil
		}
	}
	if s.isNew && s.bench == nil {
		s.bench = s.home.newBench()
		return false, nil
	}
	b, revision, found, err := s.home.take(s.id)
	if err != nil {
		return false, err
	}
	s.bench, s.shown, s.isNew, s.keeping = b, nil, false, keeping{revision: revision}
	s.pace.Stop()
	if revision > 0 {
		s.used.Store(true)
	}
	return found, nil
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
	s.out, s.end, s.asked = nil, nil, nil
	if s.bench == nil {
		return
	}
	s.bench.Leave()
	s.pace.Stop()
	s.keepSoon(time.Now(), true)
	if s.keeping.givenUp {
		s.takeDown()
		s.bench = nil
	}
}

// rest leaves the bench at home alone, where no page is at it and it is kept.
func (s *seat) rest() {
	if s.home.scribe.write(s) != nil {
		return
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if k := &s.keeping; s.out == nil && !k.done && k.rest == nil {
		s.bench, k.stood, s.isNew = nil, nil, s.isNew && k.revision == 0
	}
}

// giveUp gives the bench up where there is not room for all. What is kept beyond this process stays.
func (s *seat) giveUp() {
	if s.home == nil {
		return
	}
	if !s.home.lasts {
		s.pen.Lock()
		defer s.pen.Unlock()
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	k := &s.keeping
	if s.home.lasts {
		s.takeDown()
	} else {
		k.lost, k.done, k.rest = true, false, nil
		s.home.store.Delete(s.id)
	}
	if k.givenUp = true; s.out == nil {
		s.bench = nil
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
	if s.keeping.lost {
		return true // The page is being told.
	}
	now := time.Now()
	s.keeping.begin()
	s.takeDown() // as it stands, before it moves on
	s.pace.Advance(s.bench, now)
	s.bench.Request(text, now)
	s.heard.Store(now.UnixNano())
	if s.pace.Running() && !s.bench.News() {
		return true // Its frames come by the clock.
	}
	s.after(now)
	s.takeNote()
	s.keepSoon(now, false)
	return false
}

// complain tells the page what it did wrong.
func (s *seat) complain(message string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.bench.Complain(message)
	s.bench.Tell(time.Now(), s.send)
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
	s.keepSoon(time.Now(), false)
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
	if !s.bench.Busy() {
		s.changed.Store(true) // as in after
	}
	s.bench.Tell(due, s.send)
	s.showAll(due)
	s.think()
	s.pace.Settle(s.bench, now)
	if !s.pace.Running() {
		s.keepSoon(now, false)
		return false
	}
	s.keepUnderWay(now)
	return true
}

// after tells the page what is new after anything was done, and sets clock and thinkers going where they are needed.
func (s *seat) after(now time.Time) {
	s.changed.Store(true) // before anybody is told, who may ask about it at once
	s.bench.Tell(now, s.send)
	s.showAll(now)
	if s.pace.Settle(s.bench, now) {
		s.keeping.moved = now
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

func (s *seat) send(m bench.Message) {
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
