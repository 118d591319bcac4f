package class

import (
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"handrule/internal/visible"
	"handrule/scenarios/lesson"
	"handrule/scenarios/results"
	"handrule/server/bench"
	"handrule/words"
)

// Class is a class as far as its facts are known here. It is not safe for use by several goroutines at once.
type Class struct {
	Code string

	head         *Head
	headRevision uint64
	people       map[string]*Person
	hands        map[string]*Hand
	to           map[string]*ToOne
	standings    map[string]*Standing
	stands       map[string]*Stand // by whom: a learner, or InstructorsArm
	questions    map[int]*Asked
	answers      map[roundOf]map[string]*Answer
	results      map[string]map[string]*Result // by learner and lesson

	here    map[string]bool // who is connected, InstructorsArm among them
	present *int            // how many of the learners are; nil: that is to be counted
	pending map[string]bool // keys of what is not kept yet

	restore func(state []byte) (*bench.Bench, error)
	lessons *Shelf
	known   map[int]*known         // what is computed of questions
	learned *Thinking              // what was computed apart, last
	grouped map[roundOf]roundKnown // and of their rounds
}

// roundOf is a round of a question.
type roundOf struct{ question, round int }

// New returns a class of which nothing is known yet. Benches that its questions are about are made again by restore,
// and find finds the lessons that there are.
func New(code string, restore func(state []byte) (*bench.Bench, error), find func(id string) *lesson.Lesson) *Class {
	return &Class{
		Code: code, people: map[string]*Person{}, hands: map[string]*Hand{}, to: map[string]*ToOne{}, standings: map[string]*Standing{}, stands: map[string]*Stand{},
		questions: map[int]*Asked{}, answers: map[roundOf]map[string]*Answer{}, results: map[string]map[string]*Result{}, here: map[string]bool{}, pending: map[string]bool{},
		restore: restore, lessons: NewShelf(find), known: map[int]*known{}, grouped: map[roundOf]roundKnown{},
	}
}

// Who is who asks for something.
type Who struct {
	Role    Role
	Learner string
}

// Write is a fact to be kept. A nil Value is given up.
type Write struct {
	Key     string
	Value   any
	Decides bool   // it is the head: it is kept only in the place of the revision
	After   uint64 // the revision of what it was made from
}

// Bounds of what is typed in.
const (
	longestName    = 60 // characters
	longestTitle   = 80
	longestHint    = 280
	longestAddress = 4000
	longestResult  = 1 << 18 // bytes
	mostLearners   = 500
	mostResults    = 100 // of one learner
	mostRounds     = 20  // of one question
	longestCount   = 4 * 60 * 60
	openFor        = 24 * time.Hour // that newcomers may join
)

// Problems that people meet.
var (
	errNoClass  = words.NewProblem("class.problem.none")
	errEnded    = words.NewProblem("class.problem.ended")
	errLocked   = words.NewProblem("class.problem.locked")
	errFull     = words.NewProblem("class.problem.full")
	errRemoved  = words.NewProblem("class.problem.removed")
	errNoName   = words.NewProblem("class.problem.no-name")
	errNotOpen  = words.NewProblem("class.problem.not-open")
	errGone     = words.NewProblem("class.problem.no-learner")
	errNotYours = errors.New("only the instructor may do that")
	errJoin     = words.NewProblem("class.problem.join-first")
)

// Exists reports whether the class was opened and not deleted.
func (c *Class) Exists() bool { return c.head != nil }

// Met reports whether somebody has joined here, removed or not. Whoever has not may have guessed the code.
func (c *Class) Met(learner string) bool { return c.people[learner] != nil }

// MayEnter says why somebody may not connect; nil where they may.
func (c *Class) MayEnter(who Who, now time.Time) error {
	switch p := c.people[who.Learner]; {
	case c.head == nil:
		return errNoClass
	case who.Role == Instructor:
		return nil
	case p != nil && p.Removed:
		return errRemoved
	case p != nil:
		return nil
	case !c.head.Ended.IsZero():
		return errEnded
	case c.head.Locked || now.Sub(c.head.Opened) > openFor:
		return errLocked
	case len(c.people) >= mostLearners && c.joined() >= mostLearners:
		return errFull
	}
	return nil
}

// joined counts who has joined and was not removed: the instructor makes room in a class that somebody has filled with made-up names.
func (c *Class) joined() (count int) {
	for _, p := range c.people {
		if !p.Removed {
			count++
		}
	}
	return count
}

// Old reports whether the class ended, or was opened and never ended, more than so many days ago.
func (c *Class) Old(days int, now time.Time) bool {
	if c.head == nil {
		return false
	}
	from := c.head.Ended
	if from.IsZero() {
		from = c.head.Opened
	}
	return now.Sub(from) > time.Duration(days)*24*time.Hour
}

// IsOpen reports whether the class with that head, as it is kept, takes newcomers, locked or not.
func IsOpen(head []byte, now time.Time) bool {
	var h Head
	return json.Unmarshal(head, &h) == nil && h.Ended.IsZero() && now.Sub(h.Opened) <= openFor
}

// Open is the head of a new class.
func Open(r *OpenRequest, code string, now time.Time) (Write, error) {
	title, err := typed(r.Title, longestTitle)
	if err != nil {
		return Write{}, err
	}
	for _, word := range r.AskFor {
		if word != "number" && word != "e-mail" {
			return Write{}, fmt.Errorf("a class asks for \"number\" or \"e-mail\" beside the name, not for %q", word)
		}
	}
	ask := slices.Compact(slices.Sorted(slices.Values(r.AskFor)))
	return Write{Key: HeadKey(code), Value: Head{Version: FactVersion, Title: title, Opened: now.UTC(), AskFor: ask}, Decides: true}, nil
}

// typed is a text that somebody typed: in one line, with nothing hidden in it.
func typed(text string, most int) (string, error) {
	text = visible.Text(strings.Join(strings.Fields(text), " "))
	if utf8.RuneCountInString(text) > most {
		return "", words.NewProblem("class.problem.long", "most", strconv.Itoa(most))
	}
	return text, nil
}

// Handle returns the facts to be kept for what somebody asks. An error has none.
func (c *Class) Handle(who Who, request any, now time.Time) ([]Write, error) {
	if c.head == nil {
		return nil, errNoClass
	}
	if who.Role == Instructor {
		return c.instructs(request, now)
	}
	p := c.people[who.Learner]
	if p != nil && p.Removed {
		return nil, errRemoved
	}
	if r, is := request.(*JoinRequest); is {
		return c.join(who, r, now)
	}
	if p == nil {
		return nil, errJoin
	}
	switch r := request.(type) {
	case *LeaveRequest:
		return c.forget(who.Learner), nil
	case *FinishedRequest:
		return nil, fmt.Errorf("a result is taken by whoever can verify it") // see Result
	case *HandRequest:
		if !c.head.Ended.IsZero() {
			return nil, errEnded
		}
		w := Write{Key: join(c.Code, handWord, who.Learner)}
		if r.Up {
			w.Value = Hand{now.UTC()}
		}
		return []Write{w}, nil
	case *ReplyRequest:
		return c.reply(who, r, now)
	}
	return nil, errNotYours
}

func (c *Class) join(who Who, r *JoinRequest, now time.Time) ([]Write, error) {
	if err := c.MayEnter(who, now); err != nil {
		return nil, err
	}
	p := Person{Joined: now.UTC()}
	if was := c.people[who.Learner]; was != nil {
		p = *was
	}
	p.Name = "" // It is always said.
	for _, field := range []struct {
		from string
		to   *string
		ask  string
	}{{r.Name, &p.Name, ""}, {r.Number, &p.Number, "number"}, {r.Email, &p.Email, "e-mail"}} {
		if field.ask != "" && !slices.Contains(c.head.AskFor, field.ask) {
			continue
		}
		text, err := typed(field.from, longestName)
		if err != nil {
			return nil, err
		}
		if text != "" { // else what was said before stays
			*field.to = text
		}
	}
	if p.Name == "" {
		return nil, errNoName
	}
	return []Write{{Key: join(c.Code, learnerWord, who.Learner), Value: p}}, nil
}

// forget gives up all that is kept of a learner, but for results that were handed in.
func (c *Class) forget(learner string) (all []Write) {
	for _, word := range []string{learnerWord, handWord, toWord, standingWord, standWord} {
		all = append(all, Write{Key: join(c.Code, word, learner)})
	}
	for at, answers := range c.answers {
		if answers[learner] != nil {
			all = append(all, Write{Key: answerKey(c.Code, at, learner)})
		}
	}
	if c.head.Driver == learner {
		head := *c.head
		head.Driver = ""
		all = append(all, c.decide(head)...)
	}
	return all
}

func answerKey(code string, at roundOf, learner string) string {
	return join(code, answerWord, strconv.Itoa(at.question), strconv.Itoa(at.round), learner)
}

func resultKey(code, learner, lesson string) string { return join(code, resultWord, learner, lesson) }

func questionKey(code string, n int) string { return join(code, questionWord, strconv.Itoa(n)) }

func (c *Class) reply(who Who, r *ReplyRequest, now time.Time) ([]Write, error) {
	q := c.questions[c.head.Question]
	if q == nil || r.Question != c.head.Question || r.Round != q.Round || q.State != QuestionOpen || !c.head.Ended.IsZero() {
		return nil, errNotOpen
	}
	taken, err := c.take(r)
	if err != nil {
		return nil, err
	}
	return []Write{{Key: answerKey(c.Code, roundOf{r.Question, r.Round}, who.Learner), Value: Answer{*taken, now.UTC()}}}, nil
}

// decide keeps what the instructor decides.
func (c *Class) decide(head Head) []Write {
	return []Write{{Key: HeadKey(c.Code), Value: head, Decides: true, After: c.headRevision}}
}

func (c *Class) instructs(request any, now time.Time) ([]Write, error) {
	head := *c.head
	switch request.(type) {
	case *DeleteRequest, *RemoveRequest, *CloseRequest, *RulesRequest:
	default:
		if !head.Ended.IsZero() {
			return nil, errEnded
		}
	}
	switch r := request.(type) {
	case *CloseRequest:
		if head.Ended.IsZero() {
			head.Ended = now.UTC()
		}
		head.Driver, head.Eyes, head.CountdownEnds = "", false, time.Time{}
		return append(c.decide(head), c.reveal(QuestionEnded)...), nil
	case *DeleteRequest:
		return c.Everything(), nil
	case *RulesRequest:
		if r.Locked != nil {
			head.Locked = *r.Locked
		}
		if r.NamesHidden != nil {
			head.NamesHidden = *r.NamesHidden
		}
		return c.decide(head), nil
	case *RemoveRequest:
		p := c.people[r.Learner]
		if p == nil {
			return nil, errGone
		}
		all := c.forget(r.Learner)
		all[0].Value = Person{Name: p.Name, Joined: p.Joined, Removed: true} // so that the device does not come back
		return all, nil
	case *EyesRequest:
		head.Eyes = r.On
		return c.decide(head), nil
	case *SendRequest:
		return c.send(head, r)
	case *CountdownRequest:
		if r.Seconds < 0 || r.Seconds > longestCount {
			return nil, fmt.Errorf("a countdown is of at most %d seconds, not %d", longestCount, r.Seconds)
		}
		head.CountdownEnds = time.Time{}
		if r.Seconds > 0 {
			head.CountdownEnds = now.UTC().Add(time.Duration(r.Seconds) * time.Second)
		}
		return c.decide(head), nil
	case *HandOverRequest:
		if r.Learner != "" && (!c.has(r.Learner) || !c.here[r.Learner]) {
			return nil, errGone
		}
		head.Driver = r.Learner
		return c.decide(head), nil
	case *AskRequest:
		return c.ask(head, r, now)
	case *AskAgainRequest:
		q := c.questions[head.Question]
		if q == nil || q.State == QuestionEnded {
			return nil, errNotOpen
		}
		if q.Round == mostRounds {
			return nil, fmt.Errorf("a question has at most %d rounds", mostRounds)
		}
		again := *q
		again.Round, again.State = q.Round+1, QuestionOpen
		return []Write{{Key: questionKey(c.Code, head.Question), Value: again}}, nil
	case *RevealRequest:
		switch r.State {
		case QuestionOpen, QuestionShown, QuestionTold, QuestionEnded:
		default:
			return nil, fmt.Errorf("there is no state %q of a question", r.State)
		}
		if q := c.questions[head.Question]; q == nil || q.State == QuestionEnded {
			return nil, errNotOpen
		}
		return c.reveal(r.State), nil
	case *HintRequest:
		text, err := typed(r.Text, longestHint)
		if err != nil {
			return nil, err
		}
		return c.toOne(r.Learner, func(to *ToOne) { to.Hint, to.Hints = text, to.Hints+1 })
	}
	return nil, fmt.Errorf("an instructor asks for no %T", request)
}

func (c *Class) reveal(state QuestionState) []Write {
	q := c.questions[c.head.Question]
	if q == nil || q.State == state {
		return nil
	}
	shown := *q
	shown.State = state
	return []Write{{Key: questionKey(c.Code, c.head.Question), Value: shown}}
}

func (c *Class) send(head Head, r *SendRequest) ([]Write, error) {
	if !strings.HasPrefix(r.Address, "#/") || len(r.Address) > longestAddress || visible.Text(r.Address) != r.Address {
		return nil, fmt.Errorf("an address of the page begins with #/ and has at most %d characters", longestAddress)
	}
	if r.Learner != "" {
		return c.toOne(r.Learner, func(to *ToOne) { to.Sent = SentView{to.Sent.Count + 1, r.Address} })
	}
	head.Sent = SentView{head.Sent.Count + 1, r.Address}
	head.Eyes = false // They are to look at what they are sent to.
	return c.decide(head), nil
}

func (c *Class) toOne(learner string, change func(*ToOne)) ([]Write, error) {
	if !c.has(learner) {
		return nil, errGone
	}
	var to ToOne
	if was := c.to[learner]; was != nil {
		to = *was
	}
	change(&to)
	return []Write{{Key: join(c.Code, toWord, learner), Value: to}}, nil
}

// Everything gives up all facts of the class, the head last: a class without one is none.
func (c *Class) Everything() (all []Write) {
	give := func(parts ...string) { all = append(all, Write{Key: join(append([]string{c.Code}, parts...)...)}) }
	for id := range c.people {
		give(learnerWord, id)
	}
	for id := range c.hands {
		give(handWord, id)
	}
	for id := range c.to {
		give(toWord, id)
	}
	for id := range c.standings {
		give(standingWord, id)
	}
	for id := range c.stands {
		give(standWord, id)
	}
	for n := range c.questions {
		give(questionWord, strconv.Itoa(n))
	}
	for at, answers := range c.answers {
		for id := range answers {
			all = append(all, Write{Key: answerKey(c.Code, at, id)})
		}
	}
	for id, results := range c.results {
		for lesson := range results {
			all = append(all, Write{Key: resultKey(c.Code, id, lesson)})
		}
	}
	give(headWord)
	return all
}

// Finished keeps the result of a lesson, which the caller has verified.
func (c *Class) Finished(who Who, r *results.Result, text string, now time.Time) ([]Write, error) {
	lesson, p := r.Progress.Lesson, c.people[who.Learner]
	switch {
	case c.head == nil:
		return nil, errNoClass
	case p == nil || p.Removed:
		return nil, errJoin
	case !names(r.Learner, p.Name) || !names(r.Number, p.Number) || !names(r.Email, p.Email):
		return nil, words.NewProblem("class.problem.other-name", "name", p.Name)
	case len(text) > longestResult || len(c.results[who.Learner]) >= mostResults && c.results[who.Learner][lessonWord(lesson)] == nil:
		return nil, errFull
	}
	return []Write{{Key: resultKey(c.Code, who.Learner, lessonWord(lesson)), Value: Result{text, lesson, now.UTC()}}}, nil
}

// names reports whether what a result says of its learner is what they joined with, as far as both say it. Else one could hand in a
// result in another's name.
func names(said, joined string) bool {
	said, err := typed(said, longestName)
	return err == nil && (said == "" || joined == "" || said == joined)
}

// lessonWord is a lesson's id as a word of a key.
func lessonWord(id string) string {
	return strings.Map(func(r rune) rune {
		if r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || r == '-' || r == '_' {
			return r
		}
		return '_'
	}, id)
}

// Here says who is connected.
func (c *Class) Here(here map[string]bool) { c.here, c.present = here, nil }

// learnersHere counts the learners who are connected, once for all who ask.
func (c *Class) learnersHere() int {
	if c.present == nil {
		count := 0
		for id, p := range c.people {
			if c.here[id] && !p.Removed {
				count++
			}
		}
		c.present = &count
	}
	return *c.present
}

// Pending says that what is under a key is not kept yet, or that it is.
func (c *Class) Pending(key string, pending bool) {
	if pending {
		c.pending[key] = true
	} else {
		delete(c.pending, key)
	}
}

// Calls reports whether all are to look at the demonstrated arm, and their own wait: all eyes are called, or it is asked about.
func (c *Class) Calls() bool {
	if c.head == nil {
		return false
	}
	q := c.questions[c.head.Question]
	return c.head.Eyes || q != nil && q.State != QuestionEnded && q.Ask.Kind != AskChoice
}

// Driver is whose arm is demonstrated: a learner, or InstructorsArm.
func (c *Class) Driver() string {
	if c.head == nil || c.head.Driver == "" {
		return InstructorsArm
	}
	return c.head.Driver
}

// has reports whether somebody joined and was not removed.
func (c *Class) has(learner string) bool {
	p := c.people[learner]
	return p != nil && !p.Removed
}

// Stand returns where an arm of the class stood last; nil where that is not known.
func (c *Class) Stand(whom string) *Stand { return c.stands[whom] }

// LongestRequest in bytes is more than any request needs.
const LongestRequest = longestResult + 8<<10

var decoder = bench.NewDecoder(Requests)

// Decode reads one request of a page.
func Decode(text []byte) (any, error) {
	_, request, err := decoder.Decode(text)
	return request, err
}
