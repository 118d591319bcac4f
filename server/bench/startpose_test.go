package bench

import (
	"testing"

	"handrule/kinematics"
)

const stepUp = `{"type":"step","direction":{"frame":"joint","task":"","axis":2,"sign":1}}`

// An undo of "start pose" puts the arm back where it stood, bit for bit, with its log; a second one goes on with the last jog.
func TestTheStartPoseCanBeUndone(t *testing.T) {
	b, h := testBench()
	for range 3 {
		ask(t, b, noon, stepUp)
		finish(t, b, noon)
	}
	before := b.drive().Joints()
	ask(t, b, noon, `{"type":"restart"}`)
	if m := last[LogMessage](t, h); b.drive().Joints() != (kinematics.Joints{}) || len(m.Entries) != 0 || !m.Undo {
		t.Fatalf("at the start pose the log has %d entries, and undo is %v", len(m.Entries), m.Undo)
	}
	ask(t, b, noon, `{"type":"restart"}`) // once more changes nothing
	// It also leads back from jogs that were made at the start pose, one by one.
	ask(t, b, noon, stepUp)
	finish(t, b, noon)
	for range 2 {
		ask(t, b, noon, `{"type":"undo"}`)
		finish(t, b, noon)
	}
	if got := b.drive().Joints(); got != before {
		t.Errorf("the arm stands at %v, and stood at %v", got.Degrees(), before.Degrees())
	}
	if m := last[LogMessage](t, h); len(m.Entries) != 3 || !m.Undo {
		t.Errorf("the log has %d entries, and undo is %v", len(m.Entries), m.Undo)
	}
	ask(t, b, noon, `{"type":"undo"}`)
	finish(t, b, noon)
	if m := last[LogMessage](t, h); b.driven.log.Len() != 2 || !m.Undo {
		t.Errorf("after another undo the log has %d entries", b.driven.log.Len())
	}
	ask(t, b, noon, stepUp)
	finish(t, b, noon)
}

// There is nothing to go back to where the arm has not moved, in another cell, or with another arm; and not while it moves.
func TestWhereTheStartPoseCannotBeUndone(t *testing.T) {
	b, h := testBench()
	refused := func(what string) {
		t.Helper()
		if b.Handle(&UndoRequest{}, noon) == nil {
			t.Errorf("%s: an undo is done", what)
		}
	}
	ask(t, b, noon, `{"type":"restart"}`)
	refused("it has not moved")
	if last[LogMessage](t, h).Undo {
		t.Error("an undo of nothing is offered")
	}
	ask(t, b, noon, stepUp)
	finish(t, b, noon)
	ask(t, b, noon, `{"type":"restart"}`)
	ask(t, b, noon, stepUp)
	refused("it moves")
	finish(t, b, noon)
	for _, away := range []string{`{"type":"cell","id":"glazing-bench"}`, `{"type":"arm","id":"plover"}`, `{"type":"lesson","id":"joints-one-at-a-time","progress":"","seed":1}`} {
		ask(t, b, noon, `{"type":"restart"}`)
		ask(t, b, noon, away)
		refused(away)
		ask(t, b, noon, `{"type":"scene","arm":"wren","cell":"","tool":"","joints_deg":[10,0,0,0,0,0]}`)
		ask(t, b, noon, stepUp)
		finish(t, b, noon)
	}
	// A tool that would be in the table there.
	ask(t, b, noon, `{"type":"scene","arm":"wren","cell":"glazing-bench","tool":"none","joints_deg":[-20,0,30,0,60,0]}`)
	ask(t, b, noon, `{"type":"frame","frame":"world","task":""}`)
	ask(t, b, noon, `{"type":"increment","mm":400,"deg":5}`)
	ask(t, b, noon, `{"type":"step","direction":{"frame":"world","task":"","axis":2,"sign":-1}}`)
	finish(t, b, noon)
	ask(t, b, noon, `{"type":"restart"}`)
	ask(t, b, noon, `{"type":"tool","name":"pen"}`)
	refused("the longer tool would be in the table")
}
