package jog

import (
	"bytes"
	"math"
	"testing"

	"handrule/kinematics"
	"handrule/kinematics/clearance"
)

// Codes in the bytes of a log are never given twice.
func TestCodesOfALogAreUnique(t *testing.T) {
	for _, f := range Frames {
		if frameOf(f.Traits().code) != f {
			t.Errorf("the %s frame has no code of its own", f)
		}
	}
	for _, r := range Reasons {
		if reasonOf(r.Traits().code) != r {
			t.Errorf("%q has no code of its own", r)
		}
	}
	if len(kinds) > 8 || len(kinds) < 4 {
		t.Errorf("kinds %v", kinds)
	}
}

// someLog has an entry of every kind.
func someLog(t testing.TB) *Log {
	t.Helper()
	together, err := StepTogether(BaseFrame, "", [6]float64{10, -20, 0, 0.1, 0, 0.2}, 50, 0.5)
	if err != nil {
		t.Fatal(err)
	}
	held, err := HeldTogether([]Direction{{Frame: ToolFrame, Axis: 1, Sign: -1}, {Frame: ToolFrame, Axis: 5, Sign: 1}}, 50, 0.3)
	if err != nil {
		t.Fatal(err)
	}
	odd := together
	odd.Asked = Asked{}
	step := Jog{Direction: Direction{Frame: JointFrame, Axis: 2, Sign: -1}, Amount: 0.3, Speed: 0.5}
	inTask := Jog{Direction: Direction{Frame: TaskFrames, Task: "tray", Axis: 0, Sign: 1}, Amount: math.Inf(1), Speed: 20}
	var l Log
	q := kinematics.Joints{0.1, 0.2, 0.3, 0.4, 0.5, 0.6}
	for i, j := range []Jog{step, together, held, odd, odd.Reversed(), inTask} {
		e := Entry{Number: i + 1, Jog: j, Tool: "pen", TCP: kinematics.Identity, From: q, Began: int64(1000 * i), Ended: int64(1000*i + 700), lean: [6]int8{-127, 3, 0, 0, 0, 127}}
		q[i] += 0.01
		e.To = q
		e.Stop = Stop{Reason: Done, Travel: j.Amount}
		if j.Held() {
			e.LetGo, e.Stop.Reason, e.Stop.Travel = 300, Released, 12.5
		}
		if j.Frame == TaskFrames {
			e.Task = TaskFrame{Name: "tray", Pose: kinematics.Identity}
			e.Stop.Reason = Contact
			e.Stop.Touch.A, e.Stop.Touch.B = clearance.Part{Name: "pen", Link: 6, Tool: true}, clearance.Part{Name: "table", Link: clearance.Outside, Index: 2}
		}
		l.add(e)
		got := l.Entry(i)
		got.Stop.Turned, got.Stop.Jog, e.Stop.Jog = kinematics.Joints{}, Jog{}, Jog{}
		if got.Jog != e.Jog || got.From != e.From || got.To != e.To || got.Stop != e.Stop || got.LetGo != e.LetGo || got.lean != e.lean || got.Task.Name != e.Task.Name {
			t.Fatalf("packed %+v\nunpacked %+v", e, got)
		}
		if n := len(l.entries[i]); i > 0 && n > 150 && j != odd && j != odd.Reversed() {
			t.Errorf("%v takes %d bytes", j, n)
		}
	}
	l.begun = l.Len()
	return &l
}

func TestALogIsReadAsItWasWritten(t *testing.T) {
	l := someLog(t)
	data, err := l.MarshalBinary()
	if err != nil {
		t.Fatal(err)
	}
	var again Log
	if err := again.UnmarshalBinary(data); err != nil {
		t.Fatal(err)
	}
	second, _ := again.MarshalBinary()
	if !bytes.Equal(data, second) || again.CanUndo() != l.CanUndo() || again.Len() != l.Len() {
		t.Error("written again it is another")
	}
	for cut := range data {
		if err := again.UnmarshalBinary(data[:cut]); err == nil {
			t.Fatalf("%d of %d bytes are read as a log", cut, len(data))
		}
	}
	if after, _ := again.MarshalBinary(); !bytes.Equal(after, data) {
		t.Error("an error has changed the log")
	}
}

// A log is bounded, however much is driven, and jogs that go nowhere push out nothing that can be undone.
func TestALogIsBounded(t *testing.T) {
	var l Log
	step := Jog{Direction: Direction{Frame: JointFrame, Axis: 2, Sign: 1}, Amount: 0.3, Speed: 0.5}
	q := kinematics.Joints{}
	for i := range 3 * entriesKept {
		e := Entry{Jog: step, Tool: "pen", TCP: kinematics.Identity, From: q, To: q, SetDistance: float64(i)}
		e.Stop = Stop{Reason: JointLimit, Joint: 2}
		if i%2 == 0 || i < entriesKept {
			q[2] += 1e-3
			e.To, e.Stop = q, Stop{Reason: Done, Travel: step.Amount}
		}
		l.keep(e)
		if i == 2*entriesKept && l.went < entriesKept-refusedKept {
			t.Fatalf("%d refused jogs have left %d of the others", entriesKept/2, l.went)
		}
	}
	if l.Len() > entriesKept || l.Len()-l.went > refusedKept || len(l.around) > 3*entriesKept {
		t.Errorf("%d entries, %d of them went somewhere; %d surroundings", l.Len(), l.went, len(l.around))
	}
	all := l.Entries()
	for i := range all[1:] {
		if all[i+1].From != all[i].To || all[i+1].Number <= all[i].Number {
			t.Fatalf("entry %d does not begin where the one before it ended", i+1)
		}
	}
	if all[len(all)-1].To != q {
		t.Error("the last entry is not the last jog")
	}
	data, _ := l.MarshalBinary()
	var again Log
	if err := again.UnmarshalBinary(data); err != nil || again.went != l.went {
		t.Errorf("%v", err)
	}
}

// Whatever bytes come, they are a log that is written as it was read, or an error.
func FuzzLogBytes(f *testing.F) {
	data, err := someLog(f).MarshalBinary()
	if err != nil {
		f.Fatal(err)
	}
	f.Add(data)
	f.Add([]byte{logVersion})
	f.Fuzz(func(t *testing.T, data []byte) {
		var l Log
		if l.UnmarshalBinary(data) != nil {
			return
		}
		l.Entries()
		if again, err := l.MarshalBinary(); err != nil || len(again) > len(data) {
			t.Errorf("%v: %d bytes are written as %d", err, len(data), len(again))
		}
	})
}
