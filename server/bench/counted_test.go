package bench

import (
	"crypto/ed25519"
	"testing"

	"handrule/scenarios"
	"handrule/scenarios/lesson"
	"handrule/scenarios/results"
	"handrule/words"
)

const twoChoices = head + "stages:\n" +
	"  - {text: One., choose: {question: q, options: [{text: a, right: true}, {text: b}, {text: c}]}}\n" +
	"  - {text: Two., choose: {question: q, options: [{text: a}, {text: b, right: true}]}}\n"

// signedAt returns the result of the lesson at the bench.
func signedAt(t *testing.T, b *Bench, sent *hearing) results.Result {
	t.Helper()
	ask(t, b, noon, `{"type":"result","learner":"Ada"}`)
	r, err := results.Read([]byte(last[ResultMessage](t, sent).Text), testKey.Public().(ed25519.PublicKey))
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// rested is a bench that was left, written down, made again and come back to.
func rested(t *testing.T, b *Bench) *Bench {
	t.Helper()
	b.Leave()
	state, log, err := b.Snapshot()
	if err != nil {
		t.Fatal(err)
	}
	if b, err = Restore(b.offer, b.env, state, log); err != nil {
		t.Fatal(err)
	}
	b.Connect(Welcome{}, words.English)
	return b
}

// Progress from before wrong answers were given does not take them back, whatever lies between: another lesson, another page, a
// rest of the bench at which it was written down.
func TestTriesAreNotWonBack(t *testing.T) {
	for name, between := range map[string]func(b *Bench) *Bench{
		"nothing":        func(b *Bench) *Bench { return b },
		"another lesson": func(b *Bench) *Bench { ask(t, b, noon, `{"type":"lesson","id":"straight-lines"}`); return b },
		"the same anew":  func(b *Bench) *Bench { ask(t, b, noon, `{"type":"lesson","id":"own","seed":1}`); return b },
		"another page": func(b *Bench) *Bench {
			b.Leave()
			b.Connect(Welcome{}, words.English)
			return b
		},
		"a rest": func(b *Bench) *Bench { return rested(t, b) },
	} {
		b, sent := lessonBench(t, twoChoices)
		ask(t, b, noon, `{"type":"lesson","id":"own","seed":1}`)
		early := last[ProgressMessage](t, sent).Token
		for range 19 {
			ask(t, b, noon, `{"type":"answer","options":[1]}`)
			ask(t, b, noon, `{"type":"stage","do":"again"}`)
		}
		b = between(b)
		sent = &hearing{b: b}
		ask(t, b, noon, `{"type":"lesson","id":"own","progress":"`+early+`"}`)
		ask(t, b, noon, `{"type":"answer","options":[0]}`)
		ask(t, b, noon, `{"type":"stage","do":"go","stage":1}`)
		ask(t, b, noon, `{"type":"answer","options":[1]}`)
		if r := signedAt(t, b, sent); r.Progress.Stages[0].Tries != 20 || r.Progress.Stages[1].Tries != 1 || !r.TriesVouched {
			t.Errorf("%s: %d and %d tries, vouched for: %v", name, r.Progress.Stages[0].Tries, r.Progress.Stages[1].Tries, r.TriesVouched)
		}
	}
}

// At a bench that knows nothing of it, nobody can say whether progress is the latest; the result says so, also after the
// lesson was left and taken up again.
func TestAResultSaysWhenTriesCannotBeVouchedFor(t *testing.T) {
	_, sent := lessonBench(t, twoChoices)
	token := last[ProgressMessage](t, sent).Token
	l, err := scenarios.ReadLesson("own.yaml", []byte(twoChoices))
	if err != nil {
		t.Fatal(err)
	}
	b, sent := testBench()
	b.offer.Lessons = append(b.offer.Lessons, l)
	ask(t, b, noon, `{"type":"lesson","id":"own","progress":"`+token+`"}`)
	ask(t, b, noon, `{"type":"answer","options":[0]}`)
	token = last[ProgressMessage](t, sent).Token
	ask(t, b, noon, `{"type":"lesson","id":""}`)
	ask(t, b, noon, `{"type":"lesson","id":"own","progress":"`+token+`"}`)
	ask(t, b, noon, `{"type":"stage","do":"go","stage":1}`)
	ask(t, b, noon, `{"type":"answer","options":[1]}`)
	if r := signedAt(t, b, sent); r.TriesVouched {
		t.Error("tries are vouched for")
	}
	ask(t, b, noon, `{"type":"lesson","id":"own"}`)
	ask(t, b, noon, `{"type":"answer","options":[0]}`)
	ask(t, b, noon, `{"type":"stage","do":"go","stage":1}`)
	ask(t, b, noon, `{"type":"answer","options":[1]}`)
	if r := signedAt(t, b, sent); !r.TriesVouched {
		t.Error("tries of a lesson that was begun here are not vouched for")
	}
}

// What a bench counts is bounded.
func TestCountingIsBounded(t *testing.T) {
	b, _ := lessonBench(t, twoChoices)
	for seed := range 5 * mostCounted {
		b.lesson.Lesson.Seed = uint64(seed)
		b.counted.Take(b.lesson.Run, false)
	}
	if len(b.counted.runs) > mostCounted {
		t.Errorf("%d lessons are counted in", len(b.counted.runs))
	}
}

// FuzzCounted has anything kept of an assessment: it is read and written again, or refused.
func FuzzCounted(f *testing.F) {
	var l *lesson.Lesson
	for _, shipped := range scenarios.ShippedLessons() {
		if shipped.Assessment != nil {
			l = shipped
		}
	}
	c := NewCounted(3)
	c.Take(lesson.NewRun(l), true)
	text, err := c.Pack(l)
	if err != nil {
		f.Fatal(err)
	}
	f.Add(text)
	f.Add([]byte{packedCounted, 2})
	f.Fuzz(func(t *testing.T, text []byte) {
		c := NewCounted(3)
		if c.Unpack(l, text) != nil {
			return
		}
		if _, err := c.Pack(l); err != nil {
			t.Errorf("what was read cannot be written: %v", err)
		}
		c.Again(lesson.NewRun(l))
	})
}
