package server

import (
	"fmt"
	"sync/atomic"
	"testing"
	"testing/fstest"

	"handrule/server/store"
)

// leaderless is a store that can keep nothing while it is away.
type leaderless struct {
	store.Store
	away *atomic.Bool
}

func (l leaderless) Bucket(name string) (store.Bucket, error) {
	b, err := l.Store.Bucket(name)
	return leaderlessBucket{b, l.away}, err
}

type leaderlessBucket struct {
	store.Bucket
	away *atomic.Bool
}

func (b leaderlessBucket) Put(key string, value []byte) (uint64, error) {
	if b.away.Load() {
		return 0, fmt.Errorf("%w: there is no leader", store.ErrAway)
	}
	return b.Bucket.Put(key, value)
}

// What a learner answers while nothing can be kept is shown as not kept yet, and is kept as soon as that is possible.
func TestAnswersWaitUntilTheyCanBeKept(t *testing.T) {
	var away atomic.Bool
	s := New(Options{Offer: shipped(), Static: fstest.MapFS{}, Instructor: testLink, Store: leaderless{store.InMemory(), &away}})
	listener := listen(t)
	serveIn(t, s, listener)
	address := listener.Addr().String()
	_, front, _, code := openHour(t, address)
	ana, _, _ := learner(t, address, code, "Ana")
	front.until("class", is("learners", 1.0))
	front.hear("front")
	front.say(`{"type":"ask","kind":"choice","jog":"","measure":{"of":"","frame":"base","task":"","joint":0},"text":"Clear?","options":["yes","no"],"right":[]}`)
	ana.until("question", is("state", "open"))
	away.Store(true)
	ana.say(`{"type":"reply","question":1,"round":1,"arrow":null,"stays":false,"joints":null,"stop":"","number":null,"options":[1]}`)
	mine := func(pending bool) func(m map[string]any) bool {
		return func(m map[string]any) bool {
			given, is := m["mine"].(map[string]any)
			return is && given["pending"] == pending
		}
	}
	ana.until("question", mine(true))
	away.Store(false)
	ana.until("question", mine(false))
	keys, err := s.school.facts.Keys(code + ".answer")
	if err != nil || len(keys) != 1 {
		t.Errorf("kept are %v, %v", keys, err)
	}
}
