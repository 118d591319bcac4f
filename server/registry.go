package server

import (
	"crypto/rand"
	"encoding/hex"
	"sync"
	"time"

	"github.com/coder/websocket"

	"handrule/words"
)

// errFull answers a page that comes when every bench is in use.
var errFull = words.NewProblem("problem.full")

// takenOver ends the session of a page whose bench was opened in another.
var takenOver = closing{websocket.StatusCode(4001), "this bench was opened in another page"}

// registry holds the benches. A bench stays when its page leaves, so that the arm is found where it was.
type registry struct {
	most int
	make func() *bench

	mu      sync.Mutex
	benches map[string]*slot
}

// slot is a bench and who has it.
type slot struct {
	id    string
	bench *bench

	use      sync.Mutex  // held by the session at the bench
	leave    func(error) // asks that session to go; nil when there is none
	sessions int         // at the bench or waiting for it
	since    time.Time   // when the last one left
}

func newRegistry(most int, makeBench func() *bench) *registry {
	return &registry{most: most, make: makeBench, benches: map[string]*slot{}}
}

// open returns the bench with this id, or a new one, for the caller alone: the page that had it is sent away
// first. The caller must call the returned function when it is done.
func (r *registry) open(id string, leave func(error)) (*slot, func(), error) {
	r.mu.Lock()
	s, known := r.benches[id]
	if !known {
		if len(r.benches) >= r.most && !r.forgetOne() {
			r.mu.Unlock()
			return nil, nil, errFull
		}
		s = &slot{id: newID(), bench: r.make()}
		r.benches[s.id] = s
	}
	if s.leave != nil {
		s.leave(takenOver)
	}
	s.leave = leave
	s.sessions++
	r.mu.Unlock()

	s.use.Lock()
	return s, func() {
		s.use.Unlock()
		r.mu.Lock()
		defer r.mu.Unlock()
		s.sessions--
		if s.sessions == 0 {
			s.leave, s.since = nil, time.Now()
		}
	}, nil
}

// forgetOne gives up the bench that nobody has been at for the longest time.
func (r *registry) forgetOne() bool {
	var oldest *slot
	for _, s := range r.benches {
		if s.sessions == 0 && (oldest == nil || s.since.Before(oldest.since)) {
			oldest = s
		}
	}
	if oldest == nil {
		return false
	}
	delete(r.benches, oldest.id)
	return true
}

// newID returns a name that cannot be guessed, so that nobody opens another learner's bench.
func newID() string {
	var id [16]byte
	rand.Read(id[:]) // never fails
	return hex.EncodeToString(id[:])
}
