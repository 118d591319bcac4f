package class

import (
	"bytes"
	"cmp"
	"encoding/json"
	"maps"
	"reflect"
	"slices"
	"time"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/scenarios/ask"
	"handrule/server/bench"
	"handrule/words"
)

// This file is a question to the class: asked about the demonstrated arm as it stands, answered, and shown as far as it may be.

// known is what is computed of a question.
type known struct {
	asked *ask.Asked
	err   error                            // why it cannot be asked
	views map[*words.Language]QuestionView // what is the same for all who read a language
}

// Thinking is a question that is computed apart from its class, so that nobody waits for it who wants to know something else. The one that
// a class has learned last need not be computed again.
type Thinking struct {
	of      Asked
	restore func(state []byte) (*bench.Bench, error)
	known   *known
}

// Asks returns what is to be computed before a request is handled; nil where nothing is.
func (c *Class) Asks(request any) *Thinking {
	r, is := request.(*AskRequest)
	stand := c.stands[c.Driver()]
	if !is || stand == nil {
		return nil
	}
	return c.thinking(&Asked{Ask: *r, Bench: stand.Bench})
}

// Brings returns what is to be computed before a fact is taken; nil where nothing is.
func (c *Class) Brings(key string, value []byte) *Thinking {
	n, is := c.questionOf(key)
	var q Asked
	if !is || json.Unmarshal(value, &q) != nil || c.known[n] != nil && c.questions[n].same(&q) {
		return nil
	}
	return c.thinking(&q)
}

func (c *Class) thinking(q *Asked) *Thinking {
	if c.learned != nil && c.learned.of.same(q) {
		return nil
	}
	return &Thinking{of: *q, restore: c.restore}
}

// Work computes the question.
func (t *Thinking) Work() { t.known = compute(&t.of, t.restore) }

// Learn learns what was computed.
func (c *Class) Learn(t *Thinking) { c.learned = t }

// same reports whether two are the same question about the same arm, whatever its round and state.
func (q *Asked) same(other *Asked) bool {
	return q != nil && other != nil && bytes.Equal(q.Bench, other.Bench) && reflect.DeepEqual(q.Ask, other.Ask)
}

// roundKnown is what is computed of a round, by language.
type roundKnown map[*words.Language]RoundView

func (c *Class) ask(head Head, r *AskRequest, now time.Time) ([]Write, error) {
	stand := c.stands[c.Driver()]
	if stand == nil {
		return nil, words.NewProblem("class.problem.no-front")
	}
	q := Asked{Ask: *r, Bench: stand.Bench, Round: 1, State: QuestionOpen, At: now.UTC()}
	if k := c.compute(&q); k.err != nil {
		return nil, k.err
	}
	all := c.reveal(QuestionEnded)
	head.Question++
	return append(append(all, Write{Key: questionKey(c.Code, head.Question), Value: q}), c.decide(head)...), nil
}

// compute computes what is right, and what else may be answered and why.
func (c *Class) compute(q *Asked) *known {
	if c.learned != nil && c.learned.of.same(q) {
		return c.learned.known.anew()
	}
	return compute(q, c.restore)
}

// anew is the same for a question of another number.
func (k *known) anew() *known {
	return &known{k.asked, k.err, map[*words.Language]QuestionView{}}
}

func compute(q *Asked, restore func(state []byte) (*bench.Bench, error)) *known {
	k := &known{views: map[*words.Language]QuestionView{}}
	b, err := restore(q.Bench)
	if err != nil {
		k.err = err
		return k
	}
	r := &q.Ask
	question := ask.Question{
		Kind: r.Kind, Jog: r.Jog, Unit: b.Chosen().Unit, Text: r.Text, Options: r.Options, Right: r.Right,
		Measure: r.Measure,
	}
	if k.asked, k.err = question.Of(b.Still()); k.err == nil {
		k.asked.Finish()
		k.err = k.asked.Clear()
	}
	return k
}

// known returns what is computed of a question; nil where there is none, or none that can be asked here.
func (c *Class) know(n int) *known {
	k := c.known[n]
	if k == nil {
		q := c.questions[n]
		if q == nil {
			return nil
		}
		k = c.compute(q)
		c.known[n] = k
	}
	if k.err != nil {
		return nil
	}
	return k
}

func (r *ReplyRequest) answer() ask.Answer {
	a := ask.Answer{Stays: r.Stays, Joints: r.Joints, Stop: r.Stop, Number: r.Number, Options: r.Options}
	if r.Arrow != nil {
		a.Arrow = &r3.Vec{X: r.Arrow[0], Y: r.Arrow[1], Z: r.Arrow[2]}
	}
	return a
}

// take reads an answer to the question; of its parts only the one that counts stays.
func (c *Class) take(r *ReplyRequest) (*ReplyRequest, error) {
	k := c.know(r.Question)
	if k == nil {
		return nil, errNotOpen
	}
	a, err := k.asked.Take(r.answer())
	if err != nil {
		return nil, err
	}
	return &ReplyRequest{Question: r.Question, Round: r.Round, Arrow: arrow(a.Arrow), Stays: a.Stays, Joints: a.Joints, Stop: a.Stop, Number: a.Number, Options: a.Options}, nil
}

func arrow(v *r3.Vec) *[3]float64 {
	if v == nil {
		return nil
	}
	return &[3]float64{v.X, v.Y, v.Z}
}

func given(a ask.Answer) *GivenView {
	return &GivenView{Arrow: arrow(a.Arrow), Stays: a.Stays, Joints: append([]int{}, a.Joints...), Stop: a.Stop, Number: a.Number, Options: append([]int{}, a.Options...)}
}

// Question is the question of the class as a learner sees it; "" for somebody who answers none.
func (c *Class) Question(learner string, in *words.Language) QuestionView {
	none := QuestionView{Options: []string{}, Words: []string{}, State: QuestionEnded}
	if c.head == nil || c.head.Question == 0 {
		return none
	}
	n := c.head.Question
	q, k := c.questions[n], c.know(n)
	if q == nil || k == nil {
		return none
	}
	v, made := k.views[in]
	if !made {
		v = c.questionView(n, q, k.asked, in)
		k.views[in] = v
	}
	v.Round, v.State = q.Round, q.State
	v.Given = len(c.answers[roundOf{n, q.Round}])
	v.Here = c.learnersHere()
	if a, is := c.answer(roundOf{n, q.Round}, learner, k.asked); is {
		v.Mine = given(a)
		v.Mine.Pending = c.pending[answerKey(c.Code, roundOf{n, q.Round}, learner)]
		if q.State == QuestionTold && k.asked.Graded() {
			right := k.asked.Right(a)
			v.Mine.Right = &right
		}
	}
	return v
}

func (c *Class) questionView(n int, q *Asked, a *ask.Asked, in *words.Language) QuestionView {
	answers, read := a.Offered(in)
	at := bench.PlaceOf(a.At())
	v := QuestionView{
		Count: n, Kind: q.Ask.Kind, Jog: q.Ask.Jog, Text: a.Words(in), At: at, Options: append([]string{}, read...), Words: append([]string{}, answers...),
		Several: a.Several(), Unit: a.AnswerUnit(), Asks: bench.AsksWay,
	}
	if j, is := a.TheJog(); is {
		way := j.Direction
		v.Way = &way
	}
	if a.Axis() {
		v.Asks = bench.AsksAxis
	}
	return v
}

// Answers is what the class answered; false where that may not be seen now.
func (c *Class) Answers(role Role, in *words.Language) (AnswersView, bool) {
	if c.head == nil || c.head.Question == 0 {
		return AnswersView{}, false
	}
	n := c.head.Question
	q, k := c.questions[n], c.know(n)
	if q == nil || k == nil || role != Instructor && q.State != QuestionShown && q.State != QuestionTold {
		return AnswersView{Count: n, Rounds: []RoundView{}}, true
	}
	told := q.State == QuestionTold || role == Instructor
	v := AnswersView{Count: n, Rounds: c.rounds(n, q, k, told, in)}
	if told && k.asked.Graded() {
		v.Truth, v.Right, v.Why = given(k.asked.Truth()), k.asked.RightWords(in), k.asked.Why(in)
	}
	return v, true
}

// rounds are the rounds of a question. What the groups reveal is said only when it is told.
func (c *Class) rounds(n int, q *Asked, k *known, told bool, in *words.Language) []RoundView {
	all := []RoundView{}
	alike := map[string]int{} // by what they reveal
	for round := 1; round <= q.Round; round++ {
		v := c.round(roundOf{n, round}, k, in)
		v.Groups = slices.Clone(v.Groups)
		if !told {
			// Of groups that are as large the right one would be first, which would tell it.
			slices.SortStableFunc(v.Groups, func(g, h GroupView) int {
				return cmp.Or(cmp.Compare(h.Count, g.Count), cmp.Compare(g.Given, h.Given))
			})
		}
		for i := range v.Groups {
			g := &v.Groups[i]
			number, before := alike[g.Name]
			if !before {
				number = len(alike)
				alike[g.Name] = number
			}
			g.Alike = number
			if !told {
				g.Name, g.Says, g.Right = "", "", nil
			}
		}
		all = append(all, v)
	}
	return all
}

func (c *Class) round(at roundOf, k *known, in *words.Language) RoundView {
	made := c.grouped[at]
	if made == nil {
		made = roundKnown{}
		c.grouped[at] = made
	}
	v, is := made[in]
	if is {
		return v
	}
	v = RoundView{Arrows: [][3]float64{}, Groups: []GroupView{}}
	_, answers := c.answersIn(at, k.asked)
	for _, answer := range answers {
		if answer.Arrow != nil {
			v.Arrows = append(v.Arrows, *arrow(answer.Arrow))
		}
	}
	v.Given = len(answers)
	for _, g := range k.asked.Groups(answers, in) {
		view := GroupView{Given: g.Given, Name: g.Name, Says: g.Says, Count: len(g.Members), Arrow: arrow(g.Arrow)}
		if k.asked.Graded() {
			right := g.Right
			view.Right = &right
		}
		v.Groups = append(v.Groups, view)
	}
	made[in] = v
	return v
}

// answer is a learner's answer in a round; false where there is none, or one to another question that was in this one's place.
func (c *Class) answer(at roundOf, learner string, asked *ask.Asked) (ask.Answer, bool) {
	a := c.answers[at][learner]
	if a == nil {
		return ask.Answer{}, false
	}
	taken, err := asked.Take(a.Reply.answer())
	return taken, err == nil
}

// answersIn are the answers of a round, with who gave them.
func (c *Class) answersIn(at roundOf, asked *ask.Asked) (ids []string, answers []ask.Answer) {
	for _, id := range slices.Sorted(maps.Keys(c.answers[at])) {
		if a, is := c.answer(at, id, asked); is {
			ids, answers = append(ids, id), append(answers, a)
		}
	}
	return ids, answers
}

// Asked lists the questions of the class with what was answered.
func (c *Class) Asked(in *words.Language) []AskedView {
	all := []AskedView{}
	for _, n := range slices.Sorted(maps.Keys(c.questions)) {
		q, k := c.questions[n], c.know(n)
		if k == nil {
			continue
		}
		all = append(all, AskedView{Text: k.asked.Words(in), Right: k.asked.RightWords(in), Rounds: c.rounds(n, q, k, true, in)})
	}
	return all
}

// rightAtLast counts the questions that a learner has answered rightly in their last round.
func (c *Class) rightAtLast(learner string) (right int) {
	for n := range c.questions {
		k := c.know(n)
		if k == nil || !k.asked.Graded() {
			continue
		}
		for round := c.questions[n].Round; round > 0; round-- {
			if a, is := c.answer(roundOf{n, round}, learner, k.asked); is {
				if k.asked.Right(a) {
					right++
				}
				break
			}
		}
	}
	return right
}
