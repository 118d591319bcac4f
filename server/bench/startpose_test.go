package bench

import (
	"encoding/json"
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

// Put at joints that were asked for, the arm is put back by an undo, with its log, from its start pose too; and "start pose" leads to the start
// pose as before. Where it cannot stand nothing is changed.
func TestWhereItIsPutCanBeUndone(t *testing.T) {
	b, h := testBench()
	ask(t, b, noon, `{"type":"scene","arm":"wren","cell":"glazing-bench","tool":"","joints_deg":[0,20,0,0,70,0]}`)
	start := b.drive().Joints()
	const straight = `{"type":"restart","joints_deg":[0,0,0,0,0,0]}`
	for driven := range 2 {
		if driven == 1 {
			ask(t, b, noon, stepUp)
			finish(t, b, noon)
		}
		before := b.drive().Joints()
		ask(t, b, noon, straight)
		ask(t, b, noon, straight) // once more changes nothing
		if m := last[LogMessage](t, h); b.drive().Joints() != (kinematics.Joints{}) || len(m.Entries) != 0 || !m.Undo {
			t.Fatalf("%v, the log has %d entries, and undo is %v", b.drive().Joints().Degrees(), len(m.Entries), m.Undo)
		}
		state, written, err := b.Snapshot()
		if err != nil {
			t.Fatal(err)
		}
		offer := shipped()
		kept, err := Restore(&offer, testEnv(), state, written)
		if err != nil {
			t.Fatal(err)
		}
		for _, b := range []*Bench{b, kept} {
			ask(t, b, noon, `{"type":"undo"}`)
			finish(t, b, noon)
			if got := b.drive().Joints(); got != before || b.driven.log.Len() != driven {
				t.Errorf("an undo leads to %v with %d jogs, and it stood at %v with %d", got.Degrees(), b.driven.log.Len(), before.Degrees(), driven)
			}
		}
	}
	ask(t, b, noon, straight)
	ask(t, b, noon, `{"type":"restart"}`)
	if got := b.drive().Joints(); got != start {
		t.Errorf("the start pose is %v, and was %v", got.Degrees(), start.Degrees())
	}
	for _, no := range []string{"[0,170,0,0,0,0]", "[0,100,20,0,0,0]"} { // beyond a limit; in the table
		var r RestartRequest
		if err := json.Unmarshal([]byte(`{"joints_deg":`+no+`}`), &r); err != nil {
			t.Fatal(err)
		}
		if err := b.Handle(&r, noon); err == nil || b.drive().Joints() != start || !last[LogMessage](t, h).Undo {
			t.Errorf("%s: %v, %v", no, err, b.drive().Joints().Degrees())
		}
	}
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
