package server

import (
	"time"

	"handrule/server/bench"
	"handrule/server/class"
	"handrule/server/store"
	"handrule/words"
)

// This file lets pages see the arm of a seat that are not at it: see room.go for who asks for that.

// shownTo is a reading of the arm that somebody follows.
type shownTo struct {
	*bench.Watcher
	subject string
	until   time.Time
	to      store.Store
	text    []byte
}

// watchLasts is how long an arm is seen after that was asked for last. It is asked for every standEvery.
const watchLasts = 5 * standEvery

// mostReadings is in how many ways an arm is seen at once: more than a class chooses among frames, units, forms and languages. Each
// costs what a frame costs.
const mostReadings = 24

// watch lets the arm be seen by those who asked.
func (s *seat) watch(w *want, to store.Store) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.bench == nil {
		return
	}
	now := time.Now()
	for _, shown := range s.shown {
		if shown.subject == w.Subject {
			shown.until = now.Add(watchLasts)
			if w.New {
				shown.Retell()
				s.showAll(now)
			}
			return
		}
	}
	if len(s.shown) >= mostReadings {
		return // Who comes with another one waits until one is given up.
	}
	in := words.Find(w.In)
	if in == nil {
		in = words.English
	}
	s.shown = append(s.shown, &shownTo{Watcher: s.bench.Watch(w.Reading, in), subject: w.Subject, until: now.Add(watchLasts), to: to})
	s.showAll(now)
}

// showAll tells those who see the arm what they do not know yet. It comes after the arm's own page was told.
func (s *seat) showAll(due time.Time) {
	if len(s.shown) == 0 {
		return
	}
	kept := s.shown[:0]
	for _, shown := range s.shown {
		if due.After(shown.until) {
			s.bench.Unwatch(shown.Watcher)
			continue
		}
		kept = append(kept, shown)
		s.bench.TellWatcher(shown.Watcher, due, shown.publish)
	}
	clear(s.shown[len(kept):])
	s.shown = kept
}

// publish tells all who follow this reading. The store copies what it is given.
func (shown *shownTo) publish(m bench.Message) {
	kind := byte(seenText)
	if m.Frame {
		kind = seenFrame
	}
	shown.text = append(append(shown.text[:0], kind), m.Text...)
	shown.to.Publish(shown.subject, shown.text)
}

// unwatchAll lets nobody see the arm any more.
func (s *seat) unwatchAll() {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, shown := range s.shown {
		if s.bench != nil {
			s.bench.Unwatch(shown.Watcher)
		}
	}
	s.shown = nil
}

// letGo brings the arm to rest, because somebody else drives from now on.
func (s *seat) letGo() {
	s.do(&bench.ReleaseRequest{})
}

// halt brings the arm to rest and waits until it stands, for a second at most.
func (s *seat) halt() {
	s.letGo()
	for end := time.Now().Add(time.Second); s.moves() && time.Now().Before(end); {
		time.Sleep(slots * slotTime)
	}
}

func (s *seat) moves() bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.bench != nil && s.bench.Busy()
}

// put puts the arm where another stands.
func (s *seat) put(scene *bench.SceneRequest) {
	s.do(scene)
}

// do does what no page has asked for.
func (s *seat) do(request any) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.bench == nil {
		return
	}
	now := time.Now()
	s.takeDown()
	s.pace.Advance(s.bench, now)
	if err := s.bench.Handle(request, now); err != nil {
		s.bench.Complain(err.Error())
	}
	s.after(now)
	s.keepSoon(now, false)
}

// connected reports whether a page is at the bench.
func (s *seat) connected() bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.out != nil
}

// stands tells how the bench's learner stands, and, where the whole is asked for and the arm stands, where.
func (s *seat) stands(whole bool) (standing *class.Standing, stand *class.Stand) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.bench == nil {
		return nil, nil
	}
	now := class.StandingOf(s.bench, time.Unix(0, s.heard.Load()), &s.insight)
	if whole && !s.bench.Busy() {
		if rest, err := s.bench.AtRest(); err == nil {
			if state, _, err := writeDown(rest); err == nil {
				stand = &class.Stand{Scene: s.bench.Scene(), Lesson: now.Lesson, Stage: now.At, Bench: state}
			}
		}
	}
	return &now, stand
}
