package single_test

import (
	"encoding/json"
	"regexp"
	"strings"
	"testing"
	"time"

	"handrule/scenarios"
	"handrule/scenarios/lesson"
	"handrule/server/bench"
	"handrule/server/single"
	"handrule/server/site"
	"handrule/words"
)

// page hears what an owner tells.
type page struct {
	*single.Owner
	texts  []string
	frames int
	now    time.Time
}

func (p *page) hear(m bench.Message) {
	if m.Frame {
		p.frames++
		return
	}
	p.texts = append(p.texts, string(m.Text))
}

// last returns the last text of a type.
func (p *page) last(word string) string {
	for i := len(p.texts) - 1; i >= 0; i-- {
		if strings.HasPrefix(p.texts[i], `{"type":"`+word+`"`) {
			return p.texts[i]
		}
	}
	return ""
}

func (p *page) ask(text string) { p.Request([]byte(text), p.now) }

// settle lets the clock run and the owner think until nothing moves and nothing is asked.
func (p *page) settle(t *testing.T) {
	t.Helper()
	for range 100_000 {
		p.now = p.now.Add(single.FrameTime)
		moves := p.Frame(p.now, p.now)
		if more := p.Think(p.now); !moves && !more {
			return
		}
	}
	t.Fatal("it does not come to rest")
}

func shipped() site.Options {
	return site.Options{Offer: bench.Offer{Arms: scenarios.ShippedArms(), Cells: scenarios.ShippedCells(), Lessons: scenarios.ShippedLessons()}}
}

func connected(t *testing.T, in *words.Language, state, log []byte, lessons ...string) *page {
	t.Helper()
	catalog, sources, err := shipped().Sources()
	if err != nil {
		t.Fatal(err)
	}
	text, err := json.Marshal(catalog)
	if err != nil {
		t.Fatal(err)
	}
	p := &page{now: time.Unix(1e9, 0)}
	if p.Owner, err = single.New(text, in, p.hear); err != nil {
		t.Fatal(err)
	}
	for _, id := range lessons {
		if !p.Lacks(id) {
			t.Fatalf("%s is there before it was read", id)
		}
		source, err := json.Marshal(sources[id])
		if err == nil {
			err = p.Read(source)
		}
		if err != nil {
			t.Fatal(err)
		}
		if p.Lacks(id) {
			t.Fatalf("%s was read and lacks", id)
		}
	}
	p.Connect(bench.Welcome{Bench: "mine", Program: "1"}, "new", state, log, p.now)
	return p
}

// A page keeps the plot's lines, as the bench does not: it is told them once each jog is over, also while it shows no plot.
func TestEveryJogIsToldForThePlot(t *testing.T) {
	p := connected(t, words.English, nil, nil)
	count := func() (n int) {
		for _, text := range p.texts {
			if strings.HasPrefix(text, `{"type":"recording"`) {
				n++
			}
		}
		return n
	}
	p.ask(`{"type":"increment","mm":50,"deg":90}`)
	p.ask(`{"type":"step","direction":{"frame":"joint","axis":4,"sign":1}}`)
	p.settle(t)
	if last := p.last("recording"); count() != 1 || !strings.Contains(last, `"of_joint":true`) || !strings.Contains(last, `"done":true`) {
		t.Errorf("of the joint's jog is told %d times, last %.200s", count(), last)
	}
	p.ask(`{"type":"step","direction":{"frame":"base","axis":1,"sign":1}}`)
	p.settle(t)
	if last := p.last("recording"); count() != 2 || !strings.Contains(last, `"of_joint":false`) || !strings.Contains(last, `"done":true`) {
		t.Errorf("of the straight jog is told, with the one before, %d times, last %.200s", count(), last)
	}
}

// What an owner offers is what a server does, in every language.
func TestASiteOffersWhatAServerDoes(t *testing.T) {
	for _, in := range words.Languages {
		p := connected(t, in, nil, nil)
		o := shipped().Offer
		served := bench.New(&o, bench.Env{})
		served.Connect(bench.Welcome{}, in)
		want := map[string]string{}
		served.Tell(p.now, func(m bench.Message) {
			if !m.Frame {
				word, _, _ := strings.Cut(strings.TrimPrefix(string(m.Text), `{"type":"`), `"`)
				want[word] = string(m.Text)
			}
		})
		for _, word := range []string{"offer", "arm", "cell", "setup", "lesson"} {
			if got := p.last(word); got == "" || got != want[word] {
				t.Errorf("%s, %s:\n got %.300s\nwant %.300s", in.Code, word, got, want[word])
			}
		}
		if w := p.last("welcome"); !strings.Contains(w, `"alone":true`) || !strings.Contains(w, `"bench":"new"`) {
			t.Errorf("%s: the page is welcomed with %s", in.Code, w)
		}
	}
}

// Every shipped lesson opens at a site as it does at a server, with its text as HTML and the same tasks, in every language.
func TestEveryLessonOpensAtASite(t *testing.T) {
	for _, in := range words.Languages {
		o := shipped().Offer
		for _, l := range o.Lessons {
			open := `{"type":"lesson","id":"` + l.ID + `","progress":"","seed":7}`
			if l.Assessment != nil { // whose numbers nobody chooses, and whose tasks are told once it begins
				open = strings.Replace(open, "7", "null", 1)
			}
			p := connected(t, in, nil, nil, l.ID)
			p.ask(open)
			served := bench.New(&o, bench.Env{Random: func() uint64 { return 7 }})
			served.Connect(bench.Welcome{}, in)
			served.Request([]byte(open), p.now)
			want := ""
			served.Tell(p.now, func(m bench.Message) {
				if strings.HasPrefix(string(m.Text), `{"type":"lesson"`) {
					want = string(m.Text)
				}
			})
			if got := p.last("lesson"); got != want || l.Assessment == nil && !strings.Contains(got, `<p>`) && !strings.Contains(got, `\u003cp\u003e`) {
				t.Errorf("%s, %s:\n got %.400s\nwant %.400s", in.Code, l.ID, got, want)
			}
		}
	}
}

// A bench is found again as it was left: where the arm stands, and in the lesson that was open.
func TestABenchIsKeptAndFoundAgain(t *testing.T) {
	p := connected(t, words.English, nil, nil, "first-straight-line")
	if _, _, _, ok := p.Keep(); ok {
		t.Error("a bench at which nothing was done is kept")
	}
	p.ask(`{"type":"lesson","id":"first-straight-line","progress":"","seed":null,"stage":2}`)
	p.ask(`{"type":"increment","mm":10,"deg":90}`)
	p.ask(`{"type":"step","direction":{"frame":"joint","axis":4,"sign":1}}`)
	if _, _, _, ok := p.Keep(); ok {
		t.Error("a bench whose arm moves is kept")
	}
	p.settle(t)
	state, log, lesson, ok := p.Keep()
	if !ok || lesson != "first-straight-line" {
		t.Fatalf("kept %v with the lesson %q", ok, lesson)
	}
	if _, _, _, again := p.Keep(); again {
		t.Error("a bench that is as it was is kept again")
	}
	if p.frames < 10 {
		t.Errorf("a step of 90° told %d frames", p.frames)
	}
	next := connected(t, words.English, state, log, lesson)
	if w := next.last("welcome"); !strings.Contains(w, `"bench":"mine"`) {
		t.Errorf("the bench that was kept is told to be another: %s", w)
	}
	counted := regexp.MustCompile(`,"log":\d+}$`) // which log it is, is counted anew
	for _, word := range []string{"lesson", "setup", "log"} {
		if got, want := counted.ReplaceAllString(next.last(word), "}"), counted.ReplaceAllString(p.last(word), "}"); got != want {
			t.Errorf("%s:\n got %.600s\nwant %.600s", word, got, want)
		}
	}
	broken := connected(t, words.English, state[:len(state)/2], log)
	if w := broken.last("welcome"); !strings.Contains(w, `"bench":"new"`) {
		t.Errorf("a bench that cannot be read is told to be found: %s", w)
	}
}

// A long question is answered in slices between which the arm moves on: the owner never does more than a bounded piece at a time.
func TestLongQuestionsAreAnsweredInSlices(t *testing.T) {
	p := connected(t, words.English, nil, nil)
	p.ask(`{"type":"show","room":true,"plot":false,"of":"tcp","form":"fixed_xyz"}`)
	p.ask(`{"type":"cell","id":"glazing-bench"}`)
	p.ask(`{"type":"frame","frame":"base","task":""}`)
	slices := 0
	for p.Think(p.now) {
		slices++
	}
	if slices < 6 || p.last("room") == "" {
		t.Errorf("the room to move was answered in %d slices: %.80s", slices, p.last("room"))
	}
}

// Progress is kept as it is, and a result says that nobody signed it and what computed it.
func TestAResultOfASiteSaysThatNobodySignedIt(t *testing.T) {
	p := connected(t, words.English, nil, nil, "joints-one-at-a-time")
	p.ask(`{"type":"lesson","id":"joints-one-at-a-time","progress":"","seed":null}`)
	var kept struct{ Token string }
	if err := json.Unmarshal([]byte(p.last("progress")), &kept); err != nil || !strings.HasPrefix(kept.Token, "open-") {
		t.Fatalf("%v: %s", err, p.last("progress"))
	}
	p.ask(`{"type":"lesson","id":"","progress":"","seed":null}`)
	p.ask(`{"type":"lesson","id":"joints-one-at-a-time","progress":"` + kept.Token + `","seed":null}`)
	if told := p.last("problem"); told != "" {
		t.Errorf("progress is not taken back: %s", told)
	}
	text, err := single.Vault().Sign(lesson.Outcome{Learner: "Ada", Finished: p.now, Progress: lesson.Progress{Lesson: "joints-one-at-a-time"}})
	if err != nil {
		t.Fatal(err)
	}
	for _, says := range []string{"not signed", "computed_on", `"learner": "Ada"`} {
		if !strings.Contains(string(text), says) {
			t.Errorf("the result does not say %q:\n%s", says, text)
		}
	}
}
