package server

import (
	"runtime"
	"sync"
	"testing"
	"testing/fstest"

	"handrule/server/bench"
	"handrule/words"
)

// One thinker at a time is at a bench's question, however many there are; what is asked meanwhile is asked after that.
func TestOneThinkerAtAQuestion(t *testing.T) {
	s := New(Options{Offer: shipped(), Static: fstest.MapFS{}})
	seat, leave, err := s.benches.open("", thisMachine, func(error) {})
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
			seat, leave, err := s.benches.open("", thisMachine, func(error) {})
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
