package server

import (
	"context"
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"log/slog"
	"sync"
	"sync/atomic"
	"time"

	"handrule/scenarios/lesson"
	"handrule/server/bench"
	"handrule/server/store"
	"handrule/words"
)

// home is where benches come from, and where they are kept at rest. Several processes may have the same one. A bench is the process's
// whose name stands in what is kept: who takes it writes its own name in the place of what it has read, so that of two one wins; and
// who finds that another revision is kept than its own has lost it.
type home struct {
	offer  atomic.Pointer[bench.Offer]
	env    bench.Env
	self   string // this process's name, another at each start
	store  store.Bucket
	all    store.Store
	lasts  bool // what is kept outlasts the process: it forgets by itself, and not for want of room
	scribe *scribe
	log    *slog.Logger
}

// BenchBucket holds the benches at rest, by id.
const BenchBucket = "benches"

// errAway answers a page whose bench cannot be fetched just now. It comes again by itself.
var errAway = words.NewProblem("problem.away")

// atRest is a bench as it is kept.
type atRest struct {
	at    string // the process that has it
	state []byte // see bench.Rest
	log   []byte
	since []byte // see bench.UnderWay; there may be none
}

// atRestForm counts the forms of what is kept: a byte; then by their lengths the process, the state, the log, and what was driven since, if
// anything was.
const atRestForm = 1

func (r *atRest) text() []byte {
	text := []byte{atRestForm}
	parts := [][]byte{[]byte(r.at), r.state, r.log, r.since}
	if len(r.since) == 0 {
		parts = parts[:3]
	}
	for _, part := range parts {
		text = binary.AppendUvarint(text, uint64(len(part)))
		text = append(text, part...)
	}
	return text
}

// lesson is the lesson with that id as it is offered now; nil where there is none.
func (h *home) lesson(id string) *lesson.Lesson { return h.offer.Load().Lesson(id) }

// restore makes a bench that was written down again.
func (h *home) restore(state []byte) (*bench.Bench, error) {
	return bench.Restore(h.offer.Load(), h.env, state, nil)
}

func readAtRest(text []byte) (r atRest, err error) {
	if len(text) == 0 || text[0] != atRestForm {
		return r, errors.New("it is of no form that this program reads")
	}
	text = text[1:]
	var parts [4][]byte
	for i := range parts {
		if i == 3 && len(text) == 0 {
			break
		}
		length, n := binary.Uvarint(text)
		if n <= 0 || length > uint64(len(text)-n) {
			return r, errors.New("it ends too early")
		}
		parts[i], text = text[n:n+int(length)], text[n+int(length):]
	}
	return atRest{string(parts[0]), parts[1], parts[2], parts[3]}, nil
}

// written is what is kept of a bench that this process has.
func (h *home) written(rest *bench.Rest) (*stood, error) {
	state, log, err := writeDown(rest)
	if err != nil {
		return nil, err
	}
	return &stood{atRest{at: h.self, state: state, log: log}, rest.Mark()}, nil
}

// stood is how a bench stood at rest, while it moves on.
type stood struct {
	atRest
	mark bench.Mark
}

func (s *stood) text(since []byte) []byte {
	r := s.atRest
	r.since = since
	return r.text()
}

// packers wait to be used again.
var packers = sync.Pool{New: func() any { return bench.NewPacker() }}

func writeDown(rest *bench.Rest) (state, log []byte, err error) {
	p := packers.Get().(*bench.Packer)
	defer packers.Put(p)
	return rest.Write(p)
}

// newBench returns a bench that nobody had.
func (h *home) newBench() *bench.Bench { return bench.New(h.offer.Load(), h.env) }

// keeps reports whether a bench is kept by this id.
func (h *home) keeps(id string) (bool, error) {
	if !isID(id) {
		return false, nil
	}
	_, err := h.store.Get(id)
	switch {
	case err == nil:
		return true, nil
	case errors.Is(err, store.ErrNone):
		return false, nil
	}
	h.log.Error("a bench cannot be fetched", "bench", short(id), "why", err)
	return false, errAway
}

// take takes the bench that is kept by this id, or a new one where there is none. It reports whether it comes from another process,
// or from this one before it was started again.
func (h *home) take(id string) (b *bench.Bench, revision uint64, moved bool, err error) {
	for {
		kept, err := h.store.Get(id)
		if errors.Is(err, store.ErrNone) {
			return h.newBench(), 0, false, nil
		}
		if err != nil {
			h.log.Error("a bench cannot be fetched", "bench", short(id), "why", err)
			return nil, 0, false, errAway
		}
		revision = kept.Revision
		rest, err := readAtRest(kept.Value)
		moved = rest.at != h.self
		if err == nil {
			b, err = bench.Restore(h.offer.Load(), h.env, rest.state, rest.log)
		}
		if err == nil {
			b.GoOn(rest.since)
		}
		if err != nil {
			h.log.Warn("a bench begins anew: it cannot be restored", "bench", short(id), "why", err)
			return h.newBench(), revision, false, nil
		}
		if !moved {
			return b, revision, false, nil
		}
		rest.at = h.self
		revision, err = h.store.Replace(id, rest.text(), revision)
		switch {
		case err == nil:
			h.tellClaim(id, revision)
			return b, revision, true, nil
		case !errors.Is(err, store.ErrStale): // else another took it first, or wrote it a last time
			h.log.Error("a bench cannot be fetched", "bench", short(id), "why", err)
			return nil, 0, false, errAway
		}
	}
}

// stillHas reports whether this process has the bench of which it knows that revision, and the revision that is kept. Where nobody
// can say, it has.
func (h *home) stillHas(id string, revision uint64) (uint64, bool) {
	if revision == 0 || h.scribe.gone() {
		return revision, true
	}
	kept, err := h.store.Get(id)
	switch {
	case errors.Is(err, store.ErrNone):
		return 0, true
	case err != nil || kept.Revision == revision:
		return revision, true
	}
	rest, err := readAtRest(kept.Value)
	return kept.Revision, err == nil && rest.at == h.self
}

// claimSubject carries that a process has taken a bench, so that the one that had it lets go at once.
const claimSubject = "bench.claimed"

type claim struct {
	Bench    string `json:"bench"`
	At       string `json:"at"`
	Revision uint64 `json:"revision"`
}

func (h *home) tellClaim(id string, revision uint64) {
	text, _ := json.Marshal(claim{id, h.self, revision})
	if err := h.all.Publish(claimSubject, text); err != nil {
		h.log.Warn("it cannot be told that a bench was taken", "bench", short(id), "why", err)
	}
}

// hearClaims lets benches go that other processes take, until it is cancelled.
func (h *home) hearClaims(seat func(id string) *seat) (cancel func(), err error) {
	cancel, err = h.all.Subscribe(claimSubject, func(_ string, text []byte) {
		var c claim
		if json.Unmarshal(text, &c) != nil || c.At == h.self {
			return
		}
		if s := seat(c.Bench); s != nil {
			s.claimed(c.Revision)
		}
	})
	if err != nil {
		return nil, fmt.Errorf("it cannot be heard which benches other processes take: %w", err)
	}
	return cancel, nil
}

const (
	restAfter = time.Minute // that nobody has been at a bench, it leaves the memory
	restLooks = 10 * time.Second
	tidyFirst = 10 * time.Minute // after the start, so that a server that runs for a lesson looks twice
	tidyLooks = time.Hour
)

// putAway puts benches to rest that nobody is at, and deletes classes that are too old, until ctx ends.
func (s *Server) putAway(ctx context.Context) {
	ticker, tidy := time.NewTicker(restLooks), time.NewTimer(tidyFirst)
	defer ticker.Stop()
	defer tidy.Stop()
	s.school.tidy(ctx, s.opts.ClassDays, time.Now())
	for {
		select {
		case <-ctx.Done():
			return
		case now := <-ticker.C:
			s.benches.rest(now)
		case now := <-tidy.C:
			s.school.tidy(ctx, s.opts.ClassDays, now)
			tidy.Reset(tidyLooks)
		}
	}
}
