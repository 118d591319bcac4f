package server

import (
	"encoding/binary"
	"math"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"handrule/kinematics/jog"
	"handrule/server/bench"
	"handrule/words"
)

// sitting is a seat whose time the test tells.
type sitting struct {
	*seat
	now   time.Time
	angle float64 // of joint 5 in the last frame, degrees
}

func sit(t *testing.T) *sitting {
	t.Helper()
	s := New(Options{Offer: shipped(), Static: fstest.MapFS{}})
	place, leave, err := s.benches.open("", guestOf{address: thisMachine}, func(error) {})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(leave)
	l := &sitting{seat: place, now: time.Unix(1e9, 0)}
	l.connect(bench.Welcome{}, words.English, newOutbox(), func(error) {})
	return l
}

func (s *sitting) ask(text string) {
	s.pace.Advance(s.bench, s.now)
	s.bench.Request([]byte(text), s.now)
	if s.pace.Last.IsZero() {
		s.pace.Last = s.now
	}
	s.look()
}

// frameAfter lets the clock come so much later.
func (s *sitting) frameAfter(d time.Duration) {
	s.now = s.now.Add(d)
	s.pace.Advance(s.bench, s.now)
	s.look()
}

func (s *sitting) look() {
	s.bench.Tell(s.now, func(m bench.Message) {
		if m.Frame {
			s.angle = float64(int32(binary.LittleEndian.Uint32(m.Text[12+4*4:]))) * 1e-5
		}
	})
}

const (
	holdJ5  = `{"type":"hold","press":1,"directions":[{"frame":"joint","axis":4,"sign":1}]}`
	sixtyth = time.Second / 60
)

// However late the clock comes, and whatever waits to be read by then, the arm goes no farther after the last renewal than the
// lease and the way to a stop. A clock that comes late is not made up for beyond that.
func TestAClockThatStallsDoesNotMoveTheArmOn(t *testing.T) {
	const speed = 60.0
	for _, late := range []time.Duration{0, 20 * time.Millisecond, 100 * time.Millisecond, 200 * time.Millisecond, 250 * time.Millisecond, 400 * time.Millisecond, time.Second, time.Minute, time.Hour} {
		for _, renewed := range []bool{false, true} {
			s := sit(t)
			s.ask(`{"type":"speed","mm_s":50,"deg_s":60}`)
			s.ask(holdJ5)
			for range 30 { // until it is at speed
				s.frameAfter(sixtyth)
				s.ask(holdJ5)
			}
			renewal := s.now
			from := s.angle
			if from < 10 {
				t.Fatalf("the arm is at %g° only", from)
			}
			s.frameAfter(late)
			if renewed {
				if s.ask(holdJ5); s.bench.Busy() && late < bench.Lease {
					continue // in time
				}
			}
			for s.bench.Busy() {
				if s.frameAfter(sixtyth); s.now.Sub(renewal) > 2*time.Hour {
					t.Fatal("it does not stop")
				}
			}
			if went, most := s.angle-from, speed*(bench.Lease.Seconds()+1.0/jog.TickRate+0.35); went > most || went <= 0 {
				t.Errorf("%v late, renewed %v: the arm went %.1f° on, of at most %.1f°", late, renewed, went, most)
			}
			if late >= time.Second && s.angle-from > speed*0.35 {
				t.Errorf("%v late: the arm went %.1f° on, although its lease had ended long before", late, s.angle-from)
			}
		}
	}
}

// Whoever is told that an arm stands may ask about it at once: by then it is to be looked at anew.
func TestABenchIsMarkedBeforeItsPageIsTold(t *testing.T) {
	s := sit(t)
	told := 0
	s.out.atOnce = func(l letter) bool {
		if strings.HasPrefix(string(l.text), `{"type":"stop"`) {
			if told++; !s.changed.Load() {
				t.Error("the page is told that the arm stands, and the bench is as it was")
			}
		}
		return true
	}
	s.request([]byte(stepJ5))
	s.changed.Store(false)
	for now := s.pace.Last; s.frame(now, now); now = now.Add(sixtyth) {
	}
	if told != 1 {
		t.Errorf("the page was told %d times", told)
	}
}

// Presses are counted by each page for itself: one that counts from a lower number than the page before it, as where a clock
// was set back, holds all the same.
func TestAPressIsOfItsPage(t *testing.T) {
	s := sit(t)
	s.ask(`{"type":"hold","press":9007199254740992,"directions":[{"frame":"joint","axis":4,"sign":1}]}`)
	s.frameAfter(sixtyth)
	s.bench.Leave()
	s.bench.Connect(bench.Welcome{}, words.English)
	s.look()
	from := s.angle
	s.pace.Last = s.now
	s.ask(holdJ5)
	for range 5 {
		s.frameAfter(sixtyth)
	}
	if !(s.angle > from) || math.IsNaN(from) {
		t.Errorf("joint 5 stays at %g°", s.angle)
	}
}
