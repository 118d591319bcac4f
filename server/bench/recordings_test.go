package bench

import (
	"encoding/json"
	"testing"

	"handrule/kinematics/jog"
)

// recordings returns the views among what was sent.
func recordings(sent []any) (views []RecordingView) {
	for _, m := range sent {
		if v, is := m.(RecordingView); is {
			views = append(views, v)
		}
	}
	return views
}

func TestRecordingsComeToAPageThatShowsThem(t *testing.T) {
	b, sent := testBench()
	step := func(text string) []RecordingView {
		sent.forget()
		ask(t, b, noon, text)
		for b.Busy() {
			b.Advance(4, noon)
			sent.all()
		}
		return recordings(sent.all())
	}
	ask(t, b, noon, `{"type":"increment","mm":50,"deg":90}`)
	if n := len(step(`{"type":"step","direction":{"frame":"joint","axis":4,"sign":1}}`)); n != 0 {
		t.Fatalf("%d recordings for a page that shows none", n)
	}
	sent.forget()
	ask(t, b, noon, `{"type":"show","room":false,"plot":true,"of":"tcp","form":"fixed_xyz"}`)
	views := recordings(sent.all())
	if len(views) != 1 || !views[0].OfJoint || views[0].WorkDeg != [6]float64{4: 90} {
		t.Fatalf("when the plot is opened: %d recordings", len(views))
	}
	views = step(`{"type":"step","direction":{"frame":"base","axis":1,"sign":1}}`)
	if len(views) < 3 || views[0].Done || !views[len(views)-1].Done {
		t.Fatalf("%d recordings of a jog of a second and more", len(views))
	}
	last := views[len(views)-1]
	if last.OfJoint || last.Travel[len(last.Travel)-1] != 50 || last.AnglesDeg[4][0] != 90 {
		t.Errorf("a straight jog of 50 mm from J5 at 90°: it ends at %g, J5 began at %g", last.Travel[len(last.Travel)-1], last.AnglesDeg[4][0])
	}
	for i := range last.AnglesDeg {
		if len(last.AnglesDeg[i]) != len(last.Travel) || len(last.SpeedsDegS[i]) != len(last.TimeS) {
			t.Fatal("not all lines have the same number of samples")
		}
		if end := thousandths(b.state().JointsDeg[i]); last.AnglesDeg[i][len(last.Travel)-1] != end {
			t.Errorf("J%d ends at %g, and stands at %g", i+1, last.AnglesDeg[i][len(last.Travel)-1], end)
		}
	}
	if text, err := json.Marshal(last); err != nil || len(text) > 30_000 {
		t.Errorf("%d bytes, %v", len(text), err)
	}
	views = step(`{"type":"undo"}`)
	if v := views[len(views)-1]; !v.Back || v.OfJoint || v.Direction.Sign != -1 {
		t.Errorf("an undo is recorded as %+v", v.Direction)
	}
}

// Both recordings outlive the way back to the start pose, also from the middle of a jog, but not the arm.
func TestRecordingsAreOfTheArmOnTheBench(t *testing.T) {
	b, _ := testBench()
	for _, text := range []string{
		`{"type":"increment","mm":10,"deg":90}`,
		`{"type":"step","direction":{"frame":"joint","axis":4,"sign":1}}`,
	} {
		ask(t, b, noon, text)
		finish(t, b, noon)
	}
	ask(t, b, noon, `{"type":"step","direction":{"frame":"base","axis":0,"sign":-1}}`)
	ask(t, b, noon, `{"type":"restart"}`)
	if b.plot.OfJoint == nil || b.plot.InFrame == nil || !b.plot.InFrame.Done {
		t.Error("the way back to the start pose loses a recording, or leaves one open")
	}
	ask(t, b, noon, `{"type":"step","direction":{"frame":"joint","axis":0,"sign":1}}`)
	finish(t, b, noon)
	if of := b.plot.OfJoint; of.Jog.Axis != 0 || of.Samples()[0].Joints != [6]float64{} {
		t.Errorf("after it, %v is recorded from %v", of.Jog, of.Samples()[0].Joints)
	}
	ask(t, b, noon, `{"type":"arm","id":"curlew"}`)
	if b.plot != (jog.Recorder{}) {
		t.Error("another arm has the recordings of the one before")
	}
}
