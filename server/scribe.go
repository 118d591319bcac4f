package server

import (
	"context"
	"errors"
	"hash/maphash"
	"sync"
	"time"

	"golang.org/x/time/rate"

	"handrule/server/bench"
	"handrule/server/store"
)

// A bench is kept wherever its arm comes to rest, and while its arm is held, so that it is found again when the process has gone. What is written is
// gathered: of one bench at most once in gatherTime, and of all at most so many a second, in turn.
const (
	gatherTime = time.Second
	writeRate  = 200 // a second, of all benches
	writeBurst = 100
	sameTime   = 24 * time.Hour // after which a bench is written again as it was, so that it is not forgotten while somebody comes
	writers    = 16             // at once: in a cluster each waits for the others' disks, which then take several together
	lastTime   = 10 * time.Second
)

// keeping is how a bench stands with its home. It is guarded by the seat's lock.
type keeping struct {
	revision uint64      // of what is kept; 0: nothing is
	done     bool        // something at the bench, since it was taken down
	rest     *bench.Rest // was taken down and is not written yet
	stood    *stood      // as it was written last
	waits    bool        // for the scribe
	moves    bool        // it waits because its arm moves
	lost     bool        // another process has it
	givenUp  bool        // there was not room for it
	told     bool        // the page was told that nothing can be kept
	written  time.Time
	moved    time.Time // when its arm began to move, or it was to be written because it does
	digest   uint64    // of what is kept
}

// scribe writes benches at rest down.
type scribe struct {
	home  *home
	limit *rate.Limiter

	mu    sync.Mutex
	first []*seat // whose page has left
	queue []*seat
	moves []*seat // whose arms move: they wait for all others
	wake  chan struct{}
	away  bool // what was written last could not be kept
}

func newScribe(h *home) *scribe {
	return &scribe{home: h, limit: rate.NewLimiter(writeRate, writeBurst), wake: make(chan struct{}, 1)}
}

// keepSoon takes note that something was done at the bench. It is written down when its turn comes and its arm stands, at once where
// nobody is there any more.
func (s *seat) keepSoon(now time.Time, atOnce bool) {
	k := &s.keeping
	if k.lost || k.revision == 0 && !s.bench.Differs() {
		k.rest, k.done = nil, false
		return
	}
	k.done = true
	if atOnce {
		s.home.scribe.push(s, &s.home.scribe.first)
	} else if !k.waits && !s.bench.Busy() {
		k.waits = true
		s.home.scribe.after(s, k.written.Add(gatherTime).Sub(now))
	}
}

// keepUnderWay has the bench written while its arm is held for long, as often as any, so that the arm is found about where it was.
func (s *seat) keepUnderWay(now time.Time) {
	k := &s.keeping
	if k.waits || k.moves || k.lost || k.rest == nil && k.stood == nil || now.Sub(k.written) < gatherTime || now.Sub(k.moved) < gatherTime {
		return
	}
	k.moves, k.moved = true, now
	s.home.scribe.push(s, &s.home.scribe.moves)
}

// begin has the bench taken down whose last rest is not known here, so that what is driven next can be kept with it.
func (k *keeping) begin() { k.done = k.done || k.rest == nil && k.stood == nil }

// takeDown takes the bench down as it is, if it has changed and its arm stands. So it can be written while the arm moves on.
func (s *seat) takeDown() {
	k := &s.keeping
	if !k.done || k.lost || s.bench == nil {
		return
	}
	if rest, err := s.bench.AtRest(); err == nil {
		k.rest, k.done = rest, false
	}
}

// after has a seat written after so long.
func (k *scribe) after(s *seat, d time.Duration) {
	if d <= 0 {
		k.push(s, &k.queue)
		return
	}
	time.AfterFunc(d, func() { k.push(s, &k.queue) })
}

func (k *scribe) push(s *seat, queue *[]*seat) {
	k.mu.Lock()
	*queue = append(*queue, s)
	k.mu.Unlock()
	k.call()
}

// call has one of the writers come.
func (k *scribe) call() {
	select {
	case k.wake <- struct{}{}:
	default:
	}
}

func (k *scribe) pop() *seat {
	k.mu.Lock()
	defer k.mu.Unlock()
	for _, queue := range []*[]*seat{&k.first, &k.queue, &k.moves} {
		if all := *queue; len(all) > 0 {
			s := all[0]
			all[0] = nil
			if *queue = all[1:]; len(k.first)+len(k.queue)+len(k.moves) > 0 {
				k.call()
			}
			return s
		}
	}
	return nil
}

// run writes until ctx ends.
func (k *scribe) run(ctx context.Context) {
	var all sync.WaitGroup
	for range writers {
		all.Go(func() { k.writeOn(ctx) })
	}
	all.Wait()
}

func (k *scribe) writeOn(ctx context.Context) {
	for {
		s := k.pop()
		if s == nil {
			select {
			case <-ctx.Done():
				return
			case <-k.wake:
			}
			continue
		}
		if k.limit.Wait(ctx) != nil {
			return // What waits is written when the server ends.
		}
		s.mu.Lock()
		s.keeping.waits, s.keeping.moves = false, false
		s.mu.Unlock()
		if err := k.write(s); errors.Is(err, store.ErrAway) {
			s.mu.Lock()
			s.keeping.waits = true
			s.mu.Unlock()
			k.after(s, gatherTime)
		}
	}
}

// write writes what there is to write of a bench, and returns why it is not kept.
func (k *scribe) write(s *seat) error {
	s.pen.Lock()
	defer s.pen.Unlock()
	s.mu.Lock()
	s.takeDown()
	before, of := s.keeping, s.bench
	s.keeping.rest = nil
	var since []byte
	switch {
	case of == nil:
	case before.rest != nil:
		since = of.UnderWay(before.rest.Mark())
	case before.stood != nil:
		since = of.UnderWay(before.stood.mark)
	}
	s.mu.Unlock()
	rest, stood := before.rest, before.stood
	if rest == nil && since == nil {
		return nil
	}
	if rest != nil {
		var err error
		if stood, err = k.home.written(rest); err != nil {
			k.home.log.Error("a bench cannot be written down", "bench", short(s.id), "why", err)
			return err
		}
	}
	text := stood.text(since)
	digest := maphash.Bytes(keptSeed, text) | 1
	if before.digest == digest && time.Since(before.written) < sameTime {
		s.mu.Lock()
		defer s.mu.Unlock()
		if s.bench == of {
			s.keeping.stood = stood
		}
		return nil // It is as it was.
	}
	kept, err := k.home.store.Replace(s.id, text, before.revision)
	if errors.Is(err, store.ErrStale) {
		kept, err = k.again(s, of, text)
	}
	k.note(err)
	s.mu.Lock()
	defer s.mu.Unlock()
	switch {
	case s.bench != of: // It was taken anew meanwhile.
	case err == nil:
		s.keeping.revision, s.keeping.digest, s.keeping.written, s.keeping.told = max(kept, s.keeping.revision), digest, time.Now(), false
		s.keeping.stood = stood
	case errors.Is(err, store.ErrStale):
		s.lose()
	case s.keeping.rest == nil:
		s.keeping.rest = rest
		fallthrough
	default:
		if s.out != nil && !s.keeping.told {
			s.keeping.told = true
			s.bench.Complain(s.bench.Say("problem.not-kept"))
			s.bench.Tell(time.Now(), s.send)
		}
	}
	return err
}

var keptSeed = maphash.MakeSeed()

// again writes once more after another revision was found than the one that was known: it may be one that this process wrote itself
// without having heard of it, or none because it was forgotten. Else the bench is another's, and the error says so.
func (k *scribe) again(s *seat, of *bench.Bench, text []byte) (uint64, error) {
	e, err := k.home.store.Get(s.id)
	switch {
	case errors.Is(err, store.ErrNone):
		e.Revision = 0
	case err != nil:
		return 0, err
	default:
		if rest, err := readAtRest(e.Value); err != nil || rest.at != k.home.self {
			return 0, store.ErrStale
		}
	}
	s.mu.Lock()
	same := s.bench == of
	s.mu.Unlock()
	if !same {
		return 0, store.ErrStale
	}
	return k.home.store.Replace(s.id, text, e.Revision)
}

// note takes note of whether anything can be kept, and says so once.
func (k *scribe) note(err error) {
	away := errors.Is(err, store.ErrAway)
	k.mu.Lock()
	before := k.away
	k.away = away
	k.mu.Unlock()
	switch {
	case away && !before:
		k.home.log.Error("where arms stand cannot be kept; they move on, and it is tried again", "why", err)
	case !away && before:
		k.home.log.Info("where arms stand is kept again")
	}
}

// gone reports whether nothing can be kept now, as far as is known.
func (k *scribe) gone() bool {
	k.mu.Lock()
	defer k.mu.Unlock()
	return k.away
}

// last writes all that is not written, when the server ends.
func (k *scribe) last(all []*seat) {
	begun := time.Now()
	var left sync.WaitGroup
	places := make(chan struct{}, writers)
	missed := 0
	for _, s := range all {
		s.mu.Lock()
		waits := s.bench != nil && (s.keeping.done || s.keeping.rest != nil)
		s.mu.Unlock()
		if !waits {
			continue
		}
		if time.Since(begun) > lastTime {
			missed++
			continue
		}
		places <- struct{}{}
		left.Go(func() {
			defer func() { <-places }()
			k.write(s)
		})
	}
	left.Wait()
	if missed > 0 {
		k.home.log.Error("benches are found where they stood before: they could not be written in time", "benches", missed)
	}
}

// lose gives the bench up that another process has taken. Its page is told, and the arm stands.
func (s *seat) lose() {
	if s.keeping.lost || s.bench == nil {
		return
	}
	s.keeping.lost, s.keeping.rest, s.keeping.done = true, nil, false
	s.home.log.Info("bench taken by another process", "bench", short(s.id))
	if s.end != nil {
		s.end(takenOver)
	}
}

// claimed hears that another process has taken the bench.
func (s *seat) claimed(revision uint64) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.bench != nil && revision > s.keeping.revision {
		s.lose()
	}
}
