package bench

import (
	"encoding/json"
	"math"
	"testing"
	"time"

	"pgregory.net/rapid"

	_ "handrule/internal/draws"

	"handrule/words"
)

// whatIs is all that an error must not have changed.
func whatIs(b *Bench) string {
	text, _ := json.Marshal(map[string]any{
		"chosen": b.chosen, "joints": b.drive().Joints(), "moving": b.drive().Moving(), "ending": b.drive().Ending(), "queue": b.control.queue,
		"playing": b.control.playing != nil, "held": b.control.held != nil, "log": b.driven.log.Len(), "lesson": b.lesson != nil, "predicting": b.predicting.on,
		"asked": b.predicting.asked != nil || b.predicting.pending != nil, "ways": b.ways.goal != nil, "press": b.page.press, "taught": len(b.mounted.taught),
	})
	return string(text)
}

// Whatever a page asks, in whatever order: the joints stay within their limits, everything can be told, and what is refused has
// changed nothing.
func TestRandomRequestsKeepTheBenchRight(t *testing.T) { rapid.Check(t, randomRequests()) }

func FuzzRequestSequences(f *testing.F) { f.Fuzz(rapid.MakeFuzz(randomRequests())) }

func randomRequests() func(*rapid.T) {
	offer := shipped()
	return func(t *rapid.T) {
		b := New(&offer, testEnv())
		b.Connect(Welcome{}, words.English)
		hear := &hearing{b: b}
		now, press := noon, 0
		for range rapid.IntRange(1, 25).Draw(t, "requests") {
			var request any
			switch rapid.IntRange(0, 9).Draw(t, "also") {
			case 0:
				request = &PlayRequest{Name: "jogs.txt", Text: rapid.SampledFrom([]string{"joint J1 +5\njoint J5 +30\nbase x +10\n", "base q 1", "mount-tool none\njoint J2 +900\n"}).Draw(t, "file")}
			case 1:
				request = &ReleaseRequest{}
			default:
				request = anyRequest(t, b, &press)
			}
			before := whatIs(b)
			b.expire(now) // which any request does first
			if expired := whatIs(b); expired != before {
				before = expired
			}
			if err := b.Handle(request, now); err != nil {
				if after := whatIs(b); after != before {
					t.Fatalf("%T %+v was refused, %v, and changed\n%s to\n%s", request, request, err, before, after)
				}
			}
			if rapid.Bool().Draw(t, "think") {
				think(b)
			}
			for range rapid.IntRange(0, 40).Draw(t, "frames") {
				now = now.Add(16 * time.Millisecond)
				if b.Busy() {
					b.Advance(4, now)
				}
			}
			hear.all() // which panics where something cannot be read again
			q := b.drive().Joints()
			if !b.mounted.arm.Geometry.Within(q) {
				t.Fatalf("after %T %+v the joints are at %v, beyond a limit", request, request, q.Degrees())
			}
			for _, angle := range q {
				if math.IsNaN(angle) || math.IsInf(angle, 0) {
					t.Fatalf("after %T the joints are at %v", request, q)
				}
			}
		}
		b.Leave() // while a lesson may be being dealt
	}
}

// What is no request is refused, and what is one does no harm.
func FuzzDecode(f *testing.F) {
	for _, text := range []string{`{}`, `{"type":"step","direction":{"frame":"base","axis":0,"sign":1}}`, `{"type":"hold","press":1,"directions":[],"speed_part":5e-324}`, `[1`, `{"type":"play","name":"x","text":"joint J1 +5"}`} {
		f.Add([]byte(text))
	}
	offer := shipped()
	f.Fuzz(func(t *testing.T, text []byte) {
		b := New(&offer, testEnv())
		b.Connect(Welcome{}, words.English)
		b.Request(text, noon)
		for range 10 {
			b.Advance(4, noon.Add(time.Second))
		}
		(&hearing{b: b}).all()
		if q := b.drive().Joints(); !b.mounted.arm.Geometry.Within(q) {
			t.Errorf("%s: the joints are at %v", text, q.Degrees())
		}
	})
}

// Leaving a lesson by choosing a cell leaves all of it: what it allowed, its goal and its start.
func TestChoosingACellLeavesTheLesson(t *testing.T) {
	b, sent := testBench()
	ask(t, b, noon, `{"type":"lesson","id":"not-touching-things"}`)
	ask(t, b, noon, `{"type":"cell","id":"glazing-bench"}`)
	m, s := last[LessonMessage](t, sent), last[Setup](t, sent)
	if m.ID != "" || s.Lesson != "" || s.Cell != "glazing-bench" || b.lesson != nil || len(m.Allow.Frames) != 0 || m.Allow.Withheld {
		t.Errorf("%+v, %+v", m, s)
	}
	if w := last[WaysMessage](t, sent); w.LessonGoal {
		t.Error("the lesson's target is still offered")
	}
	ask(t, b, noon, `{"type":"step","direction":{"frame":"joint","axis":0,"sign":1}}`)
	finish(t, b, noon)
}
