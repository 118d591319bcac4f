package bench

import (
	"crypto/ed25519"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"testing"
	"time"

	"handrule/kinematics"
	"handrule/scenarios"
	"handrule/scenarios/results"
	"handrule/words"
)

// This file is what the tests of the bench share: an owner that hands it requests and time, and a page that hears all of it.

var noon = time.Date(2026, 1, 1, 12, 0, 0, 0, time.UTC)

func shipped() Offer {
	return Offer{Arms: scenarios.ShippedArms(), Cells: scenarios.ShippedCells(), Lessons: scenarios.ShippedLessons()}
}

var _, testKey, _ = ed25519.GenerateKey(nil)

func testEnv() Env { return Env{Random: rand.Uint64, Vault: results.Vault{Key: testKey}} }

// hearing is a page that keeps what it hears.
type hearing struct {
	b        *Bench
	messages []any
	frames   int
}

// all returns what was heard so far.
func (h *hearing) all() []any {
	h.b.Tell(noon, h.hear)
	return h.messages
}

func (h *hearing) forget() {
	h.all()
	h.messages = nil
}

func (h *hearing) hear(m Message) {
	if m.Frame {
		h.frames++
		return
	}
	var head struct {
		Type string `json:"type"`
	}
	if err := json.Unmarshal(m.Text, &head); err != nil {
		panic(fmt.Sprintf("%v in %s", err, m.Text))
	}
	message := reflect.New(reflect.TypeOf(Replies[head.Type]))
	if err := json.Unmarshal(m.Text, message.Interface()); err != nil {
		panic(err)
	}
	h.messages = append(h.messages, message.Elem().Interface())
}

// testBench is a bench with a page that hears all it tells.
func testBench() (*Bench, *hearing) {
	offer := shipped()
	b := New(&offer, testEnv())
	b.Connect(Welcome{}, words.English)
	h := &hearing{b: b}
	h.all()
	return b, h
}

// think answers all questions of the bench.
func think(b *Bench) {
	for q := b.Question(); q != nil; q = b.Question() {
		for !q.Work() {
		}
		b.Answer(q)
	}
}

func ask(t testing.TB, b *Bench, now time.Time, text string) {
	t.Helper()
	request, err := Decode([]byte(text))
	if err == nil {
		err = b.Handle(request, now)
	}
	if err != nil {
		t.Fatalf("%s: %v", text, err)
	}
	think(b)
}

// finish runs the clock until the arm stands.
func finish(t testing.TB, b *Bench, now time.Time) {
	t.Helper()
	for range 100_000 {
		if !b.drive().Moving() {
			think(b)
			return
		}
		b.Advance(4, now)
	}
	t.Fatal("the arm does not come to rest")
}

// last returns the last message of its type that was heard.
func last[T any](t testing.TB, h *hearing) T {
	t.Helper()
	all := h.all()
	for i := len(all) - 1; i >= 0; i-- {
		if m, ok := all[i].(T); ok {
			return m
		}
	}
	t.Fatalf("no %T was heard", *new(T))
	panic("")
}

// readState is the arm as the page is told of it, in full precision.
type readState struct {
	JointsDeg, SpeedsDegS [6]float64
	Links                 [7]Place
	TCP                   struct{ PositionMM, FixedXYZDeg [3]float64 }
	TCPSpeedMMS           float64
	Moving                bool
	Clearance             ClearanceView
	Crashes               int
}

func (b *Bench) state() (s readState) {
	p := b.pose()
	s.JointsDeg, s.SpeedsDegS = b.drive().Joints().Degrees(), b.drive().Speeds.Degrees()
	s.Links, s.TCPSpeedMMS, s.Moving = places(p.links), p.speed, b.drive().Moving()
	at := b.seen(p.tcp)
	s.TCP.PositionMM = array(at.Position)
	fixed, _ := at.Rotation.FixedXYZ()
	s.TCP.FixedXYZDeg = kinematics.Degrees3(array(fixed))
	if near, ok := b.drive().Clearance(); ok {
		s.Clearance = *clearanceView(near, b.in)
	}
	s.Crashes = b.driven.crashes
	return s
}

// readFrame reads a binary frame by its layout: the numbers by their names, and those of the orientation.
func readFrame(t testing.TB, text []byte) (numbers map[string][]float64, orientation []float64) {
	t.Helper()
	numbers = map[string][]float64{}
	take := func(n int) []byte {
		if len(text) < n {
			t.Fatal("the frame is too short")
		}
		part := text[:n]
		text = text[n:]
		return part
	}
	for _, f := range FrameLayout {
		for range f.Count {
			var x float64
			switch f.Type {
			case "u8":
				x = float64(take(1)[0])
			case "i16":
				x = float64(int16(binary.LittleEndian.Uint16(take(2))))
			case "u32":
				x = float64(binary.LittleEndian.Uint32(take(4)))
			case "i32":
				x = float64(int32(binary.LittleEndian.Uint32(take(4))))
			case "f32":
				x = float64(math.Float32frombits(binary.LittleEndian.Uint32(take(4))))
			}
			numbers[f.Name] = append(numbers[f.Name], x*f.Unit)
		}
	}
	for len(text) > 0 {
		orientation = append(orientation, float64(int32(binary.LittleEndian.Uint32(take(4))))*OrientationUnit)
	}
	return numbers, orientation
}
