package bench

import (
	"fmt"
	"math"
	"testing"
	"time"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
)

const bendWrist = `{"type":"step","direction":{"frame":"joint","axis":4,"sign":1}}`

func TestAJogAsksBeforeItMoves(t *testing.T) {
	b, sent := testBench()
	ask(t, b, noon, `{"type":"increment","mm":40,"deg":90}`)
	step(t, b, bendWrist)
	ask(t, b, noon, `{"type":"predict-first","on":true,"joints":false}`)
	before := b.drive().Joints()
	ask(t, b, noon, `{"type":"step","direction":{"frame":"base","axis":1,"sign":1}}`)
	q := last[PredictionsMessage](t, sent).Question
	if b.drive().Moving() || b.drive().Joints() != before || q == nil || q.Asks != AsksWay {
		t.Fatalf("the jog did not ask first: %+v", q)
	}
	if g := last[Ghost](t, sent); g.Direction != nil {
		t.Error("the ghost gives the answer away")
	}
	if b.keyOf(aboutRoom) != nil {
		t.Error("the room to move gives the answer away")
	}
	// An arrow 20° from +Y towards +Z, of some length.
	off := kinematics.Radians(20)
	ask(t, b, noon, fmt.Sprintf(`{"type":"predict","arrow":[0,%g,%g]}`, 3*math.Cos(off), 3*math.Sin(off)))
	if !b.drive().Moving() {
		t.Fatal("the arm does not answer")
	}
	finish(t, b, noon)
	m := last[PredictionsMessage](t, sent)
	if len(m.Given) != 1 || m.Question != nil {
		t.Fatalf("%+v", m)
	}
	if p := m.Given[0]; math.Abs(*p.OffDeg-20) > 1e-6 || !p.Right {
		t.Errorf("%+v; it was 20° off", p)
	}
	if moved := r3.Sub(b.drive().TCP().Position, b.mounted.arm.Geometry.Forward(before).Mul(b.drive().Tool()).Position); math.Abs(moved.Y-40) > 1e-6 {
		t.Errorf("the arm moved by %v after the answer", moved)
	}
	// A second, 90° off: the mean is of both. Then all is forgotten.
	ask(t, b, noon, `{"type":"step","direction":{"frame":"base","axis":1,"sign":-1}}`)
	ask(t, b, noon, `{"type":"predict","arrow":[1,0,0]}`)
	finish(t, b, noon)
	if m := last[PredictionsMessage](t, sent); m.Count != 2 || m.Right != 1 || m.Measured != 2 || math.Abs(*m.MeanDeg-55) > 1e-6 {
		t.Errorf("%+v", m)
	}
	ask(t, b, noon, `{"type":"predict","forget":true}`)
	if m := last[PredictionsMessage](t, sent); m.Count != 0 || m.MeanDeg != nil || len(m.Given) != 0 {
		t.Errorf("not forgotten: %+v", m)
	}
}

// Of a joint it is the TCP's starting direction, here across the arm; where the TCP is on the joint's axis, the axis.
func TestOfAJointTheStartIsAsked(t *testing.T) {
	b, sent := testBench()
	ask(t, b, noon, `{"type":"predict-first","on":true,"joints":false}`)
	ask(t, b, noon, `{"type":"increment","mm":10,"deg":90}`)
	ask(t, b, noon, `{"type":"step","direction":{"frame":"joint","axis":0,"sign":1}}`)
	ask(t, b, noon, `{"type":"predict","arrow":[0,1,0]}`)
	finish(t, b, noon)
	if p := last[PredictionsMessage](t, sent).Given[0]; *p.OffDeg > 0.1 {
		t.Errorf("J1 + from zero starts along +Y, and not %.2f° off it", *p.OffDeg)
	}
	ask(t, b, noon, `{"type":"step","direction":{"frame":"joint","axis":5,"sign":-1}}`)
	if q := last[PredictionsMessage](t, sent).Question; q.Asks != AsksAxis {
		t.Fatalf("J6 turns the pen about its own axis, but what is asked is the %s", q.Asks)
	}
	// The wrist is straight and J1 has turned by 90°, so J6's axis points along +Y.
	ask(t, b, noon, `{"type":"predict","arrow":[0,-1,0]}`)
	finish(t, b, noon)
	if p := last[PredictionsMessage](t, sent).Given[1]; *p.OffDeg > 1e-6 {
		t.Errorf("%.3f° off the axis of −J6", *p.OffDeg)
	}
}

// With the wrist straight the arm refuses to go along Y, and whoever said so was right. Why it stays is told, and that an arrow
// was the way the jog asked for.
func TestTheArmMayStay(t *testing.T) {
	b, sent := testBench()
	for i, test := range []struct {
		prepare, jog, answer string
		right, asAsked       bool
		cause                string
	}{
		{"", `"base","axis":1,"sign":1`, `"stays":true`, true, false, "wrist singularity"},
		{"", `"base","axis":1,"sign":1`, `"arrow":[0,1,0.5]`, false, true, "wrist singularity"},
		{"", `"base","axis":1,"sign":1`, `"arrow":[0,-1,0]`, false, false, "wrist singularity"},
		{"", `"base","axis":3,"sign":-1`, `"arrow":[-1,0,0]`, false, false, ""}, // moves: about the axis of J4 and J6
		{`"joint","axis":4,"sign":1`, `"joint","axis":4,"sign":1`, `"arrow":[0,0,-1]`, false, false, "J5 is at its limit"},
		{"", `"joint","axis":4,"sign":1`, `"arrow":[-2,0,1]`, false, true, "J5 is at its limit"}, // bent by 120°, on the way back and up
		{`"joint","axis":5,"sign":1`, `"joint","axis":5,"sign":1`, `"arrow":[-1,0,0]`, false, false, "J6 is at its limit"},
		{"", `"joint","axis":5,"sign":1`, `"arrow":[-1,0,-2]`, false, true, "J6 is at its limit"}, // along the pen, back and down
	} {
		if test.prepare != "" {
			ask(t, b, noon, `{"type":"predict-first","on":false,"joints":false}`)
			ask(t, b, noon, `{"type":"increment","mm":40,"deg":90}`)
			for range 4 {
				step(t, b, `{"type":"step","direction":{"frame":`+test.prepare+`}}`)
			}
		}
		ask(t, b, noon, `{"type":"predict-first","on":true,"joints":false}`)
		ask(t, b, noon, `{"type":"step","direction":{"frame":`+test.jog+`}}`)
		ask(t, b, noon, `{"type":"predict",`+test.answer+`}`)
		finish(t, b, noon)
		p := last[PredictionsMessage](t, sent).Given[i]
		if (p.Truth == nil) != (test.cause != "") || p.Cause != test.cause || p.AsAsked != test.asAsked || test.cause != "" && p.Right != test.right {
			t.Errorf("%s, %s: %+v", test.jog, test.answer, p)
		}
	}
}

// With the wrist straight, J4 and J6 turn the pen about one axis: against each other they leave it as it is.
func TestJointsMayCancelEachOther(t *testing.T) {
	b, sent := testBench()
	ask(t, b, noon, `{"type":"predict-first","on":true,"joints":false}`)
	ask(t, b, noon, `{"type":"hold","press":1,"directions":[{"frame":"joint","axis":3,"sign":1},{"frame":"joint","axis":5,"sign":-1}]}`)
	// In place of a hold a step is made, which is told.
	if q := last[PredictionsMessage](t, sent).Question; q.Step == nil || math.Abs(*q.Step-b.chosen.Increment.Deg) > 1e-9 {
		t.Errorf("%+v, want a step of %v°", q, b.chosen.Increment.Deg)
	}
	ask(t, b, noon, `{"type":"predict","arrow":[1,0,0]}`)
	finish(t, b, noon)
	if p := last[PredictionsMessage](t, sent).Given[0]; p.Truth != nil || p.Right || p.AsAsked || p.Cause != "the joints cancel each other out" {
		t.Errorf("%+v", p)
	}
}

// Of a joint at its limit through whose axis the TCP goes the axis is asked, as it is away from the limit: what is asked must not tell that it stays.
func TestAJointAtItsLimitIsAskedLikeAnyOther(t *testing.T) {
	b, sent := testBench()
	ask(t, b, noon, `{"type":"increment","mm":40,"deg":90}`)
	for range 4 {
		step(t, b, `{"type":"step","direction":{"frame":"joint","axis":5,"sign":1}}`)
	}
	ask(t, b, noon, `{"type":"predict-first","on":true,"joints":false}`)
	for _, sign := range []string{"1", "-1"} {
		ask(t, b, noon, `{"type":"step","direction":{"frame":"joint","axis":5,"sign":`+sign+`}}`)
		if q := last[PredictionsMessage](t, sent).Question; q.Asks != AsksAxis {
			t.Errorf("J6 %s: asks the %s", sign, q.Asks)
		}
	}
}

func TestWhichJointsWillTurn(t *testing.T) {
	b, sent := testBench()
	ask(t, b, noon, `{"type":"increment","mm":50,"deg":90}`)
	step(t, b, bendWrist)
	ask(t, b, noon, `{"type":"predict-first","on":true,"joints":true}`)
	from := b.drive().Joints()
	ask(t, b, noon, `{"type":"step","direction":{"frame":"base","axis":0,"sign":1}}`)
	// In the arm's own plane J2, J3 and J5 do all of it.
	ask(t, b, noon, `{"type":"predict","joints":[4,1,1]}`)
	finish(t, b, noon)
	p := last[PredictionsMessage](t, sent).Given[0]
	for i, q := range b.drive().Joints() {
		moved := math.Abs(q-from[i]) > kinematics.Radians(0.5)
		if want := i == 1 || i == 2 || i == 4; moved != want {
			t.Errorf("J%d moved: %v", i+1, moved)
		}
	}
	if p.Wrong != 1 || p.Right || len(p.Joints) != 2 || fmt.Sprint(p.Movers) != "[1 2 4]" {
		t.Errorf("%+v; J3 was forgotten", p)
	}
}

// A hold asks once however often it is renewed, and becomes a step.
func TestAHoldBecomesAStep(t *testing.T) {
	b, sent := testBench()
	ask(t, b, noon, `{"type":"predict-first","on":true,"joints":false}`)
	press := `{"type":"hold","press":1,"directions":[{"frame":"joint","axis":0,"sign":1},{"frame":"joint","axis":1,"sign":1}]}`
	ask(t, b, noon, press)
	sent.forget()
	ask(t, b, noon.Add(80*time.Millisecond), press)
	if len(sent.all()) != 0 {
		t.Error("a renewal asks again")
	}
	ask(t, b, noon, `{"type":"release"}`)
	ask(t, b, noon, `{"type":"predict","arrow":[0,1,0]}`)
	finish(t, b, noon)
	q := b.drive().Joints().Degrees()
	if math.Abs(q[0]-5) > 1e-9 || math.Abs(q[1]-5) > 1e-9 {
		t.Errorf("%v; each of the two joints should have turned by the step of 5°", q)
	}
}

func TestAQuestionIsTakenBack(t *testing.T) {
	for _, change := range []string{
		`{"type":"predict","withdraw":true}`, `{"type":"frame","frame":"base","task":""}`, `{"type":"speed","mm_s":5,"deg_s":5}`,
		`{"type":"restart"}`, `{"type":"predict-first","on":false,"joints":false}`,
	} {
		b, sent := testBench()
		ask(t, b, noon, `{"type":"predict-first","on":true,"joints":false}`)
		ask(t, b, noon, bendWrist)
		ask(t, b, noon, change)
		if last[PredictionsMessage](t, sent).Question != nil {
			t.Errorf("%s: the question still stands", change)
		}
		refused(t, b, `{"type":"predict","stays":true}`, "waits for a prediction")
	}
	b, _ := testBench()
	ask(t, b, noon, `{"type":"predict-first","on":true,"joints":false}`)
	ask(t, b, noon, bendWrist)
	refused(t, b, `{"type":"predict"}`, "an arrow, the joints")
	refused(t, b, `{"type":"predict","arrow":[0,0,0]}`, "needs a direction")
	refused(t, b, `{"type":"predict","arrow":[1.7e308,1.7e308,0]}`, "predict.arrow must be from")
	if b.predicting.asked == nil || b.predicting.count != 0 {
		t.Error("a bad answer counted")
	}
}

// What was told of the last jog stands beside the question until the arm is moved otherwise; it stays in the list.
func TestAnAnswerIsFreshUntilTheArmIsMovedOtherwise(t *testing.T) {
	for what, request := range map[string]string{
		"start pose":       `{"type":"restart"}`,
		"undo":             `{"type":"undo"}`,
		"a file of jogs":   `{"type":"play","name":"jogs.txt","text":"joint J1 +5"}`,
		"another question": bendWrist,
		"the mode anew":    `{"type":"predict-first","on":true,"joints":true}`,
	} {
		b, sent := testBench()
		ask(t, b, noon, `{"type":"predict-first","on":true,"joints":false}`)
		ask(t, b, noon, bendWrist)
		if last[PredictionsMessage](t, sent).Fresh {
			t.Fatal("nothing was answered yet")
		}
		ask(t, b, noon, `{"type":"predict","arrow":[0,0,-1]}`)
		finish(t, b, noon)
		if m := last[PredictionsMessage](t, sent); !m.Fresh {
			t.Errorf("%+v", m)
		}
		ask(t, b, noon, request)
		if m := last[PredictionsMessage](t, sent); m.Fresh || len(m.Given) != 1 {
			t.Errorf("after %s: fresh %v, %d given", what, m.Fresh, len(m.Given))
		}
	}
}
