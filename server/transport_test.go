package server

import (
	"bytes"
	"errors"
	"fmt"
	"net/http/httptest"
	"strings"
	"testing"
	"testing/fstest"
	"testing/synctest"
	"time"

	"handrule/server/bench"
	"handrule/words"
)

// Frames that wait are replaced by newer ones, texts never, and the order stays.
func TestAFrameThatWaitsIsReplaced(t *testing.T) {
	o := newOutbox()
	for _, m := range []struct {
		text  string
		frame bool
	}{{"f1", true}, {"f2", true}, {"a", false}, {"f3", true}, {"f4", true}, {"b", false}, {"c", false}} {
		text := []byte(m.text)
		if !o.put(text, m.frame) {
			t.Fatalf("%s is too much", m.text)
		}
		text[0] = '?' // The text is the sender's again.
	}
	var got []string
	for _, l := range o.take() {
		got = append(got, fmt.Sprintf("%s%v", l.text, l.frame))
		o.written(l)
	}
	if want := "f2true, afalse, f4true, bfalse, cfalse"; strings.Join(got, ", ") != want {
		t.Errorf("written is %v, want %s", got, want)
	}
	if len(o.take()) != 0 {
		t.Error("something is written twice")
	}
	// A frame's store is used again, and what is written from it is the new frame.
	o.put([]byte("frame 5"), true)
	if l := o.take(); len(l) != 1 || string(l[0].text) != "frame 5" {
		t.Errorf("%d messages", len(l))
	}
}

// What waits is bounded in bytes: a page that does not read is sent away, however few its messages are.
func TestAPageThatDoesNotReadIsSentAway(t *testing.T) {
	o := newOutbox()
	text := bytes.Repeat([]byte("x"), 100<<10)
	put := 0
	for ; put < 100 && o.put(text, false); put++ {
	}
	if put != 10 {
		t.Errorf("%d messages of 100 kB wait, want 10 within 1 MB", put)
	}
	o.take()
	if !o.put(text, false) {
		t.Error("nothing may wait once all was taken")
	}
	var why error
	s := &seat{bench: bench.New(new(shipped()), bench.Env{}), home: &home{scribe: newScribe(nil)}, clock: newClock(), thinkers: newThinkers(0.25)}
	s.connect(bench.Welcome{}, words.English, newOutbox(), func(err error) { why = err })
	for range 300 {
		s.complain(strings.Repeat("y", 10<<10))
	}
	if !errors.Is(why, tooSlow) {
		t.Errorf("the page was ended with %v", why)
	}
}

// moving is a seat with a page, whose arm is held in motion; nothing runs its clock but the test.
func moving(t *testing.T) (*seat, time.Time) {
	t.Helper()
	s := &seat{bench: bench.New(new(shipped()), bench.Env{}), home: &home{scribe: newScribe(nil)}, clock: newClock(), thinkers: newThinkers(0.25)}
	s.connect(bench.Welcome{}, words.English, newOutbox(), func(err error) { t.Errorf("ended: %v", err) })
	now := time.Now()
	s.request([]byte(`{"type":"hold","press":1,"directions":[{"frame":"joint","axis":0,"sign":1}]}`))
	if s.pace.Last.Before(now) {
		t.Fatal("the clock does not run")
	}
	return s, s.pace.Last
}

// ticks is how many ticks the frames tell that wait for the page.
func (s *seat) ticks() (ticks uint32) {
	for _, l := range s.out.take() {
		if l.frame {
			ticks = uint32(l.text[0]) | uint32(l.text[1])<<8 | uint32(l.text[2])<<16
		}
	}
	return ticks
}

// A clock that stood still does not make up for all of it at once: at most a tenth of a second, and nothing past the hold's
// lease.
func TestAStalledClockMovesTheArmNoFurtherThanItsLease(t *testing.T) {
	s, begun := moving(t)
	before := s.ticks()
	s.frame(begun.Add(40*time.Millisecond), begun)
	if made := s.ticks() - before; made != 10 {
		t.Errorf("40 ms are %d ticks, want 10", made)
	}
	s, begun = moving(t)
	before = s.ticks()
	s.frame(begun.Add(200*time.Millisecond), begun)
	if made := s.ticks() - before; made != bench.MaxCatchUp {
		t.Errorf("200 ms late, %d ticks are made, want %d", made, bench.MaxCatchUp)
	}
	// The machine wakes up a minute later: the lease is long over, so the arm comes to rest from where it was.
	s, begun = moving(t)
	s.frame(begun.Add(time.Minute), begun)
	for at := begun.Add(time.Minute); s.frame(at, at); at = at.Add(frameTime) {
	}
	if text := s.heardText(); !strings.Contains(text, `"reason":"link lost"`) {
		t.Errorf("the hold did not end with its lease: %s", text)
	}
}

const frameTime = time.Second / frameRate

func (s *seat) heardText() string {
	var all strings.Builder
	for _, l := range s.out.take() {
		if !l.frame {
			all.Write(l.text)
		}
	}
	return all.String()
}

// A request that was under way for long is no renewal: what comes after the lease cannot win it back.
func TestALateRenewalIsNone(t *testing.T) {
	s, begun := moving(t)
	s.mu.Lock()
	s.bench.Request([]byte(`{"type":"hold","press":1,"directions":[{"frame":"joint","axis":0,"sign":1}]}`), begun.Add(bench.Lease+time.Millisecond))
	s.mu.Unlock()
	for at := begun.Add(time.Second); s.frame(at, at); at = at.Add(frameTime) {
	}
	if text := s.heardText(); !strings.Contains(text, `"reason":"link lost"`) {
		t.Errorf("the page hears %s", text)
	}
}

// The clock's hands come to every seat that has to move once in a round, and to no other.
func TestTheClockComesToEverySeat(t *testing.T) {
	c := newClock()
	var all []*seat
	for range 3 * slots * len(c.hands) {
		s := &seat{}
		all = append(all, s)
		c.add(s)
	}
	count := 0
	for i := range c.hands {
		for slot := range slots {
			if n := len(c.hands[i].slots[slot]); n != 3 {
				t.Errorf("%d seats are in a slot, want 3", n)
			}
			count += len(c.hands[i].slots[slot])
		}
	}
	if count != len(all) {
		t.Errorf("the clock has %d seats of %d", count, len(all))
	}
	h := &c.hands[0]
	moves := h.moves
	h.slots[0] = []*seat{all[0], all[1], all[2], all[3]}
	h.keep(0, []*seat{all[2]}, 3) // the fourth came meanwhile
	if got := h.slots[0]; len(got) != 2 || got[0] != all[2] || got[1] != all[3] || h.moves != moves-2 {
		t.Errorf("left are %v", got)
	}
}

// A clock with nothing to move sleeps, and wakes for every arm that comes.
func TestTheClockSleeps(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		c := newClock()
		go c.run(t.Context())
		moving := func() (n int) {
			for i := range c.hands {
				h := &c.hands[i]
				h.mu.Lock()
				n += h.moves
				h.mu.Unlock()
			}
			return n
		}
		for range 3 {
			time.Sleep(30 * 24 * time.Hour) // takes no time where nothing wakes meanwhile
			for range 5 {
				c.add(&seat{}) // which stands, so that it is left alone after its first turn
			}
			time.Sleep(time.Second)
			if n := moving(); n != 0 {
				t.Errorf("%d arms that stand are still in the clock", n)
			}
		}
	})
}

// A file is served packed to who takes it, and as it is to who does not.
func TestPackedFilesAreServedToWhoTakesThem(t *testing.T) {
	files := fstest.MapFS{
		"page.js": {Data: []byte("plain")}, "page.js.br": {Data: []byte("brotli")}, "page.js.gz": {Data: []byte("gzip")}, "static.go": {Data: []byte("package static")},
	}
	h := newStaticHandler(files)
	for _, c := range []struct{ takes, encoding, body string }{
		{"", "", "plain"}, {"gzip", "gzip", "gzip"}, {"gzip, deflate, br", "br", "brotli"}, {"identity", "", "plain"},
	} {
		request := httptest.NewRequest("GET", "/page.js", nil)
		request.Header.Set("Accept-Encoding", c.takes)
		answer := httptest.NewRecorder()
		h.ServeHTTP(answer, request)
		if answer.Body.String() != c.body || answer.Header().Get("Content-Encoding") != c.encoding || !strings.HasPrefix(answer.Header().Get("Content-Type"), "text/javascript") {
			t.Errorf("to %q: %q, %v", c.takes, answer.Body, answer.Header())
		}
		again := httptest.NewRequest("GET", "/page.js", nil)
		again.Header.Set("Accept-Encoding", c.takes)
		again.Header.Set("If-None-Match", answer.Header().Get("ETag"))
		second := httptest.NewRecorder()
		if h.ServeHTTP(second, again); second.Code != 304 {
			t.Errorf("to %q, what it has is answered with %d", c.takes, second.Code)
		}
	}
	answer := httptest.NewRecorder()
	if h.ServeHTTP(answer, httptest.NewRequest("GET", "/static.go", nil)); answer.Code != 404 {
		t.Errorf("a source file is answered with %d", answer.Code)
	}
}
