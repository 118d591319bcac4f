package server

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"log/slog"
	"strconv"
	"sync"
	"time"

	"handrule/scenarios/lesson"
	"handrule/server/bench"
	"handrule/server/store"
)

// LedgerBucket holds what is known of assessments.
const LedgerBucket = "assessments"

// ledger is what is known of the assessments of all benches, so that a try is not won back at another bench, at another process or
// after a restart. Every process hears what the others write, so that none has to ask while an arm moves.
type ledger struct {
	log  *slog.Logger
	kept store.Bucket // nil: nothing outlasts the process

	mu      sync.Mutex
	counted *bench.Counted
	heard   map[string]store.Entry // by key: what was kept last
	taken   map[string]uint64      // by key: the revision that is in counted, too
	unkept  map[string]*lesson.Lesson
	wake    chan struct{}
}

// mostLedger is how many assessments are known. With more, the oldest are forgotten, and what is gone on with of them is not
// vouched for.
const mostLedger = 5000

func newLedger(kept store.Bucket, log *slog.Logger) *ledger {
	return &ledger{
		log: log, kept: kept, counted: bench.NewCounted(mostLedger), heard: map[string]store.Entry{}, taken: map[string]uint64{},
		unkept: map[string]*lesson.Lesson{}, wake: make(chan struct{}, 1),
	}
}

// ledgerKey is the key under which an assessment with its numbers is kept.
func ledgerKey(l *lesson.Lesson) string {
	name := sha256.Sum256([]byte(l.ID))
	return hex.EncodeToString(name[:16]) + "." + strconv.FormatUint(l.Seed, 10)
}

// Take takes down what was counted in a run.
func (l *ledger) Take(run *lesson.Run, resumed bool) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.look(run.Lesson)
	l.counted.Take(run, resumed)
	if l.kept != nil {
		l.unkept[ledgerKey(run.Lesson)] = run.Lesson
		select {
		case l.wake <- struct{}{}:
		default:
		}
	}
}

// Again counts again in a run what was counted before, and reports whether tries may have been counted of which nothing is known.
func (l *ledger) Again(run *lesson.Run) bool {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.look(run.Lesson)
	return l.counted.Again(run)
}

// look takes down what was heard of an assessment since.
func (l *ledger) look(of *lesson.Lesson) {
	key := ledgerKey(of)
	e, is := l.heard[key]
	if !is || l.taken[key] == e.Revision && l.counted.Knows(of) {
		return
	}
	l.taken[key] = e.Revision
	if err := l.counted.Unpack(of, e.Value); err != nil {
		l.log.Warn("what was counted of an assessment cannot be read", "lesson", of.ID, "why", err)
	}
}

// listen hears what is kept and what others write, and returns when all that is kept was heard.
func (l *ledger) listen(ctx context.Context) (cancel func(), err error) {
	if l.kept == nil {
		return func() {}, nil
	}
	all := make(chan struct{})
	cancel, err = l.kept.Watch("", func(e store.Entry) {
		if e.Key == "" {
			close(all)
			return
		}
		l.mu.Lock()
		defer l.mu.Unlock()
		if e.Deleted {
			delete(l.heard, e.Key)
			return
		}
		l.heard[e.Key] = e
	})
	if err != nil {
		return nil, fmt.Errorf("what was counted in assessments cannot be read: %w", err)
	}
	select {
	case <-all:
	case <-ctx.Done():
	}
	return cancel, nil
}

// run writes until ctx ends, and then what is left.
func (l *ledger) run(ctx context.Context) {
	for {
		select {
		case <-ctx.Done():
			l.write()
			return
		case <-l.wake:
		}
		for !l.write() {
			select {
			case <-ctx.Done():
				l.write()
				return
			case <-time.After(gatherTime):
			}
		}
	}
}

// write writes all that is not kept yet, and reports whether it could.
func (l *ledger) write() bool {
	l.mu.Lock()
	all := l.unkept
	l.unkept = map[string]*lesson.Lesson{}
	l.mu.Unlock()
	for key, of := range all {
		err := l.keep(key, of)
		if err == nil {
			delete(all, key)
			continue
		}
		l.log.Error("what was counted in an assessment cannot be kept; it is tried again", "lesson", of.ID, "why", err)
		if !errors.Is(err, store.ErrAway) {
			delete(all, key)
			continue
		}
		break
	}
	l.mu.Lock()
	defer l.mu.Unlock()
	for key, of := range all {
		l.unkept[key] = of
	}
	return len(all) == 0
}

// keep writes one in the place of what was heard of it last. Where another process was first, both are counted.
func (l *ledger) keep(key string, of *lesson.Lesson) error {
	for {
		l.mu.Lock()
		l.look(of)
		text, err := l.counted.Pack(of)
		last := l.heard[key].Revision
		l.mu.Unlock()
		if err != nil || text == nil {
			return err
		}
		revision, err := l.kept.Replace(key, text, last)
		e := store.Entry{Key: key, Value: text, Revision: revision}
		if errors.Is(err, store.ErrStale) {
			e, err = l.kept.Get(key)
			if errors.Is(err, store.ErrNone) {
				e, err = store.Entry{Key: key}, nil
			}
		}
		if err != nil {
			return err
		}
		l.mu.Lock()
		if e.Revision == 0 {
			delete(l.heard, key)
		} else if e.Revision > l.heard[key].Revision {
			l.heard[key] = e
		}
		if revision > 0 {
			l.taken[key] = e.Revision // It holds nothing that is not counted here.
		}
		l.mu.Unlock()
		if revision > 0 {
			return nil
		}
	}
}
