package bench

import (
	"encoding/json"
	"testing"
	"time"
)

// A standing tells where the learner is, what was tried and what was answered last, and stays small.
func TestStanding(t *testing.T) {
	b, _ := lessonBench(t, head+`stages:
  - {title: First, text: look}
  - title: Which
    text: say it
    predict: {jog: base y +50, ask: direction}
`)
	if s := b.Standing(); s.Lesson != "own" || s.Title != "Own" || s.Stage != "First" || s.At != 0 || len(s.Stages) != 2 || s.Stages[0].Task || s.Stages[0].Done || !s.Stages[1].Task {
		t.Errorf("%+v", s)
	}
	at := noon
	for _, request := range []string{
		`{"type":"stage","do":"go","stage":1}`, `{"type":"answer","direction":"x +"}`, `{"type":"answer","direction":"y -"}`,
	} {
		at = at.Add(7 * time.Second)
		ask(t, b, at, request)
	}
	s := b.Standing()
	which := s.Stages[1]
	if s.At != 1 || s.Stage != "Which" || s.ID == "" || !s.Stages[0].Done || s.Stages[0].Seconds != 5 || which.Done || which.Tries != 2 || which.Seconds != 10 || which.Wrong == nil || which.Wrong.Direction != "y -" {
		t.Errorf("%+v, %+v", s, which)
	}
	ask(t, b, at, `{"type":"answer","direction":"y +"}`)
	if s := b.Standing(); !s.Stages[1].Done || s.Stages[1].Tries != 3 || s.Stages[1].Wrong == nil {
		t.Errorf("%+v", s)
	}
	for _, l := range b.offer.Lessons {
		text, err := json.Marshal(b.Standing())
		if err != nil || len(text) > 1500 {
			t.Errorf("%s: %d bytes, %v", l.ID, len(text), err)
		}
		ask(t, b, at, `{"type":"lesson","id":"`+l.ID+`"}`)
	}
	ask(t, b, at, `{"type":"lesson","id":""}`)
	if s := b.Standing(); s.Lesson != "" || s.Stages != nil {
		t.Errorf("%+v", s)
	}
}
