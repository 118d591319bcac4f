package server

import (
	"sync"

	"handrule/scenarios/lesson"
	"handrule/server/bench"
)

// ledger is what is known of the assessments of all benches, so that a try is not won back at another bench.
type ledger struct {
	mu      sync.Mutex
	counted *bench.Counted
}

// mostLedger is how many assessments are known. With more, the oldest are forgotten, and what is gone on with of them is not
// vouched for.
const mostLedger = 5000

func newLedger() *ledger { return &ledger{counted: bench.NewCounted(mostLedger)} }

func (l *ledger) Take(run *lesson.Run, resumed bool) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.counted.Take(run, resumed)
}

func (l *ledger) Again(run *lesson.Run) bool {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.counted.Again(run)
}
