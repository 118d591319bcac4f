package bench

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"handrule/kinematics"
	"handrule/scenarios"
	"handrule/scenarios/form"
	"handrule/words"
)

// saved is what is offered after a lesson's file was saved with this text.
func saved(t *testing.T, text string) *Offer {
	t.Helper()
	o := shipped()
	lesson, err := scenarios.ReadLesson("own.yaml", []byte(text))
	if problems, bad := err.(form.Errors); bad {
		o.Broken = []form.Broken{{ID: "own", Lesson: true, Problems: problems}}
	} else {
		o.Lessons = append(o.Lessons, lesson)
	}
	return &o
}

const twoStages = "stages:\n  - {text: One., read: {measure: x, tolerance: 1}}\n  - {text: Two., reach: {position_mm: [320, 60, 110], tolerance_mm: 1}}\n"

func TestALessonIsReadAgainInItsStageWithTheArmWhereItStands(t *testing.T) {
	b, sent := lessonBench(t, head+twoStages)
	step(t, b, `{"type":"answer","number":320}`)
	step(t, b, `{"type":"stage","do":"go","stage":1}`)
	step(t, b, `{"type":"step","direction":{"frame":"base","axis":1,"sign":1}}`)
	q, frame := b.drive().Joints(), b.chosen.Frame
	b.SetOffer(saved(t, strings.Replace(head+twoStages, "Two.", "Two and better.", 1)))
	m := b.lessonMessage()
	if !strings.Contains(m.HTML, "and better") || m.Stage != 1 || b.drive().Joints() != q || b.chosen.Frame != frame {
		t.Errorf("stage %d, joints %v, frame %s: %s", m.Stage, b.drive().Joints().Degrees(), b.chosen.Frame, m.HTML)
	}
	if !m.Stages[0].Done || len(last[FaultsMessage](t, sent).Faults) != 0 {
		t.Error("what was done is forgotten, or faults are told of a right file")
	}
	// The rest of the way is 50 mm, and the stage can be passed from where the arm stands.
	for range 5 {
		step(t, b, `{"type":"step","direction":{"frame":"base","axis":1,"sign":1}}`)
	}
	if state := b.lessonMessage().Task.State; state != TaskDone {
		t.Errorf("the task is %s with the TCP %v from its target", state, b.lessonMessage().Task.Reach.OffMM)
	}
}

// A stage is found again where it was moved to, with what was done in it; a task that has become another is told of.
func TestAStageIsFoundAgainWhereItWasMovedTo(t *testing.T) {
	b, sent := lessonBench(t, head+twoStages)
	step(t, b, `{"type":"answer","number":320}`)
	step(t, b, `{"type":"stage","do":"go","stage":1}`)
	inserted := strings.Replace(head+twoStages, "stages:\n", "stages:\n  - {text: Before., choose: {question: q, options: [{text: a, right: true}, {text: b}]}}\n", 1)
	b.SetOffer(saved(t, inserted))
	if m := b.lessonMessage(); m.Stage != 2 || !m.Stages[1].Done || m.Stages[0].Done {
		t.Errorf("stage %d of %+v", m.Stage, m.Stages)
	}
	sent.forget()
	b.SetOffer(saved(t, strings.Replace(inserted, "measure: x", "measure: y", 1)))
	if m := b.lessonMessage(); m.Stage != 2 || m.Stages[1].Done {
		t.Errorf("stage %d of %+v", m.Stage, m.Stages)
	}
	if m := last[Problem](t, sent); !strings.Contains(m.Message, "One task") {
		t.Errorf("%+v", m)
	}
}

// An answer is asked for the arm where the stage begins, wherever it stands when the file is saved.
func TestQuestionsOfAReadAgainLessonAreAskedWhereTheStageBegins(t *testing.T) {
	b, _ := lessonBench(t, head+twoStages)
	step(t, b, `{"type":"step","direction":{"frame":"joint","axis":1,"sign":1}}`)
	b.SetOffer(saved(t, strings.Replace(head+twoStages, "One.", "Uno.", 1)))
	step(t, b, `{"type":"answer","number":320}`)
	if m := b.lessonMessage(); m.Task.State != TaskDone || b.drive().Joints()[1] == 0 {
		t.Errorf("%s, J2 at %v", m.Task.State, b.drive().Joints()[1])
	}
}

func TestALessonSavedWithErrorsStaysAsItWas(t *testing.T) {
	b, sent := lessonBench(t, head+twoStages)
	b.page.author = true
	lesson := b.lesson.Lesson
	wrong := saved(t, strings.Replace(strings.Replace(head+twoStages, "measure: x", "measure: q", 1), "Two.", "Two., txet: b", 1))
	wrong.Lessons = append(wrong.Lessons, lesson) // the last good version
	b.SetOffer(wrong)
	m := last[FaultsMessage](t, sent)
	if len(m.Faults) != 2 || m.ID != "own" || !m.Open || !m.Old || m.Faults[0].Line != 5 || !strings.Contains(m.Faults[0].Message, `"q"`) || !strings.Contains(m.Faults[0].Excerpt, "^") {
		t.Errorf("%+v", m)
	}
	step(t, b, `{"type":"answer","number":320}`)
	if b.lesson.Lesson != lesson || b.lessonMessage().Task.State != TaskDone {
		t.Error("the last good version is not usable")
	}
	ask(t, b, noon, `{"type":"lesson","id":""}`)
	if m := last[FaultsMessage](t, sent); len(m.Faults) != 0 {
		t.Errorf("the faults are told of an arm: %+v", m)
	}
}

// A lesson that has never been right is listed, tells its faults when it is chosen, and opens once it is right, also while another is open.
func TestALessonOpensOnceItIsRight(t *testing.T) {
	for _, open := range []string{"", "the-right-hand"} {
		b, sent := testBench()
		b.page.author = true
		ask(t, b, noon, `{"type":"lesson","id":"`+open+`"}`)
		b.SetOffer(saved(t, "title: Own\nstages: [{text: b}]\n"))
		if l := last[OfferMessage](t, sent).Lessons; l[len(l)-1].ID != "own" || !strings.Contains(l[len(l)-1].Title, "errors") {
			t.Errorf("%+v", l)
		}
		ask(t, b, noon, `{"type":"lesson","id":"own"}`)
		if m := last[FaultsMessage](t, sent); b.chosen.Lesson != open || m.Open || len(m.Faults) != 1 || !strings.Contains(m.Faults[0].Message, "arm is missing") {
			t.Errorf("%q: %+v", open, m)
		}
		b.SetOffer(saved(t, head+twoStages))
		if m := last[FaultsMessage](t, sent); b.lesson == nil || b.chosen.Lesson != "own" || len(m.Faults) != 0 {
			t.Errorf("%q: %+v", open, m)
		}
		refused(t, b, `{"type":"lesson","id":"never"}`, "There is no lesson")
	}
}

func TestAShorterLessonAndAnotherArm(t *testing.T) {
	b, _ := lessonBench(t, head+twoStages)
	step(t, b, `{"type":"stage","do":"go","stage":1}`)
	b.SetOffer(saved(t, head+"stages: [{text: Only one., choose: {question: q, options: [{text: a, right: true}, {text: b}]}}]\n"))
	if m := b.lessonMessage(); m.Stage != 0 || len(m.Stages) != 1 || m.Stages[0].Done {
		t.Errorf("%+v", m)
	}
	step(t, b, `{"type":"step","direction":{"frame":"joint","axis":0,"sign":1}}`)
	b.SetOffer(saved(t, strings.Replace(head, "wren", "curlew", 1)+twoStages))
	if b.mounted.arm.ID != "curlew" || b.drive().Joints()[0] != 0 {
		t.Errorf("%s with J1 at %v", b.mounted.arm.ID, b.drive().Joints()[0])
	}
}

// A pose that would be inside something of the new cell is not kept.
func TestAPoseInsideSomethingIsNotKept(t *testing.T) {
	b, _ := lessonBench(t, head+"cell: {name: c, things: []}\n"+twoStages)
	step(t, b, `{"type":"step","direction":{"frame":"joint","axis":0,"sign":1}}`)
	post := "cell: {name: c, mount: {at_mm: [0, 0, 0]}, things: [{name: post, at_mm: [320, 40, 420], radius_mm: 10}]}\n"
	b.SetOffer(saved(t, head+post+twoStages))
	if q := b.drive().Joints(); q[0] != 0 || math.Abs(q[4]-math.Pi/2) > 1e-12 {
		t.Errorf("it stands at %v", q.Degrees())
	}
}

// A lesson that is being driven is read again when the arm stands.
func TestALessonIsReadAgainWhenTheArmStands(t *testing.T) {
	b, _ := lessonBench(t, head+twoStages)
	ask(t, b, noon, `{"type":"step","direction":{"frame":"joint","axis":0,"sign":1}}`)
	b.SetOffer(saved(t, strings.Replace(head+twoStages, "One.", "Uno.", 1)))
	if strings.Contains(b.lessonMessage().HTML, "Uno") || !b.drive().Moving() {
		t.Error("it was read again in motion")
	}
	finish(t, b, noon)
	if !strings.Contains(b.lessonMessage().HTML, "Uno") || b.drive().Joints()[0] == 0 {
		t.Error("it was not read again, or the arm went back")
	}
}

func TestAnArmAndACellAreReadAgainWithoutALesson(t *testing.T) {
	b, sent := testBench()
	step(t, b, `{"type":"step","direction":{"frame":"joint","axis":0,"sign":1}}`)
	q := b.drive().Joints()
	o := shipped()
	longer := *o.Arms[0]
	longer.Name, longer.MountHeight = "Longer", 400
	o.Arms[0] = &longer
	b.SetOffer(&o)
	if b.mounted.arm.Name != "Longer" || b.drive().Joints() != q || last[ArmMessage](t, sent).MountHeightMM != 400 {
		t.Errorf("%s at %v", b.mounted.arm.Name, b.drive().Joints().Degrees())
	}
	if n := len(sent.all()); true {
		b.SetOffer(&o)
		for _, m := range sent.all()[n:] {
			if _, told := m.(ArmMessage); told {
				t.Error("an arm that is the same was mounted anew")
			}
		}
	}
	narrow := longer
	geometry := *longer.Geometry
	geometry.Joints[0].Max = kinematics.Radians(1)
	narrow.Geometry = &geometry
	o2 := shipped()
	o2.Arms[0] = &narrow
	b.SetOffer(&o2)
	if b.drive().Joints() != (kinematics.Joints{}) {
		t.Errorf("it stands outside its limits at %v", b.drive().Joints().Degrees())
	}
}

// A carriage on its rail stays where it is, both when another file is saved and when that of its cell is.
func TestACarriageStaysWhereItIs(t *testing.T) {
	b, sent := testBench()
	ask(t, b, noon, `{"type":"cell","id":"bench-rail"}`)
	rail := b.mounted.cell.Rail
	at := (rail.From + 2*rail.To) / 3
	ask(t, b, noon, request(t, "rail", RailRequest{MM: at}))
	ask(t, b, noon, request(t, "rail", RailRequest{MM: at + 1e-7/3}))
	at = b.mounted.cell.Rail.At
	n := len(sent.all())
	o := shipped()
	b.SetOffer(&o)
	for _, m := range sent.all()[n:] {
		if _, told := m.(CellMessage); told {
			t.Error("a cell that is the same was entered anew")
		}
	}
	again := shipped()
	for i, cell := range again.Cells {
		if cell.ID == "bench-rail" {
			other := *cell
			other.Name = "Longer"
			again.Cells[i] = &other
		}
	}
	b.SetOffer(&again)
	if b.mounted.cell.Name != "Longer" || b.mounted.cell.Rail.At != at {
		t.Errorf("%s with the carriage at %v, want %v", b.mounted.cell.Name, b.mounted.cell.Rail.At, at)
	}
}

// What is wrong with a file goes to its author alone: a learner in the same lesson keeps the last good version, is told nothing
// of it, and does not see a lesson that has never been right.
func TestFaultsAreTheAuthorsAlone(t *testing.T) {
	good := saved(t, head+twoStages)
	wrong := saved(t, strings.Replace(head+twoStages, "measure: x", "measure: secret", 1))
	wrong.Lessons = append(wrong.Lessons, good.Lesson("own"))
	never := saved(t, "title: Own\nstages: [{text: b}]\n")
	draft := saved(t, strings.Replace(head+twoStages, "One.", "One drafted.", 1))
	draft.Drafts, draft.Lessons = draft.Lessons[len(draft.Lessons)-1:], append(draft.Lessons[:len(draft.Lessons)-1:len(draft.Lessons)-1], good.Lesson("own"))
	for _, author := range []bool{false, true} {
		b := New(good, testEnv())
		b.Connect(Welcome{Author: author}, words.English)
		sent := &hearing{b: b}
		ask(t, b, noon, `{"type":"lesson","id":"own"}`)
		b.SetOffer(wrong)
		if m := last[FaultsMessage](t, sent); len(m.Faults) > 0 != author || strings.Contains(fmt.Sprint(sent.all()), "secret") != author || !strings.Contains(b.lessonMessage().HTML, "One.") {
			t.Errorf("author %v: %+v", author, m)
		}
		b.SetOffer(draft)
		if drafted := strings.Contains(b.lessonMessage().HTML, "drafted"); drafted != author {
			t.Errorf("author %v: %s", author, b.lessonMessage().HTML)
		}
		// Whoever comes to the same bench by the other address gets the version of that address.
		b.Leave()
		b.Connect(Welcome{Author: !author}, words.English)
		if drafted := strings.Contains(b.lessonMessage().HTML, "drafted"); drafted == author {
			t.Errorf("author %v comes back as the other: %s", author, b.lessonMessage().HTML)
		}
		b.Connect(Welcome{Author: author}, words.English)
		ask(t, b, noon, `{"type":"lesson","id":""}`)
		b.SetOffer(never)
		l := last[OfferMessage](t, sent).Lessons
		if listed := l[len(l)-1].ID == "own"; listed != author {
			t.Errorf("author %v: %+v", author, l[len(l)-1])
		}
		if err := b.Handle(&LessonRequest{ID: "own"}, noon); (err == nil) != author {
			t.Errorf("author %v: %v", author, err)
		}
	}
}
