package bench

import (
	"crypto/ed25519"
	"encoding/json"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/kinematics/jog"
	"handrule/scenarios"
	"handrule/scenarios/jogfile"
	"handrule/scenarios/lesson"
	"handrule/scenarios/results"
	"handrule/scenarios/solve"
)

// lessonBench is a bench at which this lesson, written in full, is open.
func lessonBench(t *testing.T, text string) (*Bench, *hearing) {
	t.Helper()
	lesson, err := scenarios.ReadLesson("own.yaml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	b, sent := testBench()
	b.offer.Lessons = append(b.offer.Lessons, lesson)
	ask(t, b, noon, `{"type":"lesson","id":"own"}`)
	return b, sent
}

const head = "title: Own\narm: wren\nstart_deg: [0, 0, 0, 0, 90, 0]\n"

// refused asks for what must be refused in these words.
func refused(t *testing.T, b *Bench, text, says string) {
	t.Helper()
	request, err := Decode([]byte(text))
	if err == nil {
		err = b.Handle(request, noon)
	}
	if err == nil || !strings.Contains(err.Error(), says) {
		t.Errorf("%s: %v, want it to say %q", text, err, says)
	}
}

func step(t *testing.T, b *Bench, text string) {
	t.Helper()
	ask(t, b, noon, text)
	finish(t, b, noon)
}

// drive makes a jog of any amount.
func drive(t *testing.T, b *Bench, j jog.Jog) {
	t.Helper()
	if err := b.begin(j); err != nil {
		t.Fatalf("%s: %v", jogfile.Line(j), err)
	}
	finish(t, b, noon)
}

func request(t *testing.T, kind string, message any) string {
	t.Helper()
	return string(Encode(kind, message))
}

// passHere passes the stage the bench is in.
func passHere(t *testing.T, b *Bench, s solve.Solution) {
	t.Helper()
	if r := b.lesson.Stage().Reach; r != nil && r.Taught { // The cell's frame stands in, as it does for check.
		d, err := lesson.AsTaught(b.drive())
		if err == nil {
			err = b.drive().Refit(d.Setup())
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	for _, j := range s.Jogs {
		drive(t, b, j)
	}
	if len(s.Jogs) == 0 {
		a := s.Truth.Answer
		ask(t, b, noon, request(t, "answer", AnswerRequest{Direction: a.Direction, Joints: a.Joints, Stop: a.Stop, Number: a.Number, Options: a.Options}))
	}
	if task := b.lessonMessage().Task; task.State != TaskDone || task.Verdict == nil || !task.Verdict.Done {
		t.Fatalf("%s, %s: %+v", b.lesson.Lesson.ID, s, task)
	}
}

// Every shipped lesson is passed at the bench by the jogs and answers that check finds, and gives a result that its key
// verifies.
func TestEveryShippedLessonIsPassedAtTheBench(t *testing.T) {
	for _, lesson := range scenarios.ShippedLessons() {
		b, sent := testBench()
		ask(t, b, noon, `{"type":"lesson","id":"`+lesson.ID+`"}`)
		lesson = b.lesson.Lesson
		solutions, err := solve.Check(lesson)
		if err != nil {
			t.Fatal(err)
		}
		assessed := lesson.Assessment != nil
		if assessed {
			refused(t, b, `{"type":"result","learner":"Ada"}`, "is handed in before")
			ask(t, b, noon, `{"type":"stage","do":"begin"}`)
		}
		for _, s := range solutions {
			ask(t, b, noon, request(t, "stage", StageRequest{Do: StageGo, Stage: s.Stage}))
			passHere(t, b, s)
		}
		if !b.lessonMessage().Over {
			t.Errorf("%s is not over: %+v", lesson.ID, b.lessonMessage().Stages)
		}
		if assessed {
			ask(t, b, noon, `{"type":"stage","do":"hand-in"}`)
		}
		for _, hidden := range []string{`\u202eadA`, `Ada\u0007`, `\u200b`, `A\ufeffda`} {
			refused(t, b, `{"type":"result","learner":"`+hidden+`"}`, "needs a name")
		}
		ask(t, b, noon, `{"type":"result","learner":" Ada  Lovelace "}`)
		m := last[ResultMessage](t, sent)
		result, err := results.Read([]byte(m.Text), testKey.Public().(ed25519.PublicKey))
		if err != nil || result.Learner != "Ada Lovelace" || !result.Progress.Done() || !strings.HasPrefix(m.Name, lesson.ID+"-ada-lovelace-") {
			t.Errorf("%s: %s %+v %v", lesson.ID, m.Name, result, err)
		}
		if edited := strings.Replace(m.Text, `"tries": 1`, `"tries": 0`, 1); edited == m.Text {
			t.Error("there is nothing to edit")
		} else if _, err := results.Read([]byte(edited), testKey.Public().(ed25519.PublicKey)); err == nil {
			t.Error("an edited result was verified")
		}
	}
}

func TestReachWrongThenRight(t *testing.T) {
	b, _ := lessonBench(t, head+"stages:\n- text: a\n  reach: {position_mm: [320, 100, 110], tolerance_mm: 1, frames: [base], most_jogs: 2}\n  hints: [Look.]\n")
	m := b.lessonMessage()
	if m.Target == nil || m.Target.Place.Position != [3]float64{320, 100, 110} || math.Abs(m.Task.Reach.OffMM-100) > 1e-6 || m.Hints == nil || len(m.Hints) > 0 || m.NextHint != 1 {
		t.Fatalf("%+v %+v", m, m.Task)
	}
	step(t, b, `{"type":"step","direction":{"frame":"joint","axis":0,"sign":1}}`)
	m = b.lessonMessage()
	if m.Task.State != TaskFailed || m.Task.Tries != 1 || !strings.Contains(m.Task.Verdict.Words, "does not allow") || len(m.Hints) != 1 || !m.Allow.Withheld {
		t.Errorf("%+v %+v", m, m.Task)
	}
	refused(t, b, `{"type":"step","direction":{"frame":"base","axis":1,"sign":1}}`, "This try is over")
	refused(t, b, `{"type":"hold","press":1,"directions":[{"frame":"base","axis":1,"sign":1}]}`, "This try is over")
	refused(t, b, `{"type":"undo"}`, "This try is over")
	ask(t, b, noon, `{"type":"stage","do":"again"}`)
	if m := b.lessonMessage(); m.Task.State != TaskOpen || m.Task.Verdict != nil || m.Task.Moved || m.Task.Jogs != 0 {
		t.Errorf("%+v", m.Task)
	}
	ask(t, b, noon, `{"type":"increment","mm":50,"deg":5}`)
	step(t, b, `{"type":"step","direction":{"frame":"base","axis":1,"sign":1}}`)
	ask(t, b, noon, `{"type":"restart"}`) // which gives that try up
	if m := b.lessonMessage(); m.Task.Tries != 2 || m.Task.Moved {
		t.Errorf("%+v", m.Task)
	}
	ask(t, b, noon, `{"type":"restart"}`) // nothing was tried
	step(t, b, `{"type":"step","direction":{"frame":"base","axis":1,"sign":1}}`)
	step(t, b, `{"type":"step","direction":{"frame":"base","axis":1,"sign":1}}`)
	if m := b.lessonMessage(); m.Task.State != TaskDone || m.Task.Tries != 3 || !m.Target.Reached || !m.Over {
		t.Errorf("%+v", m.Task)
	}
}

func TestPredictWrongThenRight(t *testing.T) {
	b, sent := lessonBench(t, head+"stages:\n- text: a\n  predict: {jog: base y +60, ask: direction}\n")
	ask(t, b, noon, `{"type":"aim","direction":{"frame":"base","axis":1,"sign":1}}`)
	if ghost := last[Ghost](t, sent); ghost.Direction != nil {
		t.Error("the ghost gives the answer away")
	}
	if b.keyOf(aboutRoom) != nil || !slices.Contains(b.lessonMessage().Allow.Hidden, "room") {
		t.Error("the room to move gives the answer away")
	}
	refused(t, b, `{"type":"step","direction":{"frame":"base","axis":1,"sign":1}}`, "Answer first")
	refused(t, b, `{"type":"stage","do":"show"}`, "Answer first")

	refused(t, b, `{"type":"answer","direction":"sideways"}`, "unknown direction")
	ask(t, b, noon, `{"type":"answer","arrow":[1,0,0]}`)
	if m := b.lessonMessage(); m.Task.State != TaskOpen || m.Task.Verdict.Done || math.Abs(*m.Task.Verdict.Error-90) > 1e-6 || m.Task.Right != "" || m.Task.Predict.Truth != nil {
		t.Errorf("%+v %+v", m.Task, m.Task.Verdict)
	}
	ask(t, b, noon, `{"type":"answer","direction":"y +"}`)
	if m := b.lessonMessage(); m.Task.State != TaskDone || m.Task.Right != "base y +" || m.Task.Tries != 2 {
		t.Errorf("%+v", m.Task)
	} else if way := m.Task.Predict.Truth; way == nil || r3.Norm(r3.Sub(vector(*way), r3.Vec{Y: 1})) > 1e-6 {
		t.Errorf("the way it goes is told as %v, want Y +", way)
	}
	if ghost := last[Ghost](t, sent); ghost.Direction == nil {
		t.Error("the ghost is still withheld")
	}
	before := b.drive().TCP().Position.Y
	ask(t, b, noon, `{"type":"stage","do":"show"}`)
	finish(t, b, noon)
	if now := b.drive().TCP().Position.Y; math.Abs(now-before-60) > 1e-6 || b.lesson.Progress.Stages[0].Jogs != 0 {
		t.Errorf("the arm went from %v to %v, jogs: %d", before, now, b.lesson.Progress.Stages[0].Jogs)
	}
}

// The place is reached at once, but in another posture, which the page is told of.
func TestReachInAPosture(t *testing.T) {
	b, _ := lessonBench(t, head+"stages:\n- text: a\n  reach: {position_mm: [320, 0, 110], tolerance_mm: 1, wrist: minus}\n")
	told := func(want Posture) {
		t.Helper()
		if p := b.lessonMessage().Task.Reach.Posture; len(p) != 1 || p[0] != want {
			t.Errorf("told %+v, want %+v", p, want)
		}
	}
	told(Posture{Part: "wrist", Word: "minus", Now: "plus"})
	half := kinematics.Radians(180)
	joint := func(axis int) jog.Jog {
		return jog.Jog{Direction: jog.Direction{Frame: jog.JointFrame, Axis: axis, Sign: 1}, Amount: half, Speed: half}
	}
	drive(t, b, joint(3))
	back := joint(4)
	back.Sign = -1
	if b.lessonMessage().Task.State == TaskDone {
		t.Error("done with the wrist plain")
	}
	drive(t, b, back)
	told(Posture{Part: "wrist", Word: "minus", Now: "minus"})
	if b.lessonMessage().Task.State != TaskDone {
		t.Errorf("%+v", b.lessonMessage().Task)
	}
}

// The page draws a direction that is chosen by name, so it is told where that points in the base frame.
func TestDirectionsOfAnotherFrame(t *testing.T) {
	b, _ := lessonBench(t, head+`cell:
  name: Turned
  things: []
  task_frames: [{name: turned, at_mm: [300, 0, 0], rotation_deg: [0, 0, 90]}]
stages:
- text: a
  predict: {jog: base y +60, ask: direction, frame: task turned}
`)
	p := b.lessonMessage().Task.Predict
	for i, want := range [][3]float64{{0, 1, 0}, {0, -1, 0}, {-1, 0, 0}, {1, 0, 0}, {0, 0, 1}, {0, 0, -1}} { // X is base Y, Y is base -X
		if off := r3.Norm(r3.Sub(vector(p.Ways[i]), vector(want))); off > 1e-12 {
			t.Errorf("%s points along %v, want %v", p.Options[i], p.Ways[i], want)
		}
	}
	ask(t, b, noon, `{"type":"answer","direction":"x +"}`)
	if b.lessonMessage().Task.State != TaskDone {
		t.Error("x + of the frame is not taken for base y +")
	}
}

// A question is about where the stage began, wherever the arm has been driven since, and whatever set distance is set.
func TestReadAndChooseWrongThenRight(t *testing.T) {
	b, _ := lessonBench(t, head+`stages:
- text: a
  read: {measure: x, unit: inch, tolerance: 0.01}
- text: b
  choose:
    question: Which?
    options:
      - {text: One, why: Not that.}
      - {text: Two, when: {measure: x, at_least: 300, at_most: 330}}
`)
	ask(t, b, noon, `{"type":"increment","mm":50,"deg":5}`)
	step(t, b, `{"type":"step","direction":{"frame":"base","axis":0,"sign":1}}`)
	if !b.lessonMessage().Task.Moved {
		t.Error("the page is not told that the arm has moved")
	}
	refused(t, b, `{"type":"answer","number":null}`, "is a number")
	ask(t, b, noon, `{"type":"answer","number":320}`)
	if v := b.lessonMessage().Task.Verdict; v.Done || v.Error != nil || v.Given != "320 inch" {
		t.Errorf("%+v tells too much or too little", v)
	}
	ask(t, b, noon, `{"type":"answer","number":14.57}`) // 370 / 25.4 = 14.567
	if v := b.lessonMessage().Task.Verdict; v.Done || !v.OfNow {
		t.Errorf("%+v does not tell that it is read where the arm stands now", v)
	}
	ask(t, b, noon, `{"type":"answer","number":320}`)
	if v := b.lessonMessage().Task.Verdict; v.OfNow {
		t.Errorf("%+v tells of where the arm stands now", v)
	}
	ask(t, b, noon, `{"type":"answer","number":12.6}`) // 320 / 25.4 = 12.598
	if task := b.lessonMessage().Task; task.State != TaskDone || task.Right != "12.598 inch" || task.Read.Unit != "inch" {
		t.Errorf("%+v", task)
	}
	ask(t, b, noon, `{"type":"stage","do":"go","stage":1}`)
	if m := b.lessonMessage(); m.Task.Moved || m.Stage != 1 || !strings.Contains(m.HTML, "b") || len(m.Task.Choose.Options) != 2 {
		t.Errorf("%+v", m)
	}
	refused(t, b, `{"type":"answer","options":[7]}`, "options 0 to 1")
	ask(t, b, noon, `{"type":"answer","options":[0]}`)
	if v := b.lessonMessage().Task.Verdict; v.Done || v.Words != "Not correct: One. Not that." {
		t.Errorf("%+v", v)
	}
	ask(t, b, noon, `{"type":"stage","do":"give-up"}`)
	if m := b.lessonMessage(); m.Task.State != TaskGivenUp || m.Task.Right != "Two" || !m.Over || m.Stages[1].Done {
		t.Errorf("%+v %+v", m.Stages, m.Task)
	}
	refused(t, b, `{"type":"answer","options":[1]}`, "given up")
}

func TestFreeTicksThingsOff(t *testing.T) {
	b, _ := lessonBench(t, head+`stages:
- text: a
  free:
    notice:
      - {text: Limit, event: joint limit}
      - {text: Turn, event: tool turned}
`)
	ask(t, b, noon, `{"type":"increment","mm":50,"deg":90}`)
	step(t, b, `{"type":"step","direction":{"frame":"joint","axis":4,"sign":1}}`)
	notice := b.lessonMessage().Task.Free.Notice
	if !notice[0].Happened || notice[1].Happened {
		t.Errorf("%+v", notice)
	}
	ask(t, b, noon, `{"type":"restart"}`)
	ask(t, b, noon, `{"type":"increment","mm":50,"deg":5}`)
	if task := b.lessonMessage().Task; !task.Free.Notice[0].Happened || task.Tries != 0 {
		t.Errorf("putting the arm back undid what had happened: %+v", task)
	}
	step(t, b, `{"type":"step","direction":{"frame":"base","axis":5,"sign":1}}`)
	if task := b.lessonMessage().Task; task.State != TaskDone {
		t.Errorf("%+v", task)
	}
}

// Without a cell the arm stands on its mounting surface, at the bench as in check: with J5 at 90° Wren's pen comes to it before
// J2 comes to its limit of 110°.
func TestALessonWithoutACellHasTheMountingSurface(t *testing.T) {
	b, _ := lessonBench(t, head+"stages:\n- text: a\n")
	drive(t, b, jog.Jog{Direction: jog.Direction{Frame: jog.JointFrame, Axis: 1, Sign: 1}, Amount: kinematics.Radians(110), Speed: 1})
	finish(t, b, noon)
	checked, err := b.lesson.Lesson.Drive(b.lesson.Lesson.Start)
	if err != nil {
		t.Fatal(err)
	}
	ahead, err := checked.Ahead(b.driven.stopped.Jog)
	if err != nil || b.driven.stopped.Reason != jog.Contact || b.driven.stopped.Travel != ahead.Stop.Travel {
		t.Errorf("%s, and check finds %s %v", b.driven.stopped, ahead.Stop, err)
	}
}

// Leaving a lesson that had another cell leads back to what was there before, also on a bench that was kept and restored.
func TestLeavingALessonLeadsBackIntoTheCell(t *testing.T) {
	for before, lessons := range map[string][]string{"glazing-bench": {"own", "straight-lines"}, "": {"base-tool-task", "which-frame"}} {
		b, _ := lessonBench(t, head+"stages:\n- text: a\n")
		ask(t, b, noon, `{"type":"lesson","id":""}`)
		ask(t, b, noon, `{"type":"cell","id":"`+before+`"}`)
		drive(t, b, jog.Jog{Direction: jog.Direction{Frame: jog.JointFrame, Sign: 1}, Amount: 0.25, Speed: 1})
		finish(t, b, noon)
		was, start := b.drive().Joints(), b.mounted.start
		for _, id := range append(lessons, "") {
			ask(t, b, noon, `{"type":"lesson","id":"`+id+`","progress":""}`)
			finish(t, b, noon)
			state, log, err := b.Snapshot()
			if err != nil {
				t.Fatal(err)
			}
			if b, err = Restore(b.offer, b.env, state, log); err != nil {
				t.Fatal(err)
			}
		}
		if b.chosen.Cell != before || b.drive().Joints() != was || b.mounted.start != start {
			t.Errorf("in %q, at %v, to start from %v; not in %q, at %v, from %v", b.chosen.Cell, b.drive().Joints(), b.mounted.start, before, was, start)
		}
	}
}

// What a lesson changed of how to jog is as before once it is left, by whichever way, also on a bench that was kept and restored.
func TestLeavingALessonGivesBackHowToJog(t *testing.T) {
	for _, leave := range []string{`{"type":"lesson","id":""}`, `{"type":"arm","id":"curlew"}`} {
		b, _ := testBench()
		for _, text := range []string{
			`{"type":"cell","id":"glazing-bench"}`, `{"type":"frame","frame":"base","task":""}`, `{"type":"increment","mm":50,"deg":20}`,
			`{"type":"speed","mm_s":100,"deg_s":30}`, `{"type":"set-distance","mm":5}`,
		} {
			ask(t, b, noon, text)
		}
		before := b.chosen
		ask(t, b, noon, `{"type":"lesson","id":"joints-one-at-a-time","progress":""}`)
		if b.chosen.Frame != jog.JointFrame || b.chosen.SetDistanceMM != 0 {
			t.Fatalf("the lesson begins with %+v", b.chosen)
		}
		ask(t, b, noon, `{"type":"increment","mm":1,"deg":1}`)
		ask(t, b, noon, `{"type":"speed","mm_s":10,"deg_s":5}`)
		state, log, err := b.Snapshot()
		if err != nil {
			t.Fatal(err)
		}
		if b, err = Restore(b.offer, b.env, state, log); err != nil {
			t.Fatal(err)
		}
		ask(t, b, noon, leave)
		if now := b.chosen; now.Frame != before.Frame || now.Increment != before.Increment || now.Speed != before.Speed || now.SetDistanceMM != before.SetDistanceMM {
			t.Errorf("%s: %+v, before %+v", leave, now, before)
		}
	}
}

func TestWhatALessonAllows(t *testing.T) {
	b, _ := lessonBench(t, head+`allow: {frames: [base], steps_mm: [2, 20], speed_mm_s: 60, hide: [share, ghost]}
stages:
- text: a
- text: b
  allow: {frames: [joint], steps_mm: [3], steps_deg: [1, 9]}
`)
	if b.chosen.Frame != jog.BaseFrame || b.chosen.Increment.MM != 20 || b.chosen.Speed.MMS > 60 {
		t.Errorf("%+v", b.chosen)
	}
	allow := b.lessonMessage().Allow
	if want := []IncrementRequest{{2, 1}, {20, 10}}; len(allow.Increments) != 2 || allow.Increments[0].MM != want[0].MM || allow.Increments[1].MM != want[1].MM {
		t.Errorf("%v", allow.Increments)
	}
	for _, s := range allow.Speeds {
		if s.MMS > 60 {
			t.Errorf("%v is offered", s)
		}
	}
	if !slices.Equal(allow.Hidden, []string{"ghost", "share"}) {
		t.Errorf("%v", allow.Hidden)
	}
	refused(t, b, `{"type":"frame","frame":"tool","task":""}`, "does not use that frame")
	refused(t, b, `{"type":"step","direction":{"frame":"joint","axis":4,"sign":1}}`, "does not use that frame")
	refused(t, b, `{"type":"hold","press":1,"directions":[{"frame":"tool","axis":1,"sign":1}]}`, "does not use that frame")
	refused(t, b, `{"type":"increment","mm":10,"deg":5}`, "does not use that step")
	refused(t, b, `{"type":"speed","mm_s":100,"deg_s":5}`, "no higher speed")
	refused(t, b, `{"type":"tool","name":"none"}`, "chooses the tool")
	ask(t, b, noon, `{"type":"stage","do":"go","stage":1}`)
	if want := (IncrementRequest{3, 1}); b.chosen.Frame != jog.JointFrame || b.chosen.Increment != want {
		t.Errorf("%+v", b.chosen)
	}
	if got := b.lessonMessage().Allow.Increments; !slices.Equal(got, []IncrementRequest{{3, 1}, {3, 9}}) {
		t.Errorf("%v", got)
	}
	ask(t, b, noon, `{"type":"lesson","id":""}`)
	ask(t, b, noon, `{"type":"frame","frame":"tool","task":""}`)
	if m := b.lessonMessage(); m.ID != "" || m.Allow.Limited || len(m.Allow.Frames) > 0 {
		t.Errorf("%+v", m)
	}
}

// A learner's own frame of the same name must not move the lesson's target.
func TestALessonsFramesCannotBeTaughtAnew(t *testing.T) {
	b, sent := testBench()
	ask(t, b, noon, `{"type":"lesson","id":"base-tool-task"}`)
	if cell := last[CellMessage](t, sent); cell.ID != "glazing-bench" || b.chosen.Cell != "glazing-bench" {
		t.Errorf("the lesson is in the cell %q", cell.ID)
	}
	ask(t, b, noon, `{"type":"teach","do":"frame","name":"tile"}`)
	if m := last[TeachMessage](t, sent); !strings.Contains(m.Problem, "of its own") {
		t.Errorf("%+v", m)
	}
	ask(t, b, noon, `{"type":"teach","do":"use-tcp","name":""}`)
	if m := last[TeachMessage](t, sent); !strings.Contains(m.Problem, "chooses the tool") {
		t.Errorf("%+v", m)
	}
}

func TestAStageThatGoesOn(t *testing.T) {
	b, _ := lessonBench(t, head+`stages:
- text: a
- text: b
  go_on: true
  read: {measure: y, tolerance: 0.1}
- text: c
`)
	step(t, b, `{"type":"step","direction":{"frame":"base","axis":1,"sign":1}}`)
	there := b.drive().Joints()
	ask(t, b, noon, `{"type":"stage","do":"go","stage":1}`)
	if b.drive().Joints() != there || b.lessonMessage().Task.Moved {
		t.Error("the arm did not stay where it was")
	}
	step(t, b, `{"type":"step","direction":{"frame":"base","axis":1,"sign":1}}`)
	ask(t, b, noon, `{"type":"answer","number":10}`)
	if task := b.lessonMessage().Task; task.State != TaskDone {
		t.Errorf("%+v", task)
	}
	ask(t, b, noon, `{"type":"stage","do":"again"}`)
	if b.drive().Joints() != there {
		t.Error("the arm was not put back to where the stage began")
	}
	ask(t, b, noon, `{"type":"stage","do":"go","stage":2}`)
	ask(t, b, noon, `{"type":"stage","do":"go","stage":1}`)
	if b.drive().Joints() != b.lesson.Lesson.Start {
		t.Error("a stage that was not come to from the one before begins elsewhere")
	}
	refused(t, b, `{"type":"stage","do":"go","stage":3}`, "has 3 stages")
	refused(t, b, `{"type":"stage","do":"dance"}`, "nothing to do")
}

// Progress goes on at another bench of the same server, with the same numbers; what the server did not write is not taken.
func TestProgressGoesOnAndCannotBeForged(t *testing.T) {
	b, sent := testBench()
	ask(t, b, noon, `{"type":"lesson","id":"assessment"}`)
	ask(t, b, noon, `{"type":"stage","do":"begin"}`)
	solutions, err := solve.Check(b.lesson.Lesson)
	if err != nil {
		t.Fatal(err)
	}
	ask(t, b, noon.Add(30*time.Second), `{"type":"release"}`)
	passHere(t, b, solutions[0])
	ask(t, b, noon.Add(30*time.Second), `{"type":"stage","do":"go","stage":2}`)
	ask(t, b, noon.Add(24*time.Hour), `{"type":"answer","number":1000}`) // A day away counts as the longest pause.
	token := last[ProgressMessage](t, sent).Token

	again, _ := testBench()
	ask(t, again, noon, request(t, "lesson", LessonRequest{ID: "assessment", Progress: token}))
	m := again.lessonMessage()
	if again.lesson.Lesson.HTML != b.lesson.Lesson.HTML || m.Stage != 2 || !m.Stages[0].Done || m.Stages[2].Tries != 1 {
		t.Errorf("%+v", m)
	}
	if p := again.lesson.Progress; p.Stages[0].Seconds != 30 || p.Stages[2].Seconds != longestPause.Seconds() {
		t.Errorf("the time in the stages is %v and %v s", p.Stages[0].Seconds, p.Stages[2].Seconds)
	}
	passHere(t, again, solutions[2])

	_, foreign, _ := ed25519.GenerateKey(nil)
	won := lesson.NewRun(b.lesson.Lesson).Progress
	for i := range won.Stages {
		won.Stages[i].Done, won.Stages[i].Tries = true, 1
	}
	forged, _ := results.Seal(results.Kept{Progress: won}, foreign)
	plain, _ := json.Marshal(results.Kept{Progress: won})
	flipped := []byte(token)
	flipped[len(flipped)/2] ^= 3
	for _, bad := range []string{forged, string(plain), string(flipped), "x"} {
		b, sent := testBench()
		ask(t, b, noon, request(t, "lesson", LessonRequest{ID: "assessment", Progress: bad}))
		if p := last[Problem](t, sent); !strings.Contains(p.Message, "afresh") || b.lessonMessage().Stages[0].Done || b.lessonMessage().Over {
			t.Errorf("%.20q: %+v", bad, b.lessonMessage().Stages)
		}
	}
	// Progress of one lesson is none of another.
	other, _ := testBench()
	ask(t, other, noon, request(t, "lesson", LessonRequest{ID: "two-ways", Progress: token}))
	if m := other.lessonMessage(); m.ID != "two-ways" || m.Stage != 0 {
		t.Errorf("%+v", m)
	}
}

func TestNeighboursGetOtherNumbers(t *testing.T) {
	b, _ := testBench()
	refused(t, b, `{"type":"lesson","id":"the-right-hand","seed":-1}`, "not -1")
	refused(t, b, `{"type":"lesson","id":"assessment","seed":7}`, "cannot be chosen")
	texts := map[string]bool{}
	for range 4 {
		b, _ := testBench()
		ask(t, b, noon, `{"type":"lesson","id":"assessment"}`)
		texts[b.lesson.Lesson.HTML] = true
	}
	if len(texts) < 3 {
		t.Errorf("four learners got %d different assessments", len(texts))
	}
}

// A lesson's start pose goes with it; the arm itself stays where it is.
func TestTheStartPoseIsTheLessonsOnlyInIt(t *testing.T) {
	b, _ := testBench()
	ask(t, b, noon, `{"type":"lesson","id":"joints-one-at-a-time"}`)
	there := b.drive().Joints()
	if there == (kinematics.Joints{}) {
		t.Fatal("this lesson is to start elsewhere than at zero")
	}
	ask(t, b, noon, `{"type":"lesson","id":""}`)
	if b.drive().Joints() != there {
		t.Errorf("the arm went to %v", b.drive().Joints())
	}
	ask(t, b, noon, `{"type":"restart"}`)
	if b.drive().Joints() != (kinematics.Joints{}) {
		t.Errorf("the start pose is %v", b.drive().Joints())
	}
}

// What a task asks reaches the page in the view of its kind, which every kind has.
func TestEveryKindOfTaskHasItsView(t *testing.T) {
	view := reflect.TypeFor[LessonTask]()
	for _, kind := range lesson.Kinds {
		if !slices.ContainsFunc(reflect.VisibleFields(view), func(f reflect.StructField) bool {
			return f.Tag.Get("json") == kind && f.Type.Kind() == reflect.Pointer
		}) {
			t.Errorf("LessonTask has no view of %s", kind)
		}
	}
}

// Where only shapes are dealt, the page is told by which number, as where numbers are.
func TestWhatIsDealtIsToldByItsNumber(t *testing.T) {
	const stage = "  - {text: One., shape_of: q, choose: {question: a, options: [{text: a, right: true}, {text: b}]}}\n" +
		"  - {text: One., shape_of: q, choose: {question: b, options: [{text: a, right: true}, {text: b}]}}\n"
	b, _ := lessonBench(t, head+"stages:\n"+stage)
	ask(t, b, noon, `{"type":"lesson","id":"own","seed":4711}`)
	if m := b.lessonMessage(); !m.Drawn || m.Seed != 4711 {
		t.Errorf("dealt %v, by %d", m.Drawn, m.Seed)
	}
	if b, _ := lessonBench(t, twoChoices); b.lessonMessage().Drawn {
		t.Error("nothing is dealt, and that is told")
	}
}
