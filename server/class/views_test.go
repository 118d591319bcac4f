package class

import (
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"handrule/words"
)

// facts are what is kept of an hour, read again without the class.
type facts struct {
	head      Head
	people    map[string]Person
	hands     map[string]bool
	to        map[string]ToOne
	questions map[int]Asked
	answers   map[string]Answer // by question, round and learner, as in the key
	results   map[string]int    // by learner
}

func read[T any](t *rapid.T, text []byte) (fact T) {
	if err := json.Unmarshal(text, &fact); err != nil {
		t.Fatal(err)
	}
	return fact
}

func (k *kept) read(t *rapid.T) facts {
	f := facts{people: map[string]Person{}, hands: map[string]bool{}, to: map[string]ToOne{}, questions: map[int]Asked{}, answers: map[string]Answer{}, results: map[string]int{}}
	for key, text := range k.facts {
		word := strings.Split(key, ".")
		switch word[1] {
		case "head":
			f.head = read[Head](t, text)
		case "learner":
			f.people[word[2]] = read[Person](t, text)
		case "hand":
			f.hands[word[2]] = true
		case "to":
			f.to[word[2]] = read[ToOne](t, text)
		case "question":
			var n int
			fmt.Sscan(word[2], &n)
			f.questions[n] = read[Asked](t, text)
		case "answer":
			f.answers[strings.Join(word[2:], ".")] = read[Answer](t, text)
		case "result":
			f.results[word[2]]++
		}
	}
	return f
}

// of returns the answer of a learner in a round; nil where they gave none.
func (f *facts) of(question, round int, learner string) *ReplyRequest {
	if a, is := f.answers[fmt.Sprintf("%d.%d.%s", question, round, learner)]; is {
		return &a.Reply
	}
	return nil
}

func (f *facts) in(question, round int) (count, arrows int) {
	for key, a := range f.answers {
		if strings.HasPrefix(key, fmt.Sprintf("%d.%d.", question, round)) {
			count++
			if a.Reply.Arrow != nil {
				arrows++
			}
		}
	}
	return count, arrows
}

// What everybody sees is what the facts say, counted here once more and in another way: whoever joins, answers, changes their mind, leaves or
// is removed, however often the class is asked again, and whatever was looked at in between.
func TestViewsSayWhatTheFactsSay(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c, k := anHour(t)
		ids := []string{LearnerOf("a"), LearnerOf("b"), LearnerOf("c"), LearnerOf("d")}
		teacher := Who{Role: Instructor}
		here := map[string]bool{}
		for _, id := range ids {
			here[id] = rapid.Bool().Draw(t, "here")
		}
		c.Here(here)
		does := func(who Who, request any) {
			if all, err := c.Handle(who, request, noon); err == nil {
				k.put(t, c, all)
			}
		}
		for i, id := range ids[:3] {
			does(Who{Learner, id}, &JoinRequest{Name: fmt.Sprint("Learner ", i)})
		}
		asks := []*AskRequest{
			{Kind: AskWay, Jog: "joint J1 +20", Options: []string{}, Right: []int{}}, {Kind: AskChoice, Text: "Which?", Options: []string{"a", "b"}, Right: []int{1}},
			{Kind: AskNumber, Measure: Measure{Of: "x", Frame: "base"}, Options: []string{}, Right: []int{}},
		}
		states := []QuestionState{QuestionOpen, QuestionShown, QuestionTold, QuestionEnded}
		results := 0
		for range rapid.IntRange(1, 30).Draw(t, "requests") {
			who := Who{Learner, rapid.SampledFrom(ids).Draw(t, "who")}
			switch rapid.SampledFrom([]string{"reply", "reply", "reply", "reply", "again", "again", "ask", "reveal", "hand", "join", "leave", "remove", "rules", "hint", "result", "over", "here"}).Draw(t, "what") {
			case "reply":
				q := c.head.Question
				reply := &ReplyRequest{Question: q, Options: []int{rapid.IntRange(0, 1).Draw(t, "option")}}
				if q > 0 {
					reply.Round = c.questions[q].Round
				}
				x := rapid.Float64Range(-300, 300).Draw(t, "x")
				reply.Arrow, reply.Number = &[3]float64{x, 100, 1}, &x
				does(who, reply)
			case "again":
				does(teacher, &AskAgainRequest{})
			case "ask":
				does(teacher, rapid.SampledFrom(asks).Draw(t, "question"))
			case "reveal":
				does(teacher, &RevealRequest{rapid.SampledFrom(states).Draw(t, "state")})
			case "hand":
				does(who, &HandRequest{rapid.Bool().Draw(t, "up")})
			case "join":
				does(who, &JoinRequest{Name: "Again"})
			case "leave":
				does(who, &LeaveRequest{})
			case "remove":
				does(teacher, &RemoveRequest{who.Learner})
			case "rules":
				hidden := rapid.Bool().Draw(t, "hidden")
				does(teacher, &RulesRequest{NamesHidden: &hidden})
			case "hint":
				does(teacher, &HintRequest{who.Learner, "bend J5"})
			case "result":
				results++
				if all, err := c.Finished(who, resultOf(fmt.Sprint("lesson-", results%3)), fmt.Sprint(results), noon); err == nil {
					k.put(t, c, all)
				}
			case "over":
				does(teacher, &HandOverRequest{who.Learner})
			case "here":
				here = maps.Clone(here)
				here[who.Learner] = !here[who.Learner]
				c.Here(here)
			}
			holds(t, c, k.read(t), here, ids)
		}
	})
}

// holds holds the views against the facts.
func holds(t *rapid.T, c *Class, f facts, here map[string]bool, ids []string) {
	in := words.English
	want := func(what string, got, want any) {
		t.Helper()
		if g, w := fmt.Sprint(got), fmt.Sprint(want); g != w {
			t.Fatalf("%s: %s, want %s", what, g, w)
		}
	}
	learners, present, hands, arrived := 0, 0, 0, 0
	var names []string
	for id, p := range f.people {
		arrived += f.results[id]
		if p.Removed {
			continue
		}
		learners++
		if here[id] {
			present++
		}
		if f.hands[id] {
			hands++
		}
		names = append(names, p.Name)
	}
	v := c.View(noon)
	want("learners", v.Learners, learners)
	want("here", v.Here, present)
	want("hands", v.Hands, hands)
	driver := ""
	if !f.head.NamesHidden {
		driver = f.people[f.head.Driver].Name
	}
	want("driver", v.Driver, driver)
	want("listed", fmt.Sprint(c.Listing().Learners, " ", c.Listing().Results), fmt.Sprint(learners, " ", arrived))
	want("results", len(c.Results()), sum(f.results))

	// Of who left, or was removed, nothing is kept but results.
	gone := func(id string) bool { p, is := f.people[id]; return !is || p.Removed }
	for key := range f.answers {
		want("that whose answer is kept has gone", gone(key[strings.LastIndex(key, ".")+1:]), false)
	}
	for id := range f.hands {
		want("that whose hand is up has gone", gone(id), false)
	}
	for id := range f.to {
		want("that who was sent something has gone", gone(id), false)
	}

	// The board: a row for each, with what they answered rightly at last.
	board := c.Board(in, noon)
	want("rows", len(board.Rows), learners)
	seen := []string{}
	for _, row := range board.Rows {
		right := 0
		for n, q := range f.questions {
			for round := q.Round; round > 0; round-- {
				if reply := f.of(n, round, row.Learner); reply != nil {
					if k := c.know(n); k.asked.Graded() && k.asked.Right(reply.answer()) {
						right++
					}
					break
				}
			}
		}
		want("answered rightly by "+row.Learner, row.Right, right)
		want("hand of "+row.Learner, row.Hand, f.hands[row.Learner])
		want("here is "+row.Learner, row.Here, here[row.Learner])
		want("results of "+row.Learner, row.Results, f.results[row.Learner])
		seen = append(seen, row.Name)
	}
	if f.head.NamesHidden {
		names = make([]string, learners)
	}
	slices.Sort(names)
	slices.Sort(seen)
	want("names", strings.Join(seen, ","), strings.Join(names, ","))

	n := f.head.Question
	q := f.questions[n]
	for _, id := range append(ids, "") {
		mine, to := c.Mine(id), f.to[id]
		person, joined := f.people[id]
		joined = joined && !person.Removed
		want("joined", mine.Joined, joined)
		if joined {
			want("what only one is told", fmt.Sprint(mine.Hint, mine.Hints, mine.Hand, mine.Drives), fmt.Sprint(to.Hint, to.Hints, f.hands[id], f.head.Driver == id))
			want("that results have arrived", mine.Arrived > 0, f.results[id] > 0)
		}
		v := c.Question(id, in)
		want("question", v.Count, n)
		if n == 0 {
			continue
		}
		given, _ := f.in(n, q.Round)
		want("its kind, round and state", fmt.Sprint(v.Kind, v.Round, v.State), fmt.Sprint(q.Ask.Kind, q.Round, q.State))
		want("how many have answered", v.Given, given)
		want("how many could", v.Here, present)
		reply := f.of(n, q.Round, id)
		if want("that there is an own answer", v.Mine != nil, reply != nil); reply == nil {
			continue
		}
		switch q.Ask.Kind {
		case AskWay:
			want("own arrow", fmt.Sprintf("%.9f", *v.Mine.Arrow), fmt.Sprintf("%.9f", *reply.Arrow))
		case AskNumber:
			want("own number", *v.Mine.Number, *reply.Number)
		case AskChoice:
			want("own choice", v.Mine.Options, reply.Options)
		}
		want("that one's own is told to be right", v.Mine.Right != nil, q.State == QuestionTold)
	}
	for _, role := range []Role{Instructor, Learner} {
		v, known := c.Answers(role, in)
		want("that there are answers", known, n > 0)
		may := n > 0 && (role == Instructor || q.State == QuestionShown || q.State == QuestionTold)
		told := may && (role == Instructor || q.State == QuestionTold)
		rounds := 0
		if may {
			rounds = q.Round
		}
		want("rounds for "+string(role), len(v.Rounds), rounds)
		want("that the truth is told to "+string(role), v.Truth != nil && v.Right != "", told)
		want("that some of it is told to "+string(role), v.Truth != nil || v.Right != "" || v.Why != "", told)
		for i, round := range v.Rounds {
			given, arrows := f.in(n, i+1)
			grouped := 0
			for _, g := range round.Groups {
				grouped += g.Count
				want("that a group is named to "+string(role), g.Name != "", told)
				want("that a group is right or wrong for "+string(role), g.Right != nil, told)
			}
			want(fmt.Sprint("answers of round ", i+1), fmt.Sprint(round.Given, len(round.Arrows), grouped), fmt.Sprint(given, arrows, given))
		}
	}
}

func sum(all map[string]int) (n int) {
	for _, x := range all {
		n += x
	}
	return n
}

// What is not kept yet is shown as that, and a result of that kind has not arrived.
func TestWhatIsPendingIsShownAsThat(t *testing.T) {
	c, k := anHour(t)
	ana := Who{Learner, LearnerOf("a")}
	for who, request := range map[Who]any{ana: &JoinRequest{Name: "Ana"}, {Role: Instructor}: &AskRequest{Kind: AskChoice, Text: "Which?", Options: []string{"a", "b"}, Right: []int{}}} {
		all, err := c.Handle(who, request, noon)
		if err != nil {
			t.Fatal(err)
		}
		k.put(t, c, all)
	}
	reply, err := c.Handle(ana, &ReplyRequest{Question: 1, Round: 1, Options: []int{1}}, noon)
	if err != nil {
		t.Fatal(err)
	}
	result, err := c.Finished(ana, resultOf("lesson"), "{}", noon)
	if err != nil {
		t.Fatal(err)
	}
	for _, pending := range []bool{true, false} {
		for _, w := range append(slices.Clone(reply), result...) {
			c.Pending(w.Key, pending)
			k.put(t, c, []Write{w})
		}
		if q, mine := c.Question(ana.Learner, words.English), c.Mine(ana.Learner); q.Mine == nil || q.Mine.Pending != pending || (mine.Arrived == 0) != pending {
			t.Errorf("pending %t: %+v, %+v", pending, q.Mine, mine)
		}
	}
}

// Two of the instructor's pages may ask at the same time, so that a question takes the place of another of the same number, about the same
// arm: nothing of the former stays.
func TestAQuestionInThePlaceOfAnother(t *testing.T) {
	c, k := anHour(t)
	for _, ask := range []AskRequest{{Kind: AskChoice, Text: "First?", Options: []string{"a", "b"}, Right: []int{0}}, {Kind: AskChoice, Text: "Second?", Options: []string{"c", "d"}, Right: []int{1}}} {
		k.put(t, c, []Write{
			{Key: questionKey(c.Code, 1), Value: Asked{Ask: ask, Bench: c.stands[InstructorsArm].Bench, Round: 1, State: QuestionTold, At: noon}},
			{Key: HeadKey(c.Code), Value: Head{Version: FactVersion, Opened: noon, Question: 1}},
			{Key: answerKey(c.Code, roundOf{1, 1}, LearnerOf("a")), Value: Answer{ReplyRequest{Question: 1, Round: 1, Options: []int{1}}, noon}},
		})
		v, _ := c.Answers(Instructor, words.English)
		right := v.Rounds[0].Groups[0].Right
		if q := c.Question("", words.English); !strings.Contains(q.Text, ask.Text) || q.Options[0] != ask.Options[0] || !strings.Contains(v.Right, ask.Options[ask.Right[0]]) || *right != (ask.Right[0] == 1) {
			t.Errorf("%q is shown as %+v, %+v", ask.Text, q, v)
		}
	}
}
