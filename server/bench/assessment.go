package bench

import (
	"errors"
	"hash/fnv"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"handrule/internal/visible"
	"handrule/scenarios/lesson"
)

// This file is what is different in a lesson that counts: its numbers are dealt, its tries and its time are limited, and it is
// handed in. What a bench counts in it, every other bench of the server counts too.

// Ledger is what is known of assessments by all benches of a server. It may be used by several of them at once.
type Ledger interface {
	// Take takes down what was counted in a run.
	Take(run *lesson.Run, resumed bool)
	// Again counts again in a run what was counted before. Resumed says that tries may have been counted of which nobody
	// knows any more.
	Again(run *lesson.Run) (resumed bool)
}

// deals bounds the numbers of deals of assessments, which are written down and typed.
const deals = 1e12

// dealOf is the deal of that number.
func (b *Bench) dealOf(l *lesson.Lesson, seed uint64) lesson.Deal {
	from := lesson.Deal{Seed: seed}
	if l.Assessment != nil && l.Deals() && b.env.Vault != nil {
		from.Secret = b.env.Vault.Numbers(l.ID, seed)
	}
	return from
}

// undealt returns a lesson of which nothing is dealt, by that number where it is an assessment.
func undealt(l *lesson.Lesson, seed uint64) *lesson.Lesson {
	if l.Assessment == nil {
		return l
	}
	same := *l
	same.Seed = seed // by which the ledger knows it
	return &same
}

// beginnings are what a bench knows of the beginnings of an assessment at it. Tries and time of one that is under way are not won back
// by beginning another, and how often that was done is told in the result.
type beginnings struct {
	Lesson string    `json:"lesson"`
	Times  int       `json:"times"`
	Deal   uint64    `json:"deal"` // the last one that was begun,
	Began  time.Time `json:"began"`
	Open   bool      `json:"open,omitempty"` // and is not handed in
}

// mostBegun is of how many assessments a bench knows that; it forgets the one that was begun first.
const mostBegun = 30

// begunOf returns what is known of an assessment; nil for nothing.
func (b *Bench) begunOf(lesson string) *beginnings {
	if i := slices.IndexFunc(b.begun, func(a beginnings) bool { return a.Lesson == lesson }); i >= 0 {
		return &b.begun[i]
	}
	return nil
}

// underWay returns the deal of an assessment that was begun here and is not handed in; nil for none.
func (b *Bench) underWay(l *lesson.Lesson) *beginnings {
	if a := b.begunOf(l.ID); a != nil && a.Open && l.Assessment != nil {
		return a
	}
	return nil
}

// noteBegun takes note of a run of an assessment that has begun. Of one that is under way nothing is forgotten for one that is
// handed in.
func (b *Bench) noteBegun(run *lesson.Run) {
	if run.Lesson.Assessment == nil || run.Waits() {
		return
	}
	id, p := run.Lesson.ID, &run.Progress
	if b.begunOf(id) == nil {
		b.begun = append(b.begun, beginnings{Lesson: id, Times: 1})
		b.begun = b.begun[max(len(b.begun)-mostBegun, 0):]
	}
	a := b.begunOf(id)
	a.Times = max(a.Times, p.Times)
	if a.Open && a.Deal != run.Lesson.Seed && run.HandedIn() {
		return
	}
	a.Deal, a.Began, a.Open = run.Lesson.Seed, p.Began, !run.HandedIn()
}

// goOn goes on with the assessment that is under way here, whatever else was asked for, and says so.
func (b *Bench) goOn(l *lesson.Lesson, a beginnings, r *LessonRequest) error {
	told := errors.New(b.in.Say("problem.assessment-under-way"))
	if open := b.lesson; open.counts() && open.Lesson.ID == l.ID && open.Lesson.Seed == a.Deal {
		b.dropOpening()
		b.complain(told)
		if r.Stage != nil && *r.Stage < len(open.Lesson.Stages) && *r.Stage != open.At() {
			b.goTo(*r.Stage)
		}
		return nil
	}
	b.dealThen(l, a.Deal, r, func(dealt *lesson.Lesson, err error) {
		if err != nil { // In this edition of the lesson there is no such deal.
			b.refuse(b.startAnew(l, r))
			return
		}
		b.depart()
		run := lesson.NewRun(dealt)
		run.Progress.Began = a.Began
		resumed := b.countedAgain(run)
		if run.HandedIn() { // at another bench
			b.noteBegun(run)
			b.refuse(b.startAnew(l, r))
			return
		}
		b.complain(told)
		b.openRun(run, r, run.Place(run.Progress, -1), resumed)
	})
	return nil
}

// countedAgain counts again in a run what was counted in it before, and reports whether tries may have been counted of which
// nothing is known.
func (b *Bench) countedAgain(run *lesson.Run) (resumed bool) {
	resumed = b.counted.Again(run)
	if run.Lesson.Assessment != nil && b.env.Ledger != nil {
		resumed = b.env.Ledger.Again(run)
	}
	return resumed
}

// assessed reports whether the open lesson is an assessment.
func (l *lessonRun) assessed() bool { return l != nil && l.Lesson.Assessment != nil }

// counts reports whether what is done now counts.
func (l *lessonRun) counts() bool { return l.assessed() && !l.HandedIn() }

// recount counts again what other benches have counted in the same assessment.
func (b *Bench) recount() {
	if l := b.lesson; l.assessed() && b.env.Ledger != nil {
		b.env.Ledger.Again(l.Run)
	}
}

// account takes down what is counted in the open lesson.
func (b *Bench) account() {
	l := b.lesson
	if l == nil {
		return
	}
	b.counted.Take(l.Run, l.resumed)
	if l.assessed() && b.env.Ledger != nil {
		b.env.Ledger.Take(l.Run, l.resumed)
	}
}

// leaveTry counts a try that was begun by driving and is left for something else. Otherwise leaving would win it back.
func (b *Bench) leaveTry() {
	if l := b.lesson; l.assessed() && l.jogs > 0 {
		if _, free := l.Stage().Task.(*lesson.Free); !free {
			l.GiveUp()
		}
	}
}

// keepTime hands an assessment in whose time is up.
func (b *Bench) keepTime(now time.Time) {
	b.page.now = now
	if l := b.lesson; l.assessed() && l.Clock(now) {
		b.closed()
	}
}

// closed is what is done when an assessment was handed in.
func (b *Bench) closed() {
	b.lesson.verdict = nil
	b.lesson.recall()
	b.noteBegun(b.lesson.Run)
	b.account()
	b.page.touched = true
}

// beginAssessment begins the assessment at the stage one is in.
func (b *Bench) beginAssessment(now time.Time) error {
	l := b.lesson
	if !l.Waits() {
		return nil
	}
	l.Run.Begin(now)
	if a := b.begunOf(l.Lesson.ID); a != nil {
		l.Progress.Times = a.Times + 1
	} else {
		l.Progress.Times = 1
	}
	b.noteBegun(l.Run)
	b.beginStage(l.At())
	return nil
}

// handIn hands the assessment in. What is open counts as not done.
func (b *Bench) handIn(now time.Time) error {
	l := b.lesson
	switch {
	case !l.assessed():
		return errors.New(b.in.Say("problem.no-assessment"))
	case l.Waits():
		return errors.New(b.in.Say("problem.begin-first"))
	}
	if !l.HandedIn() {
		b.release()
		l.HandIn(now)
		b.closed()
	}
	return nil
}

// extraTime gives the learner the time that an instructor's code says.
func (b *Bench) extraTime(r *ExtraTimeRequest) error {
	l := b.lesson
	switch {
	case !l.assessed() || l.Lesson.Assessment.Minutes == 0:
		return errors.New(b.in.Say("problem.no-time-limit"))
	case l.HandedIn():
		return errors.New(b.in.Say("problem.handed-in"))
	case b.env.Vault == nil:
		return errors.New(b.in.Say("problem.no-signing"))
	}
	minutes, who, err := b.env.Vault.ExtraTime(l.Lesson.ID, r.Code)
	if err != nil {
		return errors.New(b.in.Say("problem.extra-time"))
	}
	l.Extend(minutes, who)
	return nil
}

func (l *lessonRun) assessmentView() *AssessmentView {
	if !l.assessed() {
		return nil
	}
	a := l.Lesson.Assessment
	v := &AssessmentView{State: AssessmentOpen, MinutesAllowed: int(a.Minutes), ExtraMinutes: l.Progress.Extra, AskFor: []string{}, DrawnOrder: a.Order != ""}
	for _, is := range a.Asks() {
		v.AskFor = append(v.AskFor, string(is))
	}
	for _, s := range l.Scored().Stages {
		v.Points += s.Points
		v.Earned += s.Earned
	}
	switch {
	case l.Waits():
		v.State = AssessmentWaits
	case l.HandedIn():
		v.State = AssessmentHandedIn
		v.TimeUp = l.Progress.Handed.Equal(l.Ends())
	}
	if v.State != AssessmentHandedIn {
		v.Earned = 0
	}
	return v
}

// clockKey is what the time that is left depends on, but for the time that passes.
type clockKey struct {
	run  *lesson.Run
	ends time.Time
	over bool
}

func (b *Bench) clockKey() any {
	l := b.lesson
	if !l.assessed() {
		return clockKey{}
	}
	return clockKey{l.Run, l.Ends(), l.HandedIn()}
}

// clockView is how much time is left, when it is told.
func (b *Bench) clockView() any {
	m := ClockMessage{}
	if l := b.lesson; l.assessed() && !l.HandedIn() {
		if ends := l.Ends(); !ends.IsZero() {
			m.Running, m.LeftS = true, max(ends.Sub(b.page.now).Seconds(), 0)
		}
	}
	return m
}

// learnerOf reads what learners say of themselves, and returns a problem where something lacks that is asked for.
func (b *Bench) learnerOf(r *ResultRequest) (o lesson.Outcome, err error) {
	o = lesson.Outcome{Learner: oneLine(r.Learner), Number: oneLine(r.Number), Email: oneLine(r.Email)}
	asks := b.lesson.Lesson.Assessment.Asks()
	given := map[lesson.Identifier]*string{"name": &o.Learner, "number": &o.Number, "e-mail": &o.Email}
	for is, text := range given {
		*text = strings.TrimSpace(*text)
		if len(*text) > longestName || visible.Text(*text) != *text {
			return o, errors.New(b.in.Say("problem." + string(is)))
		}
	}
	for _, is := range asks {
		text := *given[is]
		if text == "" || is == "e-mail" && !looksLikeMail(text) {
			return o, errors.New(b.in.Say("problem." + string(is)))
		}
	}
	return o, nil
}

func oneLine(text string) string { return strings.Join(strings.Fields(text), " ") }

// looksLikeMail reports whether a text may be an address: whether it is one, only a letter to it would tell.
func looksLikeMail(text string) bool {
	name, host, ok := strings.Cut(text, "@")
	return ok && name != "" && strings.Contains(host, ".") && !strings.ContainsAny(text, " ,;<>") && !strings.Contains(host, "@")
}

// resultName is the name of a result's file: whose it is, in letters of any language, and a word that no other has.
func resultName(lesson, who, text string) string {
	h := fnv.New64a()
	h.Write([]byte(text))
	return lesson + "-" + fileWord(who) + "-" + strconv.FormatUint(h.Sum64(), 36) + ".json"
}

// longestFileWord in bytes leaves room in a file's name, which most systems keep to 255.
const longestFileWord = 80

// fileWord makes a word for a file's name from a learner's: its letters, marks and digits, with hyphens between.
func fileWord(name string) string {
	var word strings.Builder
	gap := false
	for _, r := range strings.ToLower(name) {
		switch {
		case !unicode.In(r, unicode.L, unicode.M, unicode.N):
			gap = word.Len() > 0
			continue
		case word.Len()+utf8.RuneLen(r) >= longestFileWord:
			return word.String()
		case gap:
			word.WriteByte('-')
		}
		gap = false
		word.WriteRune(r)
	}
	return word.String()
}
