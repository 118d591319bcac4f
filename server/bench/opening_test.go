package bench

import (
	"runtime"
	"strings"
	"testing"

	"handrule/scenarios"
	"handrule/words"
)

// dealing is a bench at which a lesson with drawn numbers is being prepared.
func dealing(t *testing.T) (*Bench, *hearing) {
	b, sent := testBench()
	b.Request([]byte(`{"type":"lesson","id":"straight-lines"}`), noon)
	b.Request([]byte(`{"type":"lesson","id":"assessment"}`), noon)
	if m := last[LessonMessage](t, sent); m.ID != "straight-lines" || m.Preparing != "Assessment" {
		t.Fatalf("%q is open and %q is being prepared", m.ID, m.Preparing)
	}
	return b, sent
}

// opened works on all that the bench asks, and returns which lesson it comes to and in how many slices.
func opened(t *testing.T, b *Bench, sent *hearing) (id string, slices int) {
	for q := b.Question(); q != nil; q = b.Question() {
		for slices++; !q.Work(); slices++ {
		}
		b.Answer(q)
	}
	m := last[LessonMessage](t, sent)
	if m.Preparing != "" {
		t.Errorf("%q is still being prepared", m.Preparing)
	}
	return m.ID, slices
}

// A lesson whose numbers are dealt opens after many short pieces of work, in which the bench does all else that it is asked.
func TestALessonIsDealtInSlices(t *testing.T) {
	b, sent := dealing(t)
	q := b.Question()
	for range 5 {
		if q.Work() {
			t.Fatal("the numbers are dealt in few slices")
		}
	}
	if err := b.Handle(&StageRequest{Do: StageGo, Stage: 1}, noon); err == nil || !strings.Contains(err.Error(), "being prepared") {
		t.Errorf("a stage while another lesson is prepared: %v", err)
	}
	if err := b.Handle(&SpeedRequest{MMS: 20, DegS: 10}, noon); err != nil || b.chosen.Speed.MMS != 20 {
		t.Errorf("%v, %v", err, b.chosen.Speed)
	}
	if !b.Wanted(q) {
		t.Fatal("the lesson is given up")
	}
	slices := 5
	for ; !q.Work(); slices++ {
	}
	b.Answer(q)
	if m := last[LessonMessage](t, sent); m.ID != "assessment" || m.Preparing != "" || slices < 20 {
		t.Errorf("%q is open and %q is being prepared, after %d slices", m.ID, m.Preparing, slices)
	}
}

// Whoever chooses something else meanwhile gets that, and the work is given up.
func TestWhatIsChosenLastIsOpened(t *testing.T) {
	for choice, want := range map[string]string{
		`{"type":"lesson","id":""}`:              "",
		`{"type":"lesson","id":"two-ways"}`:      "two-ways",
		`{"type":"arm","id":"curlew"}`:           "",
		`{"type":"lesson","id":"no-such"}`:       "assessment",
		`{"type":"lesson","id":"assessment"}`:    "assessment",
		`{"type":"speed","mm_s":20,"deg_s":10}`:  "assessment",
		`{"type":"cell","id":"glazing-bench"}`:   "",
		`{"type":"stage","do":"go","stage":1}`:   "assessment",
		`{"type":"answer","options":[1]}`:        "assessment",
		`{"type":"result","learner":"A. Smith"}`: "assessment",
	} {
		b, sent := dealing(t)
		q := b.Question()
		q.Work()
		b.Request([]byte(choice), noon)
		for !q.Work() {
		}
		b.Answer(q)
		if id, _ := opened(t, b, sent); id != want {
			t.Errorf("%s: %q is open, not %q", choice, id, want)
		}
	}
}

// Neither pages that leave nor those that choose again leave work behind, also while somebody is at it.
func TestLessonsThatAreGivenUpLeaveNothingBehind(t *testing.T) {
	before := runtime.NumGoroutine()
	for i := range 50 {
		b, _ := dealing(t)
		q := b.Question()
		if q.Work(); i%3 == 0 { // Nobody works on it any more.
			b.Leave()
			continue
		}
		worked := make(chan struct{})
		go func() {
			defer close(worked)
			for !q.Work() {
			}
		}()
		if i%2 == 0 {
			b.Leave()
		} else {
			b.Request([]byte(`{"type":"lesson","id":""}`), noon)
		}
		<-worked
		if b.Wanted(q) {
			t.Fatal("the lesson is wanted still")
		}
	}
	for runtime.NumGoroutine() > before { // Where they never end, the test's time limit tells which they are.
		runtime.Gosched()
	}
}

// A file that is saved while its lesson is prepared is the one that opens; a lesson that was dealt at a bench at rest is dealt the
// same again.
func TestWhatIsPreparedIsTheNewestFile(t *testing.T) {
	text := "title: Far\narm: wren\ndraw: [{name: far, from: 5, to: 50, step: 1}]\nstages:\n  - {title: One, text: Go, read: {measure: x, after: base x +$far, tolerance: 1}, start_deg: [0, 0, 0, 0, 90, 0]}\n"
	edition := func(text string) *Offer {
		l, err := scenarios.ReadLesson("far.yaml", []byte(text))
		if err != nil {
			t.Fatal(err)
		}
		offer := shipped()
		offer.Lessons = append(offer.Lessons, l)
		return &offer
	}
	b := New(edition(text), testEnv())
	b.Connect(Welcome{}, words.English)
	sent := &hearing{b: b}
	b.Request([]byte(`{"type":"lesson","id":"far","seed":7}`), noon)
	b.SetOffer(edition(strings.Replace(text, "title: Far", "title: Farther", 1)))
	if id, _ := opened(t, b, sent); id != "far" || b.lesson.Lesson.Title != "Farther" {
		t.Errorf("%q %q is open", id, b.lesson.Lesson.Title)
	}
	drawn := b.lesson.Lesson.Stages[0].Read.After
	b.Leave()
	state, log, err := b.Snapshot()
	if err != nil {
		t.Fatal(err)
	}
	again, err := Restore(b.offer, b.env, state, log)
	if err != nil {
		t.Fatal(err)
	}
	if got := again.lesson.Lesson.Stages[0].Read.After; len(got) != 1 || got[0].Amount != drawn[0].Amount {
		t.Errorf("%v was dealt, and then %v", drawn, got)
	}
}
