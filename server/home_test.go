package server

import (
	"runtime"
	"testing"
	"testing/fstest"
	"time"

	"github.com/coder/websocket"

	"handrule/kinematics/jog"
	"handrule/server/bench"
)

// until waits until something is so; the test ends by its own time limit where it never is.
func until(so func() bool) {
	for !so() {
		runtime.Gosched()
	}
}

// A bench that nobody is at leaves the memory, and is found again where it was.
func TestABenchAtRestIsKept(t *testing.T) {
	s, address := startServer(t, 3)
	p := visit(t, address, "")
	id := p.hear("welcome")["bench"].(string)
	p.say(`{"type":"step","direction":{"frame":"joint","axis":4,"sign":1}}`)
	p.hear("stop")
	p.conn.Close(websocket.StatusNormalClosure, "")
	seat := s.benches.benches[id].seat
	gone := func() bool {
		s.benches.mu.Lock()
		defer s.benches.mu.Unlock()
		return s.benches.benches[id].sessions == 0
	}
	until(gone)
	s.benches.rest(time.Now())
	if seat.bench == nil {
		t.Fatal("it is put to rest at once")
	}
	s.benches.rest(time.Now().Add(restAfter))
	if seat.bench != nil {
		t.Fatal("it is not put to rest")
	}
	s.SetOffer(shipped())
	again := visit(t, address, id)
	if got := again.hear("welcome")["bench"]; got != id {
		t.Fatalf("bench %v, want %v", got, id)
	}
	if j5 := again.hear(frame)["j5"].(float64); j5 < 4.999 || j5 > 5.001 {
		t.Errorf("J5 is at %v, want 5", j5)
	}
	again.say(`{"type":"undo"}`)
	again.hear("stop")
	s.benches.rest(time.Now().Add(restAfter))
	if seat.bench == nil {
		t.Error("a bench that a page is at was put to rest")
	}
}

// What cannot be restored begins anew.
func TestABenchThatCannotBeRestoredBeginsAnew(t *testing.T) {
	s := New(Options{Offer: shipped(), Static: fstest.MapFS{}})
	taken := func(id string) *bench.Bench {
		t.Helper()
		b, _, _, err := s.home.take(id)
		if err != nil || b == nil {
			t.Fatalf("there is no bench: %v", err)
		}
		return b
	}
	for i, text := range []string{"", "{}", "\x01\xff", string((&atRest{at: "x", state: []byte("what is this")}).text())} {
		id := newID()
		s.home.store.Put(id, []byte(text))
		if taken(id).Used() {
			t.Errorf("%d: it is no new bench", i)
		}
	}
	// An arm that there is no more.
	rest, err := taken(newID()).AtRest()
	if err != nil {
		t.Fatal(err)
	}
	kept, err := s.home.written(rest)
	if err != nil {
		t.Fatal(err)
	}
	curlew := newID()
	s.home.store.Put(curlew, kept.text(nil))
	other := shipped()
	other.Arms = other.Arms[1:]
	s.SetOffer(other)
	taken(curlew)
}

// heap is what is in use after all that can go has gone.
func heap() uint64 {
	runtime.GC()
	runtime.GC()
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return m.HeapAlloc + m.StackInuse
}

// What a bench takes while nobody is at it, at first and once it is put to rest.
func BenchmarkIdleBench(b *testing.B) {
	const many = 500
	for b.Loop() {
		s := New(Options{Offer: shipped(), Static: fstest.MapFS{}})
		before := heap()
		seats := make([]*seat, many)
		for i := range seats {
			seats[i] = &seat{id: newID(), home: s.home, clock: s.clock, thinkers: s.thinkers}
			seats[i].bench = s.home.newBench()
			for n := range 5 {
				seats[i].bench.Handle(&bench.StepRequest{Direction: directionOf(n)}, time.Now())
				for seats[i].bench.Busy() {
					seats[i].bench.Advance(25, time.Now())
				}
			}
			seats[i].bench.Leave()
			seats[i].keepSoon(time.Now(), true)
		}
		full := heap()
		for _, s := range seats {
			s.rest()
		}
		b.ReportMetric(float64(full-before)/many, "bytes/unconnected")
		b.ReportMetric(float64(heap()-before)/many, "bytes/resting")
		runtime.KeepAlive(seats)
	}
}

func directionOf(n int) jog.Direction {
	return jog.Direction{Frame: jog.JointFrame, Axis: n % 6, Sign: 1}
}
