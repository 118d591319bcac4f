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
	make func(id string) *seat

	mu      sync.Mutex
	benches map[string]*place
}

// place is a seat and who has it.
type place struct {
	*seat

	use      sync.Mutex  // held by the session at the bench
	leave    func(error) // asks that session to go; nil when there is none
	sessions int         // at the bench or waiting for it
	since    time.Time   // when the last one left
}

func newRegistry(most int, makeSeat func(id string) *seat) *registry {
	return &registry{most: most, make: makeSeat, benches: map[string]*place{}}
}

// open returns the bench with this id, or a new one, for the caller alone: the page that had it is sent away
// first. The caller must call the returned function when it is done.
func (r *registry) open(id string, leave func(error)) (*seat, func(), error) {
	r.mu.Lock()
	p, known := r.benches[id]
	if !known {
		if len(r.benches) >= r.most && !r.forgetOne() {
			r.mu.Unlock()
			return nil, nil, errFull
		}
		p = &place{seat: r.make(newID())}
		r.benches[p.id] = p
	}
	if p.leave != nil {
		p.leave(takenOver)
	}
	p.leave = leave
	p.sessions++
	r.mu.Unlock()

	p.use.Lock()
	return p.seat, func() {
		p.use.Unlock()
		r.mu.Lock()
		defer r.mu.Unlock()
		p.sessions--
		if p.sessions == 0 {
			p.leave, p.since = nil, time.Now()
		}
	}, nil
}

// forgetOne gives up the bench that nobody has been at for the longest time.
func (r *registry) forgetOne() bool {
	var oldest *place
	for _, p := range r.benches {
		if p.sessions == 0 && (oldest == nil || p.since.Before(oldest.since)) {
			oldest = p
		}
	}
	if oldest == nil {
		return false
	}
	delete(r.benches, oldest.id)
	return true
}

// each calls f with every seat.
func (r *registry) each(f func(*seat)) {
	r.mu.Lock()
	all := make([]*seat, 0, len(r.benches))
	for _, p := range r.benches {
		all = append(all, p.seat)
	}
	r.mu.Unlock()
	for _, s := range all {
		f(s)
	}
}

// newID returns a name that cannot be guessed, so that nobody opens another learner's bench.
func newID() string {
	var id [16]byte
	rand.Read(id[:]) // never fails
	return hex.EncodeToString(id[:])
}
