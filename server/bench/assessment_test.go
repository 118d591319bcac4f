package bench

import (
	"crypto/ed25519"
	"encoding/json"
	"errors"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"handrule/scenarios"
	"handrule/scenarios/lesson"
	"handrule/scenarios/results"
	"handrule/words"
)

// An assessment with a task of every kind that can fail: a place under rules, two readings and a choice.
const assessment = `title: Own
arm: wren
start_deg: [0, 0, 0, 0, 90, 0]
assessment: {minutes_allowed: 10, late_counts: 0.25, ask_for: [name, number]}
draw: [{name: far, from: 20, to: 80, step: 1}]
stages:
  - {title: Place, text: Drive., points: 4, reach: {position_mm: [320, 50, 110], tolerance_mm: 1, most_jogs: 1}}
  - {title: Height, text: Read., read: {measure: z, after: base z +$far, tolerance: 0.1}}
  - {title: Here, text: Read., tries: 1, read: {measure: z, tolerance: 0.1}}
  - {title: Choice, text: Choose., tries: 3, choose: {question: q, options: [{text: a, right: true}, {text: b}, {text: c}]}}
`

const (
	beginIt  = `{"type":"stage","do":"begin"}`
	handItIn = `{"type":"stage","do":"hand-in"}`
)

func answer(number float64) string {
	return fmt.Sprintf(`{"type":"answer","number":%v}`, number)
}

// begun is an assessment under way.
func begun(t *testing.T, text string) (*Bench, *hearing) {
	t.Helper()
	b, sent := lessonBench(t, text)
	ask(t, b, noon, beginIt)
	return b, sent
}

func toStage(stage int) string { return fmt.Sprintf(`{"type":"stage","do":"go","stage":%d}`, stage) }

// resultOf hands in and returns what is signed.
func resultOf(t *testing.T, b *Bench, sent *hearing, at time.Time) results.Result {
	t.Helper()
	ask(t, b, at, handItIn)
	ask(t, b, at, `{"type":"result","learner":"Ada","number":"7"}`)
	r, err := results.Read([]byte(last[ResultMessage](t, sent).Text), testKey.Public().(ed25519.PublicKey))
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// Before it begins, its rules are told and its tasks are not; nothing can be done in it.
func TestAnAssessmentWaitsToBegin(t *testing.T) {
	b, _ := lessonBench(t, assessment)
	m := b.lessonMessage()
	if m.Task != nil || m.HTML != "" || m.Target != nil || !m.Allow.Withheld || m.Drawn || m.Seed != 0 {
		t.Errorf("%+v", m)
	}
	if a := m.Assessment; a == nil || a.State != AssessmentWaits || a.Points != 7 || a.MinutesAllowed != 10 || len(a.AskFor) != 2 {
		t.Errorf("%+v", a)
	}
	if s := m.Stages; s[0].Points != 4 || s[0].Late != 1 || s[0].TriesMay != 2 || s[2].TriesMay != 1 || s[3].TriesMay != 3 {
		t.Errorf("%+v", s)
	}
	refused(t, b, `{"type":"step","direction":{"frame":"base","axis":0,"sign":1}}`, "press Begin")
	refused(t, b, answer(1), "has not begun")
	refused(t, b, `{"type":"stage","do":"give-up"}`, "no task left")
	refused(t, b, handItIn, "press Begin")
	refused(t, b, `{"type":"lesson","id":"own","seed":7}`, "cannot be chosen")
	ask(t, b, noon, beginIt)
	if m := b.lessonMessage(); m.Task == nil || m.HTML == "" || m.Assessment.State != AssessmentOpen || m.Task.Left != 2 {
		t.Errorf("%+v", m)
	}
}

// The points by hand: 4 at the first try; a quarter of 1 at the second; 0 where the only try was wrong and where nothing was done.
func TestPointsAndTries(t *testing.T) {
	b, sent := begun(t, assessment)
	ask(t, b, noon, `{"type":"increment","mm":50,"deg":5}`)
	step(t, b, `{"type":"step","direction":{"frame":"base","axis":1,"sign":1}}`)
	far := b.lesson.Lesson.Stages[1].Read.After[0].Amount
	ask(t, b, noon, toStage(1))
	refused(t, b, `{"type":"step","direction":{"frame":"base","axis":2,"sign":1}}`, "Answer first")
	ask(t, b, noon, answer(0))
	if m := b.lessonMessage(); m.Task.Left != 1 || m.Task.Right != "" {
		t.Errorf("%+v", m.Task)
	}
	ask(t, b, noon, answer(110+far))
	ask(t, b, noon, toStage(2))
	ask(t, b, noon, answer(0))
	if m := b.lessonMessage(); m.Task.State != TaskGivenUp || m.Task.Left != 0 || m.Task.Right != "" {
		t.Errorf("%+v", m.Task)
	}
	refused(t, b, answer(110), "given up")
	refused(t, b, `{"type":"result","learner":"Ada","number":"7"}`, "handed in before")
	r := resultOf(t, b, sent, noon.Add(time.Minute))
	var earned []float64
	for _, s := range r.Progress.Stages {
		earned = append(earned, s.Earned)
	}
	score, points := r.Score()
	if fmt.Sprint(earned) != "[4 0.25 0 0]" || score != 4.25 || points != 7 || !r.TriesVouched || !r.Assessment || r.Number != "7" || !r.Finished.Equal(noon.Add(time.Minute)) {
		t.Errorf("%v %v of %v, %+v", earned, score, points, r)
	}
	if m := b.lessonMessage(); m.Assessment.State != AssessmentHandedIn || m.Assessment.Earned != 4.25 || m.Task.Right == "" || !m.Over {
		t.Errorf("%+v %+v", m.Assessment, m.Task)
	}
	ask(t, b, noon, toStage(3))
	refused(t, b, `{"type":"answer","options":[0]}`, "is handed in")
	if again := resultOf(t, b, sent, noon.Add(time.Hour)); !again.Finished.Equal(r.Finished) {
		t.Error("it was handed in anew")
	}
}

// Before it is handed in, a wrong answer is told to be wrong and nothing else: not why, not by how much, not what the picture would show. A
// right one likewise, and where a task is left and come back to. After that all of it is told.
func TestAWrongAnswerTellsNothingMore(t *testing.T) {
	b, _ := begun(t, `title: Own
arm: wren
start_deg: [0, 0, 0, 0, 90, 0]
assessment: {tries: 3}
stages:
  - {title: Way, text: Point., predict: {jog: joint J1 +20, ask: direction}}
  - {title: Height, text: Read., read: {measure: z, after: base z +40, tolerance: 0.1}}
  - {title: Choice, text: Choose., choose: {question: q, options: [{text: a, when: {measure: z, at_least: 100}}, {text: b, when: {measure: z, at_most: 100}, why: Because.}]}}
`)
	answers := []string{`{"type":"answer","direction":"x +"}`, answer(-150), `{"type":"answer","options":[1]}`}
	right := []string{`{"type":"answer","direction":"y +"}`, answer(150), `{"type":"answer","options":[0]}`}
	told := func(stage int) (all []string) {
		task := b.lessonMessage().Task
		if v := task.Verdict; v != nil {
			if v.Words != "" {
				all = append(all, v.Words)
			}
			if v.Error != nil {
				all = append(all, fmt.Sprint(*v.Error))
			}
		}
		if s := task.Shown; s != nil && (len(s.Axes)+len(s.LeverMM)+len(s.PathMM)+len(s.LineMM)+len(s.GapMM) > 0 || s.PlaceMM != nil) {
			all = append(all, fmt.Sprint(*s))
		}
		return append(all, strings.Join([]string{task.Right, task.Why, task.Explain}, ""))
	}
	for _, given := range [][]string{answers, right} {
		for stage := range given {
			ask(t, b, noon, toStage(stage))
			ask(t, b, noon, given[stage])
			for range 2 {
				if all := told(stage); len(all) != 1 || all[0] != "" {
					t.Errorf("stage %d, %s: %q", stage, given[stage], all)
				}
				ask(t, b, noon, toStage((stage+1)%3)) // and back
				ask(t, b, noon, toStage(stage))
			}
		}
	}
	ask(t, b, noon, handItIn)
	for stage := range right {
		ask(t, b, noon, toStage(stage))
		if all := told(stage); strings.Join(all, "") == "" {
			t.Errorf("stage %d: nothing is told after it was handed in", stage)
		}
	}
}

// A try that was begun by driving is not won back by leaving the stage, the lesson, or by the aids that find ways.
func TestATryIsNotWonBackByLeaving(t *testing.T) {
	for name, leave := range map[string]func(b *Bench){
		"another stage": func(b *Bench) { ask(t, b, noon, toStage(1)); ask(t, b, noon, toStage(0)) },
		"the sandbox": func(b *Bench) {
			token := b.progressView().(ProgressMessage).Token
			ask(t, b, noon, `{"type":"lesson","id":""}`)
			ask(t, b, noon, request(t, "lesson", LessonRequest{ID: "own", Progress: token}))
		},
	} {
		b, _ := begun(t, strings.Replace(assessment, "most_jogs: 1", "most_jogs: 5", 1))
		for want := range 2 {
			step(t, b, `{"type":"step","direction":{"frame":"base","axis":0,"sign":1}}`)
			leave(b)
			if p := b.lesson.Progress.Stages[0]; p.Tries != want+1 {
				t.Errorf("%s: %d tries, want %d", name, p.Tries, want+1)
			}
		}
		if !b.lesson.Progress.Stages[0].GivenUp {
			t.Errorf("%s: there is a third try", name)
		}
	}
	b, _ := begun(t, assessment)
	refused(t, b, `{"type":"ways","do":"lesson"}`, "yours to find")
	if b.waysView().LessonGoal {
		t.Error("the page offers to find the way")
	}
}

// sharedLedger is a ledger for benches that are used one after the other.
func sharedLedger() Ledger { return NewCounted(10) }

// benchesOfOneServer returns what makes benches that offer the assessment and count its tries together.
func benchesOfOneServer(t *testing.T) func() (*Bench, *hearing) {
	t.Helper()
	own, err := scenarios.ReadLesson("own.yaml", []byte(assessment))
	if err != nil {
		t.Fatal(err)
	}
	offer := shipped()
	offer.Lessons = append(offer.Lessons, own)
	env := testEnv()
	env.Ledger = sharedLedger()
	return func() (*Bench, *hearing) {
		b := New(&offer, env)
		b.Connect(Welcome{}, words.English)
		return b, &hearing{b: b}
	}
}

// Another bench of the same server knows what was tried at the first, also while both are open.
func TestTriesAreCountedAtEveryBench(t *testing.T) {
	at := benchesOfOneServer(t)
	first, sent := at()
	ask(t, first, noon, `{"type":"lesson","id":"own"}`)
	ask(t, first, noon, beginIt)
	ask(t, first, noon, toStage(3))
	fresh := last[ProgressMessage](t, sent).Token
	second, _ := at()
	ask(t, second, noon, request(t, "lesson", LessonRequest{ID: "own", Progress: fresh}))
	ask(t, first, noon, `{"type":"answer","options":[1]}`)
	first.Tell(noon, sent.hear)
	ask(t, second, noon, `{"type":"answer","options":[2]}`)
	if m := second.lessonMessage(); m.Task.Tries != 2 || m.Task.Left != 1 {
		t.Errorf("at the second bench: %+v", m.Task)
	}
	second.account()
	third, heard := at()
	ask(t, third, noon.Add(time.Minute), request(t, "lesson", LessonRequest{ID: "own", Progress: fresh}))
	if m := third.lessonMessage(); m.Task.Left != 1 {
		t.Errorf("at the third bench: %+v", m.Task)
	}
	if r := resultOf(t, third, heard, noon.Add(2*time.Minute)); !r.TriesVouched {
		t.Error("what the server has counted all along is not vouched for")
	}
	// It is handed in everywhere.
	refused(t, first, `{"type":"answer","options":[0]}`, "handed in")
}

// The time is the owner's. When it is up, nothing counts, and what was done before does.
func TestTimeIsUp(t *testing.T) {
	b, sent := begun(t, assessment)
	ask(t, b, noon, toStage(2))
	ask(t, b, noon.Add(9*time.Minute), answer(110))
	b.Tell(noon.Add(9*time.Minute), sent.hear)
	if c := last[ClockMessage](t, sent); !c.Running || c.LeftS != 60 {
		t.Errorf("%+v", c)
	}
	ask(t, b, noon.Add(11*time.Minute), toStage(3))
	refused(t, b, `{"type":"answer","options":[0]}`, "handed in")
	r := resultOf(t, b, sent, noon.Add(20*time.Minute))
	score, _ := r.Score()
	if score != 1 || !r.Finished.Equal(noon.Add(10*time.Minute)) || !b.lessonMessage().Assessment.TimeUp || last[ClockMessage](t, sent).Running {
		t.Errorf("%v at %v", score, r.Finished)
	}
	// An arm in motion does not get there any more.
	b, _ = begun(t, assessment)
	ask(t, b, noon, `{"type":"increment","mm":50,"deg":5}`)
	ask(t, b, noon.Add(10*time.Minute-time.Second), `{"type":"step","direction":{"frame":"base","axis":1,"sign":1}}`)
	finish(t, b, noon.Add(10*time.Minute))
	if b.lesson.Progress.Stages[0].Done || !b.lesson.HandedIn() {
		t.Errorf("%+v", b.lesson.Progress)
	}
}

// Progress of before the beginning, put back, wins no time: the assessment goes on from when it was begun first.
func TestTimeIsNotWonBack(t *testing.T) {
	b, sent := lessonBench(t, assessment)
	waiting := last[ProgressMessage](t, sent).Token
	ask(t, b, noon, beginIt)
	ask(t, b, noon.Add(6*time.Minute), request(t, "lesson", LessonRequest{ID: "own", Progress: waiting}))
	ask(t, b, noon.Add(6*time.Minute), beginIt)
	if !b.lesson.Progress.Began.Equal(noon) {
		t.Errorf("it began at %v", b.lesson.Progress.Began)
	}
	ask(t, b, noon.Add(11*time.Minute), toStage(3))
	refused(t, b, `{"type":"answer","options":[0]}`, "handed in")
}

// An instructor's code gives more time, once; another's gives none.
func TestExtraTime(t *testing.T) {
	b, sent := begun(t, assessment)
	code, err := results.ExtraTime("own", "Ada", 15, testKey)
	if err != nil {
		t.Fatal(err)
	}
	for range 2 {
		ask(t, b, noon, request(t, "extra-time", ExtraTimeRequest{code}))
	}
	refused(t, b, `{"type":"extra-time","code":"60-ada-AAAAAAAAAA"}`, "no code for more time")
	b.Tell(noon, sent.hear)
	if c := last[ClockMessage](t, sent); c.LeftS != 25*60 || b.lessonMessage().Assessment.ExtraMinutes != 15 {
		t.Errorf("%+v", c)
	}
	ask(t, b, noon.Add(24*time.Minute), toStage(2))
	ask(t, b, noon.Add(24*time.Minute), answer(110))
	// It lasts where the progress is taken up elsewhere.
	again, heard := testBench()
	again.offer.Lessons = append(again.offer.Lessons, b.offer.Lesson("own"))
	ask(t, again, noon.Add(24*time.Minute), request(t, "lesson", LessonRequest{ID: "own", Progress: b.progressView().(ProgressMessage).Token}))
	r := resultOf(t, again, heard, noon.Add(24*time.Minute))
	if score, _ := r.Score(); score != 1 || r.Progress.Extra != 15 || r.Progress.ExtraFor != "ada" || !r.Progress.Began.Equal(noon) || r.TriesVouched {
		t.Errorf("%+v", r)
	}
	ask(t, b, noon.Add(26*time.Minute), toStage(0))
	refused(t, b, request(t, "extra-time", ExtraTimeRequest{code}), "is handed in")
	b, _ = lessonBench(t, twoChoices)
	refused(t, b, request(t, "extra-time", ExtraTimeRequest{code}), "no limit of time")
}

// What the deal is stays with the server until all is handed in: it is in no message, and whoever has it and not the key draws
// other numbers.
func TestTheDealStaysWithTheServer(t *testing.T) {
	b, sent := lessonBench(t, assessment)
	seed := fmt.Sprint(b.lesson.Lesson.Seed)
	ask(t, b, noon, beginIt)
	ask(t, b, noon, toStage(1))
	ask(t, b, noon, answer(3))
	text, err := json.Marshal(sent.all())
	if err != nil {
		t.Fatal(err)
	}
	if strings.Contains(string(text), seed) {
		t.Errorf("%s is in %s", seed, text)
	}
	numbers := map[float64]bool{}
	for range 40 {
		b, _ := lessonBench(t, assessment)
		far := b.lesson.Lesson.Stages[1].Read.After[0].Amount
		numbers[far] = true
		open, err := b.offer.Lesson("own").Redrawn(lesson.Deal{Seed: b.lesson.Lesson.Seed})
		if err != nil {
			t.Fatal(err)
		}
		numbers[-far+open.Stages[1].Read.After[0].Amount] = true
	}
	if len(numbers) < 30 {
		t.Errorf("%d numbers", len(numbers))
	}
}

// With a deal of every learner's own the order differs, each gets one shape of the question, and another edition keeps both.
func TestDrawnOrderAndShapes(t *testing.T) {
	text := `title: Own
arm: wren
assessment: {order: drawn}
stages:
  - {text: One., choose: {question: a, options: [{text: a, right: true}, {text: b}]}}
  - {text: Two., shape_of: two, choose: {question: b, options: [{text: a, right: true}, {text: b}]}}
  - {text: Two., shape_of: two, choose: {question: c, options: [{text: a}, {text: b, right: true}]}}
  - {text: Three., choose: {question: d, options: [{text: a, right: true}, {text: b}]}}
`
	orders := map[string]bool{}
	for range 40 {
		b, _ := lessonBench(t, text)
		var asked []string
		for i := range b.lesson.Lesson.Stages {
			asked = append(asked, b.lesson.Lesson.Stages[i].Choose.Question)
		}
		if len(asked) != 3 {
			t.Fatalf("%v", asked)
		}
		orders[strings.Join(asked, "")] = true
		ask(t, b, noon, beginIt)
		edited, err := scenarios.ReadLesson("own.yaml", []byte(strings.Replace(text, "  - {text: Three.", "  - {text: Read this.}\n  - {text: Three now.", 1)))
		if err != nil {
			t.Fatal(err)
		}
		offer := *b.offer
		offer.Lessons = []*lesson.Lesson{edited}
		b.SetOffer(&offer)
		var now []string
		for i := range b.lesson.Lesson.Stages {
			if c := b.lesson.Lesson.Stages[i].Choose; c != nil {
				now = append(now, c.Question)
			}
		}
		if fmt.Sprint(now) != fmt.Sprint(asked) {
			t.Fatalf("another edition has the order %v, before %v", now, asked)
		}
	}
	if len(orders) < 8 { // of twelve
		t.Errorf("%v", orders)
	}
	if l, _ := scenarios.ReadLesson("own.yaml", []byte(text)); l.Tasks() != 3 {
		t.Errorf("%d tasks", l.Tasks())
	}
}

// A file's name keeps letters of every language, fits, and is no other result's.
func TestNamesOfResultFiles(t *testing.T) {
	for name, want := range map[string]string{
		"Ada Lovelace": "ada-lovelace", "Zoë Ñandú": "zoë-ñandú", "Ольга": "ольга", "李 小龙": "李-小龙", "  ../..\\x ": "x", "O'Brien, Jr.": "o-brien-jr", "अनिता": "अनिता",
	} {
		if got := fileWord(name); got != want {
			t.Errorf("%q is %q, want %q", name, got, want)
		}
	}
	if got := fileWord(strings.Repeat("é", 100)); len(got) > longestFileWord || !strings.HasPrefix(got, "éé") {
		t.Errorf("%d bytes", len(got))
	}
	if resultName("a", "Ada", "x") == resultName("a", "Ada", "y") {
		t.Error("two results have one name")
	}
}

// What is asked for has to be given, and nothing else.
func TestIdentifiers(t *testing.T) {
	b, sent := begun(t, strings.Replace(assessment, "[name, number]", "[e-mail]", 1))
	ask(t, b, noon, handItIn)
	for _, bad := range []string{``, `,"email":"ada"`, `,"email":"ada@"`, `,"email":"a b@example.org"`, `,"email":"ada@example"`} {
		refused(t, b, `{"type":"result","learner":""`+bad+`}`, "e-mail address such as")
	}
	ask(t, b, noon, `{"type":"result","learner":"","email":" ada@example.org "}`)
	m := last[ResultMessage](t, sent)
	if r, err := results.Read([]byte(m.Text), testKey.Public().(ed25519.PublicKey)); err != nil || r.Email != "ada@example.org" || !strings.HasPrefix(m.Name, "own-ada-example-org-") {
		t.Errorf("%s %+v %v", m.Name, r, err)
	}
}

// A bench that rests and comes back is as far as it was.
func TestAnAssessmentOutlastsARest(t *testing.T) {
	b, _ := begun(t, assessment)
	ask(t, b, noon, toStage(3))
	ask(t, b, noon, `{"type":"answer","options":[1]}`)
	html := b.lesson.Lesson.HTML
	b.Leave()
	state, log, err := b.Snapshot()
	if err != nil {
		t.Fatal(err)
	}
	again, err := Restore(b.offer, testEnv(), state, log)
	if err != nil {
		t.Fatal(err)
	}
	if m := again.lessonMessage(); again.lesson.Lesson.HTML != html || m.Task.Left != 2 || m.Assessment.State != AssessmentOpen || !again.lesson.Ends().Equal(noon.Add(10*time.Minute)) {
		t.Errorf("%+v", m)
	}
}

// Where nothing signs, there is no key to draw from either; the lesson works all the same.
func TestAnAssessmentWithoutAVault(t *testing.T) {
	own, err := scenarios.ReadLesson("own.yaml", []byte(assessment))
	if err != nil {
		t.Fatal(err)
	}
	offer := Offer{Arms: scenarios.ShippedArms(), Lessons: []*lesson.Lesson{own}}
	b := New(&offer, Env{Random: rand.Uint64})
	b.Connect(Welcome{}, words.English)
	ask(t, b, noon, `{"type":"lesson","id":"own"}`)
	ask(t, b, noon, beginIt)
	ask(t, b, noon, handItIn)
	if err := b.Handle(&ResultRequest{Learner: "Ada", Number: "1"}, noon); err == nil || errors.Is(err, results.ErrEdited) {
		t.Errorf("%v", err)
	}
}

// An assessment that is under way here goes on, with its tries, its time and what was done in it, whatever comes between and whatever is
// asked for: nothing kept, other progress than its own, or progress that is not the server's. Its result and those after it tell how often
// it was begun.
func TestAnAssessmentUnderWayIsNotDealtAnew(t *testing.T) {
	at := benchesOfOneServer(t)
	b, _ := at()
	ask(t, b, noon, `{"type":"lesson","id":"own"}`)
	waiting := b.progressView().(ProgressMessage).Token
	ask(t, b, noon, `{"type":"lesson","id":"own","progress":""}`) // Nothing has begun, so another is dealt.
	ask(t, b, noon, beginIt)
	deal := b.lesson.Lesson.Seed
	ask(t, b, noon, toStage(3))
	ask(t, b, noon, `{"type":"answer","options":[1]}`)
	ask(t, b, noon, toStage(2))
	ask(t, b, noon, answer(110))
	for name, between := range map[string]func(){
		"nothing":        func() {},
		"left":           func() { ask(t, b, noon, `{"type":"lesson","id":""}`) },
		"another lesson": func() { ask(t, b, noon, `{"type":"lesson","id":"straight-lines"}`) },
		"a rest": func() {
			ask(t, b, noon, `{"type":"lesson","id":""}`)
			b = rested(t, b)
		},
	} {
		for what, progress := range map[string]string{"nothing": "", "another deal's": waiting, "no": "forged"} {
			between()
			sent := &hearing{b: b}
			sent.forget()
			ask(t, b, noon.Add(time.Minute), request(t, "lesson", LessonRequest{ID: "own", Progress: progress}))
			p := b.lesson.Progress
			if b.lesson.Lesson.Seed != deal || !p.Began.Equal(noon) || p.Stages[3].Tries != 1 || !p.Stages[2].Done || b.lesson.resumed {
				t.Errorf("%s, then with %s progress: %+v", name, what, p)
			}
			if m := last[Problem](t, sent); !strings.Contains(m.Message, "is under way and goes on") || m.Refused {
				t.Errorf("%s, then with %s progress: %+v", name, what, m)
			}
		}
	}
	if r := resultOf(t, b, &hearing{b: b}, noon.Add(2*time.Minute)); r.Progress.Times != 1 || !r.TriesVouched {
		t.Errorf("begun %d times, vouched for: %v", r.Progress.Times, r.TriesVouched)
	}
	first := b.progressView().(ProgressMessage).Token
	ask(t, b, noon, `{"type":"lesson","id":"own"}`)
	if b.lesson.Lesson.Seed == deal || !b.lesson.Waits() {
		t.Error("one that is handed in is not begun anew")
	}
	ask(t, b, noon, beginIt)
	second := b.lesson.Lesson.Seed
	// A look at the first does not end the second.
	ask(t, b, noon, request(t, "lesson", LessonRequest{ID: "own", Progress: first}))
	if r := resultOf(t, b, &hearing{b: b}, noon); r.Progress.Seed != deal || r.Progress.Times != 2 {
		t.Errorf("of the first: %+v", r.Progress)
	}
	ask(t, b, noon, `{"type":"lesson","id":"own"}`)
	if r := resultOf(t, b, &hearing{b: b}, noon); r.Progress.Seed != second || r.Progress.Times != 2 {
		t.Errorf("of the second: %+v", r.Progress)
	}
	// Where it is gone on with at another bench, that goes on counting.
	token := b.progressView().(ProgressMessage).Token
	other, _ := at()
	ask(t, other, noon, request(t, "lesson", LessonRequest{ID: "own", Progress: token}))
	ask(t, other, noon, `{"type":"lesson","id":"own"}`)
	ask(t, other, noon, beginIt)
	if r := resultOf(t, other, &hearing{b: other}, noon); r.Progress.Times != 3 {
		t.Errorf("at another bench: %+v", r.Progress)
	}
}

// Handed in at another bench, it is begun anew at this one.
func TestWhatIsHandedInElsewhereIsNotUnderWay(t *testing.T) {
	at := benchesOfOneServer(t)
	b, _ := at()
	ask(t, b, noon, `{"type":"lesson","id":"own"}`)
	ask(t, b, noon, beginIt)
	token, deal := b.progressView().(ProgressMessage).Token, b.lesson.Lesson.Seed
	ask(t, b, noon, `{"type":"lesson","id":""}`)
	other, _ := at()
	ask(t, other, noon, request(t, "lesson", LessonRequest{ID: "own", Progress: token}))
	ask(t, other, noon, handItIn)
	ask(t, b, noon, `{"type":"lesson","id":"own"}`)
	if b.lesson.Lesson.Seed == deal || !b.lesson.Waits() {
		t.Errorf("%+v", b.lesson.Progress)
	}
}

// Of how many assessments a bench knows that they were begun is bounded.
func TestBeginningsAreBounded(t *testing.T) {
	b, _ := begun(t, assessment)
	for i := range 2 * mostBegun {
		b.lesson.Lesson.ID = fmt.Sprint(i)
		b.noteBegun(b.lesson.Run)
	}
	if len(b.begun) != mostBegun || b.begunOf(fmt.Sprint(2*mostBegun-1)) == nil {
		t.Errorf("%d are known", len(b.begun))
	}
}
