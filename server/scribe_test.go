package server

import (
	"fmt"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"testing/fstest"
	"time"

	"github.com/coder/websocket"

	"handrule/server/store"
)

// shaky is a store that can be away, that counts what is written, and that may carry nothing.
type shaky struct {
	store.Store
	away   atomic.Bool
	only   string // the bucket that can be away; "": all
	mute   bool
	puts   chan struct{} // is waited for by each that puts; nil: none does
	hears  chan struct{} // is waited for by each that subscribes to what is seen of an arm; nil: none does
	writes atomic.Int32
}

type shakyBucket struct {
	store.Bucket
	of   *shaky
	name string
}

func (b shakyBucket) gone() error {
	if b.of.away.Load() && (b.of.only == "" || b.of.only == b.name) {
		return fmt.Errorf("%w: it is shaky", store.ErrAway)
	}
	return nil
}

func (s *shaky) Bucket(name string) (store.Bucket, error) {
	b, err := s.Store.Bucket(name)
	return shakyBucket{b, s, name}, err
}

func (s *shaky) Subscribe(subject string, f func(string, []byte)) (func(), error) {
	if s.hears != nil && strings.HasPrefix(subject, "seen.") {
		<-s.hears
		if s.away.Load() {
			return nil, store.ErrAway
		}
	}
	return s.Store.Subscribe(subject, f)
}

func (s *shaky) Publish(subject string, data []byte) error {
	if s.mute {
		return nil
	}
	return s.Store.Publish(subject, data)
}

func (b shakyBucket) Get(key string) (store.Entry, error) {
	if err := b.gone(); err != nil {
		return store.Entry{}, err
	}
	return b.Bucket.Get(key)
}

func (b shakyBucket) Replace(key string, value []byte, revision uint64) (uint64, error) {
	if err := b.gone(); err != nil {
		return 0, err
	}
	b.of.writes.Add(1)
	return b.Bucket.Replace(key, value, revision)
}

func (b shakyBucket) Put(key string, value []byte) (uint64, error) {
	if err := b.gone(); err != nil {
		return 0, err
	}
	if b.of.puts != nil {
		<-b.of.puts
	}
	return b.Bucket.Put(key, value)
}

func (b shakyBucket) Watch(prefix string, f func(store.Entry)) (func(), error) {
	if err := b.gone(); err != nil {
		return nil, err
	}
	return b.Bucket.Watch(prefix, f)
}

// serving is a process that keeps benches in that store; stop ends it.
func serving(t *testing.T, kept store.Store) (s *Server, address string, stop func()) {
	t.Helper()
	s = New(Options{Offer: shipped(), Static: fstest.MapFS{}, Store: kept})
	listener := listen(t)
	ended := serveUntilEnd(t, s, listener)
	stop = sync.OnceFunc(ended)
	t.Cleanup(stop)
	return s, listener.Addr().String(), stop
}

// keeps waits until all that was done at a bench is kept.
func (s *Server) keeps(t *testing.T, id string) {
	t.Helper()
	seat := s.benches.find(id)
	until(func() bool {
		seat.pen.Lock()
		defer seat.pen.Unlock()
		seat.mu.Lock()
		defer seat.mu.Unlock()
		return !seat.keeping.done && seat.keeping.rest == nil
	})
}

const stepJ5 = `{"type":"step","direction":{"frame":"joint","axis":4,"sign":1}}`

// bends bends J5 by a step of 5 degrees and waits until the arm stands.
func (p page) bends() {
	p.t.Helper()
	p.say(stepJ5)
	p.hear("stop")
}

// finds visits a bench and sees that J5 is at the angle; found is whether the page is told that it comes from elsewhere.
func finds(t *testing.T, address, id string, angle float64, found bool) page {
	t.Helper()
	p := visit(t, address, id)
	welcome := p.hear("welcome")
	if welcome["bench"] != id || welcome["found"] != found {
		t.Fatalf("welcome to %v, found %v, want %v, %v", welcome["bench"], welcome["found"], id, found)
	}
	if j5 := p.hear(frame)["j5"].(float64); j5 < angle-1e-3 || j5 > angle+1e-3 {
		t.Fatalf("J5 is at %v, want %v", j5, angle)
	}
	p.hear("ghost") // the last of what a bench tells at first
	return p
}

// A bench is found where it last stood when its server was ended and started again, as soon as a page was told of the end.
func TestABenchOutlastsItsServer(t *testing.T) {
	kept := store.InMemory()
	_, address, stop := serving(t, kept)
	p := visit(t, address, "")
	id := p.hear("welcome")["bench"].(string)
	p.bends()
	p.bends() // sooner than it is written by itself
	ended := make(chan bool)
	go func() { stop(); close(ended) }()
	if why := p.closed(); why != websocket.StatusGoingAway {
		t.Errorf("closed with %v", why)
	}
	_, address, _ = serving(t, kept)
	finds(t, address, id, 10, true).bends()
	finds(t, address, id, 15, false)
	<-ended
}

// Nobody gets a bench by a name that was not given out, and one that nobody used is not kept.
func TestOnlyNamesThatWereGivenOutAreFound(t *testing.T) {
	kept := store.InMemory()
	_, address, stop := serving(t, kept)
	p := visit(t, address, "")
	unused := p.hear("welcome")["bench"].(string)
	p.say(`{"type":"show","room":true,"plot":false,"of":"tcp","form":"fixed_xyz"}`)
	p.say(`{"type":"unit","unit":"inch"}`)
	p.until("setup", func(m map[string]any) bool { return m["unit"] == "inch" })
	stop()
	b, _ := kept.Bucket(BenchBucket)
	if keys, _ := b.Keys(""); len(keys) > 0 {
		t.Errorf("%q are kept", keys)
	}
	b.Put("guessed", []byte("x"))
	_, address, _ = serving(t, kept)
	for _, id := range []string{unused, "guessed", "a.b", "*", newID()} {
		if got := visit(t, address, id).hear("welcome")["bench"]; got == id {
			t.Errorf("%q is given", id)
		}
	}
}

// A bench that is opened at another process is let go by the first at once, where it was told; and it comes back from there.
func TestABenchIsOneProcessesAtATime(t *testing.T) {
	kept := store.InMemory()
	here, first, _ := serving(t, kept)
	there, second, _ := serving(t, kept)
	p := visit(t, first, "")
	id := p.hear("welcome")["bench"].(string)
	p.bends()
	here.keeps(t, id)
	other := finds(t, second, id, 5, true)
	if why := p.closed(); why != takenOver.status {
		t.Errorf("the first page is closed with %v", why)
	}
	other.bends()
	other.conn.Close(websocket.StatusNormalClosure, "")
	there.keeps(t, id)
	finds(t, first, id, 10, true)
}

// Where a process does not hear that its bench was taken, it finds out when it writes, and has changed nothing.
func TestALostBenchIsNotWritten(t *testing.T) {
	kept := store.InMemory()
	here, first, _ := serving(t, &shaky{Store: kept, mute: true})
	there, second, _ := serving(t, &shaky{Store: kept, mute: true})
	p := visit(t, first, "")
	id := p.hear("welcome")["bench"].(string)
	p.bends()
	here.keeps(t, id)
	other := finds(t, second, id, 5, true)
	p.say(stepJ5) // It knows of nothing yet.
	if why := p.closed(); why != takenOver.status {
		t.Errorf("the first page is closed with %v", why)
	}
	other.bends()
	finds(t, second, id, 10, false)
	there.keeps(t, id)
	finds(t, first, id, 10, true)
}

// While nothing can be kept the arm moves on, the page is told once, and a bench of another process is not made anew. Then all is
// kept that was done meanwhile.
func TestTheStoreIsAway(t *testing.T) {
	kept := store.InMemory()
	away := &shaky{Store: kept}
	s, address, stop := serving(t, away)
	_, other, _ := serving(t, away)
	p := visit(t, address, "")
	id := p.hear("welcome")["bench"].(string)
	p.bends()
	s.keeps(t, id)
	away.away.Store(true)
	p.say(stepJ5)
	for waits := []string{"stop", "problem"}; len(waits) > 0; { // in any order
		heard := p.hear(waits...)["type"]
		waits = slices.DeleteFunc(waits, func(word string) bool { return word == heard })
	}
	p.bends()
	if why := visit(t, other, id).closed(); why != websocket.StatusTryAgainLater {
		t.Errorf("the other process closes with %v", why)
	}
	p.conn.Close(websocket.StatusNormalClosure, "")
	finds(t, address, id, 15, false).bends()
	away.away.Store(false)
	s.keeps(t, id)
	stop()
	finds(t, other, id, 20, true)
}

// What is done quickly is gathered.
func TestWritesAreGathered(t *testing.T) {
	counted := &shaky{Store: store.InMemory()}
	_, address, stop := serving(t, counted)
	begun := time.Now()
	p := visit(t, address, "")
	p.hear("welcome")
	p.say(`{"type":"increment","mm":1,"deg":0.1}`)
	for range 20 {
		p.bends()
		p.say(`{"type":"undo"}`)
		p.hear("stop")
	}
	stop()
	// Each time at most one at rest and one on the way, where the machine has no time for a step.
	if most := 2*int32(time.Since(begun)/gatherTime) + 2; counted.writes.Load() > most {
		t.Errorf("%d writes, at most %d in this time", counted.writes.Load(), most)
	}
}

// An arm that is lost while a control is held is found where it was when that was kept last, also in the first hold at a bench, and in the first after
// it was found.
func TestAHoldIsFound(t *testing.T) {
	kept := store.InMemory()
	s, address, _ := serving(t, kept)
	p := visit(t, address, "")
	id := p.hear("welcome")["bench"].(string)
	j5 := p.hear(frame)["j5"].(float64)
	for range 2 {
		p.hear("ghost")
		b, _ := kept.Bucket(BenchBucket)
		before, _ := b.Get(id)
		var text []byte
		press, sign, began := 1, 1, j5
		until(func() bool {
			p.say(fmt.Sprintf(`{"type":"hold","press":%d,"directions":[{"frame":"joint","axis":4,"sign":%d}]}`, press, sign))
			m := p.hear(frame, "stop")
			if m["type"] == "stop" { // A busy machine has lost the hold: another one, the other way.
				s.keeps(t, id)
				before, _ = b.Get(id)
				press, sign, began = press+1, -sign, j5
				return false
			}
			j5 = m["j5"].(float64)
			e, err := b.Get(id)
			text = e.Value
			rest, wrong := readAtRest(text)
			return err == nil && wrong == nil && rest.since != nil && e.Revision != before.Revision
		})
		// The process is gone, and with it all but what was kept.
		kept = store.InMemory()
		left, _ := kept.Bucket(BenchBucket)
		left.Put(id, text)
		s, address, _ = serving(t, kept)
		p = visit(t, address, id)
		if p.hear("welcome")["found"] != true {
			t.Error("it is not found")
		}
		if j5 = p.hear(frame)["j5"].(float64); (j5-began)*float64(sign) <= 0 {
			t.Errorf("J5 is at %v; the hold began at %v, with sign %d", j5, began, sign)
		}
	}
}

// Whatever is kept, it is read as it was written, or refused.
func FuzzAtRest(f *testing.F) {
	f.Add((&atRest{"a process", []byte("state"), []byte("log"), nil}).text())
	f.Add((&atRest{"a process", []byte("state"), []byte("log"), []byte("since")}).text())
	f.Add([]byte{atRestForm, 1, 'x', 200})
	f.Fuzz(func(t *testing.T, text []byte) {
		if r, err := readAtRest(text); err == nil && len(r.text()) > len(text) {
			t.Errorf("%q is written as %q", text, r.text())
		}
	})
}
