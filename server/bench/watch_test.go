package bench

import (
	"math"
	"testing"
	"time"

	"handrule/kinematics"
	"handrule/kinematics/jog"
	"handrule/scenarios/spoken"
	"handrule/words"
)

// watching hears what a watcher is told.
type watching struct {
	*hearing
	w     *Watcher
	frame []byte
}

func (h *watching) look() {
	h.b.Tell(noon, func(Message) {})
	h.b.TellWatcher(h.w, noon, func(m Message) {
		if m.Frame {
			h.frame = append([]byte(nil), m.Text...)
		}
		h.hear(m)
	})
}

func watch(b *Bench, r Reading, in *words.Language) *watching {
	h := &watching{hearing: &hearing{b: b}, w: b.Watch(r, in)}
	h.look()
	return h
}

// A watcher sees the arm as its own page does, read as the watcher chooses, and nothing else of what its learner does.
func TestAWatcherSeesTheArm(t *testing.T) {
	b, own := testBench()
	spanish := words.Find("es")
	other := watch(b, Reading{ReadIn: ReadInRequest{Frame: jog.WorldFrame}, Of: OfFlange, Form: spoken.Quaternion, Unit: words.Inch}, spanish)
	same := watch(b, Reading{ReadIn: ReadInRequest{Frame: jog.BaseFrame}, Of: OfTCP, Form: spoken.FixedXYZ, Unit: words.MM}, words.English)
	if setup := lastOf[Setup](t, other); setup.ReadIn.Frame != jog.BaseFrame && setup.ReadIn.Frame != jog.WorldFrame || setup.Unit != words.Inch {
		t.Errorf("it reads as %+v", setup)
	}
	ask(t, b, noon, `{"type":"lesson","id":"first-straight-line"}`)
	ask(t, b, noon, `{"type":"lesson","id":""}`)
	ask(t, b, noon, `{"type":"cell","id":"glazing-bench"}`)
	ask(t, b, noon, `{"type":"frame","frame":"joint","task":""}`)
	ask(t, b, noon, `{"type":"step","direction":{"frame":"joint","axis":4,"sign":1}}`)
	for b.Busy() {
		b.Advance(4, noon.Add(time.Millisecond))
		other.look()
		same.look()
		if string(same.frame) != string(b.page.frame.text) {
			t.Fatal("who reads the arm alike gets another frame than its own page")
		}
	}
	other.look()
	same.look()
	mine, _ := readFrame(t, b.page.frame.text)
	theirs, orientation := readFrame(t, other.frame)
	if len(orientation) != 4 || mine["joints"][4] != theirs["joints"][4] {
		t.Errorf("the orientation is told as %v", orientation)
	}
	world, _ := b.drive().Frame(jog.WorldFrame, "", kinematics.Identity)
	for i, at := range array(seenIn(world, b.pose().tcp).Position) {
		if math.Abs(theirs["tcp_mm"][i]-at) > 1e-3 {
			t.Errorf("in the world the TCP is read at %v, want %v", theirs["tcp_mm"], at)
		}
	}
	if setup := lastOf[Setup](t, other); setup.ReadIn.Frame != jog.WorldFrame {
		t.Errorf("it reads in %+v", setup.ReadIn)
	}
	if cell, own := lastOf[CellMessage](t, other), last[CellMessage](t, own); cell.Name == own.Name {
		t.Errorf("the cell is called %q in Spanish, too", cell.Name)
	}
	for _, m := range append(other.messages, same.messages...) {
		switch m.(type) {
		case ArmMessage, CellMessage, Setup, FramesView, MotionView, NearestView, NoteView, StopMessage, Ghost:
		default:
			t.Errorf("a watcher was told %T", m)
		}
	}
	if setup := last[Setup](t, own); setup.ReadIn.Frame != jog.BaseFrame || setup.Unit != words.MM {
		t.Errorf("the arm's own page reads as %+v now", setup)
	}

	// Who comes later is told everything.
	heard := len(same.messages)
	same.look()
	if len(same.messages) != heard {
		t.Errorf("%d messages tell nothing new", len(same.messages)-heard)
	}
	same.w.Retell()
	same.look()
	if len(same.messages)-heard < 7 {
		t.Errorf("only %d messages tell everything anew", len(same.messages)-heard)
	}
	b.Unwatch(same.w)
	if len(b.watchers) != 1 {
		t.Error("it still watches")
	}
}

func lastOf[T any](t *testing.T, h *watching) T {
	t.Helper()
	for i := len(h.messages) - 1; i >= 0; i-- {
		if m, is := h.messages[i].(T); is {
			return m
		}
	}
	t.Fatalf("no %T was told", *new(T))
	panic("")
}

// Another bench is put where an arm stands, exactly.
func TestASceneIsWhereTheArmStands(t *testing.T) {
	b, _ := testBench()
	ask(t, b, noon, `{"type":"cell","id":"glazing-bench"}`)
	ask(t, b, noon, `{"type":"step","direction":{"frame":"joint","axis":4,"sign":1}}`)
	finish(t, b, noon)
	ask(t, b, noon, `{"type":"step","direction":{"frame":"base","axis":2,"sign":1}}`)
	finish(t, b, noon)
	other, _ := testBench()
	scene := b.Scene()
	if err := other.Handle(&scene, noon); err != nil {
		t.Fatal(err)
	}
	for i, q := range b.drive().Joints() {
		if math.Abs(other.drive().Joints()[i]-q) > 1e-14 {
			t.Errorf("J%d is at %v there, and at %v here", i+1, other.drive().Joints()[i], q)
		}
	}
	if other.mounted.cell == nil || other.chosen.Tool != b.chosen.Tool {
		t.Error("it is another scene")
	}
}
