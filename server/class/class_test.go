package class

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	_ "handrule/internal/draws"
	"handrule/scenarios"
	"handrule/scenarios/lesson"
	"handrule/scenarios/results"
	"handrule/server/bench"
	"handrule/words"
)

var noon = time.Date(2026, 1, 1, 12, 0, 0, 0, time.UTC)

func offer() *bench.Offer {
	return &bench.Offer{Arms: scenarios.ShippedArms(), Cells: scenarios.ShippedCells(), Lessons: scenarios.ShippedLessons()}
}

// kept is a store of facts, as the classes of several processes see it.
type kept struct {
	facts    map[string][]byte
	revision uint64
}

func (k *kept) put(t interface{ Fatal(...any) }, c *Class, all []Write) {
	for _, w := range all {
		k.revision++
		if w.Value == nil {
			delete(k.facts, w.Key)
		} else {
			text, err := json.Marshal(w.Value)
			if err != nil {
				t.Fatal(err)
			}
			k.facts[w.Key] = text
		}
		if err := c.Take(w.Key, k.facts[w.Key], k.revision, w.Value == nil); err != nil {
			t.Fatal(err)
		}
	}
}

// seenBy is all that everybody sees of a class.
func seenBy(t interface{ Fatal(...any) }, c *Class) string {
	spanish := words.Find("es")
	answers, _ := c.Answers(Instructor, spanish)
	shown, _ := c.Answers(Learner, words.English)
	front, _ := c.Front()
	all := []any{c.View(noon), front, answers, shown, c.Question("", spanish), c.Board(words.English, noon), c.Listing(), c.Results()}
	ids := []string{}
	for id := range c.people {
		ids = append(ids, id)
	}
	slices.Sort(ids)
	for _, id := range ids {
		all = append(all, c.Mine(id), c.Question(id, words.English))
	}
	text, err := json.Marshal(all)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// anHour is a class with an arm in front.
func anHour(t interface{ Fatal(...any) }) (*Class, *kept) {
	there := offer()
	restore := func(state []byte) (*bench.Bench, error) {
		return bench.Restore(there, bench.Env{Random: rand.Uint64}, state, nil)
	}
	b := bench.New(there, bench.Env{Random: rand.Uint64})
	scene := bench.SceneRequest{Arm: "wren", Cell: "glazing-bench", JointsDeg: &[6]float64{0, 20, -20, 0, 90, 0}}
	if err := b.Handle(&scene, noon); err != nil {
		t.Fatal(err)
	}
	state, _, err := b.Snapshot()
	if err != nil {
		t.Fatal(err)
	}
	c, k := New("ACDEFG", restore, there.Lesson), &kept{facts: map[string][]byte{}}
	w, err := Open(&OpenRequest{Title: "Monday", AskFor: []string{"number"}}, "ACDEFG", noon)
	if err != nil {
		t.Fatal(err)
	}
	k.put(t, c, []Write{w, {Key: StandKey(c.Code, InstructorsArm), Value: Stand{Scene: b.Scene(), Bench: state}}})
	return c, k
}

// Whatever is asked in whatever order: nothing panics, what is refused changes nothing, and another process that learns the facts in
// another order shows the same.
func TestEveryProcessSeesTheSameHour(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c, k := anHour(t)
		learners := []string{LearnerOf("a"), LearnerOf("b"), LearnerOf("c")}
		here := map[string]bool{InstructorsArm: true}
		for _, id := range learners {
			here[id] = rapid.Bool().Draw(t, "here")
		}
		c.Here(here)
		someone := rapid.SampledFrom(append(learners, "nobody", ""))
		text := rapid.SampledFrom([]string{"", "Ana", "  Ben  de la\tO ", "\u202etxt", "=1+1", "#/lessons/first-straight-line", "ααα"})
		n := rapid.IntRange(-1, 4)
		for range rapid.IntRange(1, 25).Draw(t, "requests") {
			who := Who{Role: Learner, Learner: rapid.SampledFrom(learners).Draw(t, "who")}
			if rapid.Bool().Draw(t, "instructor") {
				who = Who{Role: Instructor}
			}
			on := rapid.Bool().Draw(t, "on")
			x := rapid.Float64Range(-200, 200).Draw(t, "x")
			requests := []any{
				&JoinRequest{text.Draw(t, "name"), text.Draw(t, "number"), text.Draw(t, "email")}, &HandRequest{on},
				&ReplyRequest{Question: n.Draw(t, "question"), Round: n.Draw(t, "round"), Arrow: &[3]float64{x, 1, 0}, Stays: on, Joints: []int{n.Draw(t, "joint")}, Stop: "contact", Number: &x, Options: []int{n.Draw(t, "option")}},
				&LeaveRequest{}, &RulesRequest{Locked: &on, NamesHidden: &on}, &RemoveRequest{someone.Draw(t, "whom")}, &EyesRequest{on},
				&SendRequest{text.Draw(t, "to"), someone.Draw(t, "whom")}, &CountdownRequest{n.Draw(t, "seconds")}, &HandOverRequest{someone.Draw(t, "whom")},
				&AskAgainRequest{}, &HintRequest{someone.Draw(t, "whom"), text.Draw(t, "hint")},
				&RevealRequest{rapid.SampledFrom([]QuestionState{QuestionOpen, QuestionShown, QuestionTold, QuestionEnded, "other"}).Draw(t, "state")},
				&AskRequest{Kind: rapid.SampledFrom([]Kind{AskWay, AskJoints, AskNumber, AskChoice, "other"}).Draw(t, "kind"), Jog: rapid.SampledFrom([]string{"base y +20", "joint J1 +20", "tool z -10", "up"}).Draw(t, "jog"),
					Measure: Measure{Of: rapid.SampledFrom([]string{"x", "about-z", "joint", "w"}).Draw(t, "of"), Frame: "base"}, Text: text.Draw(t, "text"), Options: []string{"a", "b"}, Right: []int{n.Draw(t, "right")}},
				&CloseRequest{}, &FollowRequest{}, &OpenRequest{},
			}
			request := rapid.SampledFrom(requests).Draw(t, "request")
			before := seenBy(t, c)
			all, err := c.Handle(who, request, noon)
			if err != nil {
				if after := seenBy(t, c); after != before {
					t.Fatalf("%T was refused (%v) and changed something", request, err)
				}
				continue
			}
			k.put(t, c, all)
		}
		other := New(c.Code, c.restore, c.lessons.find)
		other.Here(here)
		keys := []string{}
		for key := range k.facts {
			keys = append(keys, key)
		}
		slices.Sort(keys)
		for _, key := range rapid.Permutation(keys).Draw(t, "order") {
			if err := other.Take(key, k.facts[key], 1, false); err != nil {
				t.Fatal(err)
			}
			if rapid.IntRange(0, 3).Draw(t, "looked at") == 0 {
				seenBy(t, other) // What is computed too early does not stay.
			}
		}
		if a, b := seenBy(t, c), seenBy(t, other); a != b {
			t.Fatalf("one process shows\n%s\nand another\n%s", a, b)
		}
		for _, w := range c.Everything() {
			delete(k.facts, w.Key)
		}
		if len(k.facts) > 0 {
			t.Fatalf("of a class that is deleted there stay %v", k.facts)
		}
	})
}

func TestCodes(t *testing.T) {
	for range 1000 {
		code := NewCode(rand.Uint64)
		if ReadCode(code) != code || ReadCode(" "+code[:3]+"-"+fmt.Sprint(code[3:])+" ") != code {
			t.Fatalf("%s is not read", code)
		}
	}
	for _, typed := range []string{"", "ABCDEF", "ACDEF", "ACDEFGH", "ACDEF1", "../../", "ACDEFÉ"} {
		if code := ReadCode(typed); code != "" {
			t.Errorf("%q is read as %s", typed, code)
		}
	}
}

// What is kept of somebody is what they typed, in one line, with nothing hidden in it.
func TestNamesAreTexts(t *testing.T) {
	c, k := anHour(t)
	who := Who{Role: Learner, Learner: LearnerOf("a")}
	all, err := c.Handle(who, &JoinRequest{Name: "\u202eAna\n<b>", Number: "7", Email: "a@b.example"}, noon)
	if err != nil {
		t.Fatal(err)
	}
	k.put(t, c, all)
	if p := c.people[who.Learner]; p.Name != `\u202eAna <b>` || p.Number != "7" || p.Email != "" {
		t.Errorf("kept is %+v; an e-mail was not asked for", p)
	}
}

// Who changes the name keeps the number that was given at joining, and can change that, too.
func TestANewNameKeepsTheNumber(t *testing.T) {
	c, k := anHour(t)
	c.head.AskFor = []string{"e-mail", "number"}
	who := Who{Role: Learner, Learner: LearnerOf("a")}
	for _, step := range []struct{ says, kept JoinRequest }{
		{JoinRequest{"Ana", "7", "a@b.example"}, JoinRequest{"Ana", "7", "a@b.example"}},
		{JoinRequest{"Anna", "", " "}, JoinRequest{"Anna", "7", "a@b.example"}},
		{JoinRequest{"Anna", "8", ""}, JoinRequest{"Anna", "8", "a@b.example"}},
	} {
		all, err := c.Handle(who, &step.says, noon)
		if err != nil {
			t.Fatal(err)
		}
		k.put(t, c, all)
		if p := c.people[who.Learner]; (JoinRequest{p.Name, p.Number, p.Email}) != step.kept {
			t.Errorf("after %+v there is kept %+v", step.says, p)
		}
	}
	if _, err := c.Handle(who, &JoinRequest{Number: "9"}, noon); err == nil {
		t.Error("a name is taken away")
	}
}

// A class that somebody filled with made-up names has room again for as many as the instructor removes.
func TestWhoWasRemovedTakesNoPlace(t *testing.T) {
	c, k := anHour(t)
	joins := func(n int) error {
		all, err := c.Handle(Who{Role: Learner, Learner: LearnerOf(fmt.Sprint(n))}, &JoinRequest{Name: "x"}, noon)
		k.put(t, c, all)
		return err
	}
	for n := range mostLearners {
		if err := joins(n); err != nil {
			t.Fatal(err)
		}
	}
	if err := joins(mostLearners); err == nil {
		t.Error("a full class takes one more")
	}
	all, err := c.Handle(Who{Role: Instructor}, &RemoveRequest{LearnerOf("0")}, noon)
	if err != nil {
		t.Fatal(err)
	}
	k.put(t, c, all)
	if err := joins(mostLearners); err != nil {
		t.Errorf("one was removed, and another cannot come: %v", err)
	}
	if err := joins(mostLearners + 1); err == nil {
		t.Error("in the place of one there come two")
	}
}

// Whatever is kept of a class is exported, and given up with it: a fact of each kind that there is, and of no other.
func TestAnExportHasEveryKindOfFact(t *testing.T) {
	id := LearnerOf("a")
	samples := map[string]struct {
		key   []string
		value any
		shown string // of it in the export
	}{
		headWord:     {nil, Head{Title: "of-the-head"}, "of-the-head"},
		learnerWord:  {[]string{id}, Person{Name: "of-the-person"}, "of-the-person"},
		handWord:     {[]string{id}, Hand{Since: noon.AddDate(1, 0, 0)}, "2027-01-01"},
		toWord:       {[]string{id}, ToOne{Hint: "of-the-hint"}, "of-the-hint"},
		standingWord: {[]string{id}, Standing{Standing: bench.Standing{Lesson: "of-the-standing"}}, "of-the-standing"},
		questionWord: {[]string{"1"}, Asked{Ask: AskRequest{Text: "of-the-question"}, Round: 1}, "of-the-question"},
		answerWord:   {[]string{"1", "1", id}, Answer{Reply: ReplyRequest{Stop: "of-the-answer"}}, "of-the-answer"},
		resultWord:   {[]string{id, "x"}, Result{Text: "of-the-result"}, "of-the-result"},
		standWord:    {[]string{id}, Stand{Lesson: "of-the-arm"}, "of-the-arm"},
	}
	c, k := New("ACDEFG", nil, offer().Lesson), &kept{facts: map[string][]byte{}}
	for _, word := range factWords {
		sample, is := samples[word]
		if !is {
			t.Fatalf("facts under %q are tried by nothing", word)
		}
		k.put(t, c, []Write{{Key: join(append([]string{c.Code, word}, sample.key...)...), Value: sample.value}})
	}
	text := string(c.Export())
	for word, sample := range samples {
		if !strings.Contains(text, sample.shown) {
			t.Errorf("what is kept under %q is not exported:\n%s", word, text)
		}
	}
	if !strings.Contains(text, `"version": 1,`) {
		t.Error("the export does not say of which form it is")
	}
	k.put(t, c, c.Everything())
	if len(k.facts) > 0 {
		t.Errorf("of a class that is deleted there stay %v", k.facts)
	}
}

// resultOf is a result of a lesson that names nobody.
func resultOf(id string) *results.Result {
	return &results.Result{Progress: lesson.Progress{Lesson: id}}
}

// FuzzRequests lets anybody send anything.
func FuzzRequests(f *testing.F) {
	for word := range Requests {
		f.Add(`{"type":"` + word + `"}`)
	}
	f.Add(`{"type":"join","name":"Ana","number":"","email":""}`)
	f.Add(`{"type":"ask","kind":"number","jog":"","measure":{"of":"x","frame":"task","task":"tray","joint":0},"text":"","options":null,"right":null}`)
	f.Add(`{"type":"reply","question":1,"round":1,"arrow":[1e300,1e300,0],"stays":false,"joints":[9],"stop":"","number":1e999,"options":[]}`)
	f.Fuzz(func(t *testing.T, text string) {
		request, err := Decode([]byte(text))
		if err != nil {
			return
		}
		c, k := anHour(t)
		for _, who := range []Who{{Role: Instructor}, {Role: Learner, Learner: LearnerOf("a")}} {
			if all, err := c.Handle(who, request, noon); err == nil {
				k.put(t, c, all)
			}
			seenBy(t, c)
		}
	})
}

// A page learns that its result has arrived by when one did last, so that it does of a lesson that is done again, too.
func TestALessonIsHandedInAgain(t *testing.T) {
	c, k := anHour(t)
	ana := Who{Role: Learner, Learner: LearnerOf("a")}
	joined, err := c.Handle(ana, &JoinRequest{Name: "Ana"}, noon)
	if err != nil {
		t.Fatal(err)
	}
	k.put(t, c, joined)
	if got := c.Mine(ana.Learner).Arrived; got != 0 {
		t.Errorf("a result arrived at %d before any was handed in", got)
	}
	for i, text := range []string{"first", "second"} {
		now := noon.Add(time.Duration(i) * time.Second)
		all, err := c.Finished(ana, resultOf("first-straight-line"), text, now)
		if err != nil {
			t.Fatal(err)
		}
		k.put(t, c, all)
		if got := c.Mine(ana.Learner).Arrived; got != now.UnixMilli() {
			t.Errorf("the %s result is told as arrived at %d, not %d", text, got, now.UnixMilli())
		}
		if got := c.Results(); !slices.Equal(got, []string{text}) {
			t.Errorf("the class has the results %q after the %s", got, text)
		}
	}
}

// FuzzFacts has facts kept that nobody here has written: another version did, or a disk has spoilt them. What cannot be read changes nothing;
// whatever is read, the class goes on.
func FuzzFacts(f *testing.F) {
	id := LearnerOf("a")
	for word, text := range map[string]string{
		"head": `{"v":1,"title":"x","question":3,"driver":"nobody"}`, "learner." + id: `{"name":"Ana","removed":true}`, "hand." + id: `{}`, "to." + id: `{"hint":"x"}`,
		"standing." + id: `{"lesson":"the-right-hand","at":99,"stages":[{"k":true,"n":3,"w":{}}]}`, "question.1": `{"ask":{"kind":"choice","text":"?","options":["a","b"],"right":[7]},"round":1,"state":"told"}`,
		"question.-1": `null`, "answer.1.1." + id: `{"reply":{"question":1,"round":1,"options":[99],"joints":[-1]}}`, "answer.1.1.b": `{"reply":{"number":1e300}}`, "answer.2.0.x": `{}`,
		"result." + id + ".x": `{"text":"{}","lesson":"x"}`, "stand.instructor": `{"bench":"AAAA"}`, "": ``, "question.1.1": `{}`,
	} {
		f.Add(word, text)
	}
	f.Add("question.1", `{"ask":{"kind":"way","jog":"base y +20"},"round":1000000000,"state":"told"}`)
	f.Fuzz(func(t *testing.T, word, text string) {
		c, k := anHour(t)
		teacher, ana := Who{Role: Instructor}, Who{Learner, LearnerOf("a")}
		does := func(who Who, request any) {
			if all, err := c.Handle(who, request, noon); err == nil {
				k.put(t, c, all)
			}
		}
		does(ana, &JoinRequest{Name: "Ana"})
		does(teacher, &AskRequest{Kind: AskWay, Jog: "joint J1 +20"})
		does(ana, &ReplyRequest{Question: 1, Round: 1, Arrow: &[3]float64{0, 1, 0}})
		looks := func() string {
			c.Report(true, words.English, noon)
			c.Export()
			return seenBy(t, c)
		}
		before := looks()
		// The fact comes with the arm that the question is about, so that it is not the arm alone that cannot be read.
		var q Asked
		if strings.HasPrefix(word, "question.") && json.Unmarshal([]byte(text), &q) == nil && q.Bench == nil {
			q.Bench = c.stands[InstructorsArm].Bench
			whole, err := json.Marshal(q)
			if err != nil {
				t.Fatal(err)
			}
			text = string(whole)
		}
		if err := c.Take(c.Code+"."+word, []byte(text), 9, false); err != nil {
			if after := looks(); after != before {
				t.Fatalf("a fact that cannot be read (%v) changes\n%s\nto\n%s", err, before, after)
			}
		}
		looks()
		does(ana, &ReplyRequest{Question: 1, Round: 1, Number: new(float64)})
		does(teacher, &AskAgainRequest{})
		does(teacher, &AskRequest{Kind: AskNumber, Measure: Measure{Of: "x", Frame: "base"}})
		looks()
		for _, w := range c.Everything() {
			c.Take(w.Key, nil, 10, true)
		}
		looks()
	})
}

// FuzzCodes reads whatever is typed as a code, or as none.
func FuzzCodes(f *testing.F) {
	f.Add(" acd-efg ")
	f.Add("../../x")
	f.Fuzz(func(t *testing.T, typed string) {
		code := ReadCode(typed)
		if key, head := CodeOf(HeadKey(code)); code != "" && (len(code) != codeLength || ReadCode(code) != code || key != code || !head) {
			t.Errorf("%q is read as %q", typed, code)
		}
	})
}
