package server

import (
	"context"
	"runtime"
	"sync"
	"testing"
	"testing/fstest"
	"time"

	"handrule/server/bench"
	"handrule/words"
)

// One thinker at a time is at a bench's question, however many there are; what is asked meanwhile is asked after that.
func TestOneThinkerAtAQuestion(t *testing.T) {
	s := New(Options{Offer: shipped(), Static: fstest.MapFS{}})
	seat, leave, err := s.benches.open("", guestOf{address: thisMachine}, func(error) {})
	if err != nil {
		t.Fatal(err)
	}
	defer leave()
	seat.connect(bench.Welcome{}, words.English, newOutbox(), func(error) {})
	ask := func(text string) { seat.request([]byte(text)) }
	ask(`{"type":"ways","do":"numbers","numbers":[300,100,200,180,0,0]}`)
	first := seat.question()
	if first == nil || seat.question() != nil {
		t.Fatal("there is none, or another thinker gets one too")
	}
	ask(`{"type":"aim","direction":{"frame":"base","axis":1,"sign":1}}`)
	if seat.question() != nil {
		t.Error("another thinker gets one")
	}
	if !seat.thought(first, first.Work()) {
		t.Error("nothing is left to be thought about")
	}
	if second := seat.question(); second == nil {
		t.Error("what was asked meanwhile is forgotten")
	}
}

// Many thinkers and many benches, each with questions that change all the time: the race detector sees what they share.
func TestManyThinkers(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(8))
	s := New(Options{Offer: shipped(), Static: fstest.MapFS{}, Share: 1})
	ctx := t.Context()
	var thinking sync.WaitGroup
	thinking.Go(func() { s.thinkers.run(ctx) })
	var all sync.WaitGroup
	for i := range 6 {
		all.Go(func() {
			seat, leave, err := s.benches.open("", guestOf{address: thisMachine}, func(error) {})
			if err != nil {
				t.Error(err)
				return
			}
			defer leave()
			for range 3 {
				seat.connect(bench.Welcome{}, words.English, newOutbox(), func(error) {})
				for n := range 60 {
					seat.request([]byte([]string{
						`{"type":"ways","do":"numbers","numbers":[300,100,200,180,0,0]}`, `{"type":"aim","direction":{"frame":"base","axis":1,"sign":1}}`,
						`{"type":"show","room":true,"of":"tcp","form":"fixed_xyz"}`, `{"type":"ways","do":"clear"}`, `{"type":"step","direction":{"frame":"joint","axis":4,"sign":1}}`,
					}[(n+i)%5]))
					runtime.Gosched()
				}
				seat.leave()
			}
		})
	}
	all.Wait()
}

// However much there is to think about, a thinker does it only its part of the time; one that had nothing to do for long may do a
// little at once.
func TestAThinkerKeepsToItsPart(t *testing.T) {
	begun := time.Unix(0, 0)
	now, worked := begun, time.Duration(0)
	keeps := newToll(0.5, burst)
	for now.Sub(begun) < time.Minute {
		const slice = 300 * time.Microsecond
		now, worked = now.Add(slice), worked+slice
		now = now.Add(keeps.wait(slice, now))
	}
	if worked < 29*time.Second || worked > 31*time.Second {
		t.Errorf("in a minute it thinks for %v", worked)
	}
	now = now.Add(time.Hour)
	if pause := keeps.wait(burst, now.Add(burst)); pause > 0 {
		t.Errorf("after an hour of rest it pauses for %v", pause)
	}
	if keeps.wait(burst, now.Add(2*burst)) == 0 {
		t.Error("after an hour of rest it does not pause at all")
	}
}

// What thinkers do for a page's request is owed by the page, as what is answered at once; what it only looks at is not.
func TestThinkersWorkForARequestIsOwed(t *testing.T) {
	s := New(Options{Offer: shipped(), Static: fstest.MapFS{}})
	seat, leave, err := s.benches.open("", guestOf{address: thisMachine}, func(error) {})
	if err != nil {
		t.Fatal(err)
	}
	defer leave()
	seat.connect(bench.Welcome{}, words.English, newOutbox(), func(error) {})
	owed := func(request string) int64 {
		seat.request([]byte(request))
		ctx, stop := context.WithCancel(t.Context())
		var thinking sync.WaitGroup
		thinking.Go(func() { s.thinkers.think(ctx, 1) })
		for again := true; again; runtime.Gosched() { // until all is answered
			seat.mu.Lock()
			again = seat.busy || seat.asked != nil || seat.bench.Asks()
			seat.mu.Unlock()
		}
		stop()
		thinking.Wait()
		return seat.owes.Swap(0)
	}
	if owes := owed(`{"type":"aim","direction":{"frame":"base","axis":1,"sign":1}}`); owes != 0 {
		t.Errorf("a ghost is owed, %d ns", owes)
	}
	if owes := owed(`{"type":"lesson","id":"assessment"}`); owes <= 0 {
		t.Error("the dealing of a lesson is not owed")
	}
}
