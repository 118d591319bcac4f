package server

import (
	"context"
	"log/slog"
	"testing"

	"handrule/scenarios/lesson"
	"handrule/server/store"
)

// ledgerIn is a ledger in a store, as a process has it that was started just now.
func ledgerIn(t *testing.T, s store.Store, listens bool) *ledger {
	t.Helper()
	kept, err := s.Bucket(LedgerBucket)
	if err != nil {
		t.Fatal(err)
	}
	l := newLedger(kept, slog.New(slog.DiscardHandler))
	if listens {
		cancel, err := l.listen(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(cancel)
	}
	return l
}

// assessmentRun is a run of the shipped one, with nothing tried yet.
func assessmentRun(t *testing.T) *lesson.Run {
	t.Helper()
	offer := shipped()
	l := offer.Lesson("assessment")
	if l == nil {
		t.Fatal("no assessment ships")
	}
	with := *l
	with.Seed = 7
	return lesson.NewRun(&with)
}

// Tries are counted by every process, and by one that is started later; what two count at the same time is both counted.
func TestTriesAreNotWonBackByARestart(t *testing.T) {
	all := store.InMemory()
	first, other := ledgerIn(t, all, true), ledgerIn(t, all, true)
	if !first.Again(assessmentRun(t)) {
		t.Error("what nobody has counted is vouched for")
	}
	run := assessmentRun(t)
	run.Progress.Stages[1].Tries = 2
	first.Take(run, false)
	if !first.write() {
		t.Fatal("it is not kept")
	}
	until(func() bool { return !other.Again(assessmentRun(t)) })
	deaf := ledgerIn(t, all, false)
	run = assessmentRun(t)
	run.Progress.Stages[2].Hints = 3
	deaf.Take(run, false)
	if !deaf.write() {
		t.Fatal("it is not kept")
	}
	again := assessmentRun(t)
	until(func() bool { first.Again(again); return again.Progress.Stages[2].Hints == 3 })
	for name, l := range map[string]*ledger{"first": first, "deaf": deaf, "new": ledgerIn(t, all, true)} {
		again := assessmentRun(t)
		if l.Again(again) || again.Progress.Stages[1].Tries != 2 || again.Progress.Stages[2].Hints != 3 {
			t.Errorf("%s: %d tries, %d hints", name, again.Progress.Stages[1].Tries, again.Progress.Stages[2].Hints)
		}
	}
	unknown := assessmentRun(t)
	with := *unknown.Lesson
	with.Seed = 8
	if !first.Again(lesson.NewRun(&with)) {
		t.Error("other numbers are vouched for")
	}
}

// What was not vouched for is not by another process either, and what cannot be kept at first is kept later.
func TestALedgerThatIsAway(t *testing.T) {
	away := &shaky{Store: store.InMemory()}
	l := ledgerIn(t, away, true)
	away.away.Store(true)
	l.Take(assessmentRun(t), true)
	if l.write() {
		t.Error("it was kept")
	}
	away.away.Store(false)
	ctx, end := context.WithCancel(t.Context())
	end()
	l.run(ctx) // what is left at the end
	if kept := ledgerIn(t, away, true); !kept.Again(assessmentRun(t)) || !kept.counted.Knows(assessmentRun(t).Lesson) {
		t.Error("it is vouched for, or not known")
	}
}
