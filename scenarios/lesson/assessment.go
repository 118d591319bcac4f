package lesson

import (
	"cmp"
	"crypto/sha256"
	"encoding/binary"
	"slices"
	"time"

	"handrule/scenarios/form"
)

// Assessment makes a lesson one whose result counts: its tries are limited, its tasks have points, and its numbers are dealt by
// the server.
type Assessment struct {
	form.Block
	Tries   form.Count   `field:"tries" about:"How often a task may be tried; 2 unless told otherwise. A stage may say another number."`
	Late    *Fraction    `field:"late_counts" about:"The part of its points that a task counts which is done after the first try, from 0 to 1; 0.5 unless told otherwise."`
	Minutes form.Count   `field:"minutes_allowed" about:"How many minutes there are from the beginning, by the server's clock. Any number, unless told otherwise."`
	AskFor  []Identifier `field:"ask_for" most:"3" about:"What learners say of themselves when they hand in: name, number, e-mail. The name, unless told otherwise."`
	Order   Order        `field:"order" about:"drawn: every learner gets the stages in another order. As the file has them, unless told otherwise."`
}

// Fraction is a part of a whole, from 0 to 1.
type Fraction float64

// Identifier is something by which an instructor knows a learner.
type Identifier string

// Identifiers are all of them.
var Identifiers = []Identifier{"name", "number", "e-mail"}

// Order is the order in which stages come.
type Order string

// inDrawnOrder is an order that is another for every learner.
const inDrawnOrder Order = "drawn"

// What an assessment has where its file does not say.
const (
	usualTries           = 2
	usualLate   Fraction = 0.5
	usualPoints          = 1
)

// Asks returns what learners say of themselves when they hand in.
func (a *Assessment) Asks() []Identifier {
	if a == nil || len(a.AskFor) == 0 {
		return Identifiers[:1]
	}
	return a.AskFor
}

// Worth is what the task of a stage counts in an assessment.
type Worth struct {
	Points float64 // for a task that is done at the first try; 0 where nothing counts
	Late   float64 // for one that is done after that
	Tries  int     // how often it may be tried; 0: as often as one likes
}

// Worth returns what the task of a stage counts. It is nothing where the lesson is no assessment, or the stage has no task.
func (l *Lesson) Worth(s *Stage) (w Worth) {
	a := l.Assessment
	if a == nil || s.Task == nil {
		return w
	}
	late := usualLate
	if a.Late != nil {
		late = *a.Late
	}
	w = Worth{Points: usualPoints, Tries: cmp.Or(int(s.Tries), int(a.Tries), usualTries)}
	if s.Given("points") {
		w.Points = float64(s.Points)
	}
	w.Late = w.Points * float64(late)
	if s.Free != nil {
		w.Tries = 0 // Nothing in it can fail.
	}
	return w
}

// Earned returns the points of a task that stands like this.
func (w Worth) Earned(p *StageProgress) float64 {
	switch {
	case !p.Done || p.GivenUp:
		return 0
	case p.Tries <= 1:
		return w.Points
	}
	return w.Late
}

// Scored returns the progress with the points of every stage: how many there are, and how many were earned.
func (r *Run) Scored() Progress {
	p := r.Progress
	p.Stages = slices.Clone(p.Stages)
	for i := range p.Stages {
		w := r.Lesson.Worth(&r.Lesson.Stages[i])
		p.Stages[i].Points, p.Stages[i].Earned = w.Points, w.Earned(&p.Stages[i])
	}
	return p
}

// TriesLeft returns how many tries the stage's task has left; −1 where there is no bound.
func (r *Run) TriesLeft() int {
	w := r.Lesson.Worth(r.Stage())
	if w.Tries == 0 {
		return -1
	}
	return max(w.Tries-r.here().Tries, 0)
}

// Waits reports whether the lesson is an assessment that has not begun. Its tasks are not shown before.
func (r *Run) Waits() bool { return r.Lesson.Assessment != nil && r.Progress.Began.IsZero() }

// HandedIn reports whether nothing more counts.
func (r *Run) HandedIn() bool { return !r.Progress.Handed.IsZero() }

// Reveals reports whether more may be said of an answer than that it is right or wrong. In an assessment it may once that is
// handed in.
func (r *Run) Reveals() bool { return r.Lesson.Assessment == nil || r.HandedIn() }

// Begin begins an assessment: from now on its time runs.
func (r *Run) Begin(now time.Time) {
	if r.Waits() {
		r.Progress.Began = now.UTC().Truncate(time.Second)
	}
}

// Ends returns when the time of an assessment is up; the zero time where it has none, or has not begun.
func (r *Run) Ends() time.Time {
	a := r.Lesson.Assessment
	if a == nil || a.Minutes == 0 || r.Progress.Began.IsZero() {
		return time.Time{}
	}
	return r.Progress.Began.Add(time.Duration(int(a.Minutes)+r.Progress.Extra) * time.Minute)
}

// HandIn ends an assessment. What is open counts as not done.
func (r *Run) HandIn(now time.Time) {
	if r.Lesson.Assessment == nil || r.Waits() || r.HandedIn() {
		return
	}
	if ends := r.Ends(); !ends.IsZero() && now.After(ends) {
		now = ends
	}
	r.Progress.Handed, r.watching, r.over = now.UTC().Truncate(time.Second), nil, false
}

// Clock hands an assessment in whose time is up, and reports whether it did.
func (r *Run) Clock(now time.Time) bool {
	ends := r.Ends()
	if ends.IsZero() || now.Before(ends) || r.HandedIn() {
		return false
	}
	r.HandIn(ends)
	return true
}

// Extend gives an assessment so many minutes more, by the word of an instructor for whoever that is. Of two such words the
// longer one counts.
func (r *Run) Extend(minutes int, who string) {
	if minutes > r.Progress.Extra && !r.HandedIn() {
		r.Progress.Extra, r.Progress.ExtraFor = minutes, who
	}
}

// MayTry reports whether a question is about what a jog would do, and the arm may make that jog before the answer.
func (r *Run) MayTry() bool {
	task, asked := r.Stage().Task.(Asked)
	return asked && asksOfMotion(task) && r.MayJog()
}

// asksOfMotion reports whether a question is about what a jog would do. In an assessment the arm does not answer it.
func asksOfMotion(t Task) bool {
	moves := func(q *Quantity) bool { return q.Jog != nil || q.After != nil || q.Toward != nil }
	return ByKind(t, func(*Reach) bool { return false }, func(*Predict) bool { return true }, func(r *Read) bool { return moves(&r.Quantity) },
		func(c *Choose) bool {
			return slices.ContainsFunc(c.Options, func(o Option) bool { return o.When != nil && moves(&o.When.Quantity) })
		}, func(*Free) bool { return false })
}

// validateAssessment reports what goes only with an assessment, and what does not go with drawn stages.
func (l *Lesson) validateAssessment() {
	a := l.Assessment
	for i := range l.Stages {
		s := &l.Stages[i]
		for _, field := range []string{"points", "tries"} {
			switch {
			case !s.Given(field):
			case a == nil:
				s.Add(field, "goes with an assessment; write assessment: {} in the lesson to make it one")
			case s.Task == nil:
				s.Add(field, "is of a task, and this stage has none")
			case field == "tries" && s.Free != nil:
				s.Add(field, "means nothing for free, in which nothing can fail")
			}
		}
		drawn := a != nil && a.Order == inDrawnOrder
		if s.GoOn && (drawn || s.ShapeOf != "" || i > 0 && l.Stages[i-1].ShapeOf != "") {
			s.Add("go_on", "does not go with stages that are drawn, because another one may come before it")
		}
		if s.ShapeOf != "" && s.Task == nil {
			s.Add("shape_of", "is for stages with a task")
		}
	}
	for i := range l.Stages {
		s := &l.Stages[i]
		if s.ShapeOf == "" {
			continue
		}
		if !idWord.In(s.ShapeOf) || len(s.ShapeOf) > longestID {
			s.Add("shape_of", "must be a word of small letters, digits and hyphens, such as which-way, not %s", form.Quoted(s.ShapeOf))
			continue
		}
		alone := !slices.ContainsFunc(l.Stages, func(other Stage) bool { return other.ShapeOf == s.ShapeOf && other.ID != s.ID })
		if alone {
			s.Add("shape_of", "is %s of this stage alone; a question in several shapes has a stage for each, of which one is drawn", form.Quoted(s.ShapeOf))
		}
		if w, first := l.Worth(s), l.Worth(l.firstShape(s.ShapeOf)); w.Points != first.Points {
			s.Add("points", "must be the same for every shape of %s", form.Quoted(s.ShapeOf))
		}
	}
	if a != nil {
		seen := map[Identifier]bool{}
		for _, is := range a.AskFor {
			if seen[is] {
				a.Add("ask_for", "names %s twice", is)
			}
			seen[is] = true
		}
	}
}

func (l *Lesson) firstShape(of string) *Stage {
	return &l.Stages[slices.IndexFunc(l.Stages, func(s Stage) bool { return s.ShapeOf == of })]
}

// Deals reports whether learners get different numbers, shapes of questions, or orders.
func (l *Lesson) Deals() bool {
	return len(l.Draw) > 0 || l.Assessment != nil && l.Assessment.Order == inDrawnOrder || slices.ContainsFunc(l.Stages, func(s Stage) bool { return s.ShapeOf != "" })
}

// arrange leaves of every question one shape, and puts the stages into the order that is drawn. Both go by the identities of
// the stages, so that another edition changes as little of it as can be.
func (l *Lesson) arrange(from Deal) {
	if from.All {
		return
	}
	place := func(s *Stage) uint64 {
		sum := sha256.Sum256(binary.BigEndian.AppendUint64([]byte(s.ID), from.source()))
		return binary.BigEndian.Uint64(sum[:])
	}
	type placed struct {
		stage Stage
		uses  []string
	}
	var kept []placed
	for i := range l.Stages {
		s := &l.Stages[i]
		better := func(other Stage) bool {
			return s.ShapeOf != "" && other.ShapeOf == s.ShapeOf && place(&other) < place(s)
		}
		if !slices.ContainsFunc(l.Stages, better) {
			kept = append(kept, placed{*s, l.Uses(i)})
		}
	}
	if a := l.Assessment; a != nil && a.Order == inDrawnOrder {
		slices.SortStableFunc(kept, func(a, b placed) int { return cmp.Compare(place(&a.stage), place(&b.stage)) })
	}
	l.Stages, l.dealt.uses = nil, nil
	for _, k := range kept {
		l.Stages, l.dealt.uses = append(l.Stages, k.stage), append(l.dealt.uses, k.uses)
	}
}

// Tasks returns how many tasks a learner gets: of a question in several shapes one.
func (l *Lesson) Tasks() (n int) {
	shapes := map[string]bool{}
	for i := range l.Stages {
		s := &l.Stages[i]
		if s.Task == nil || s.ShapeOf != "" && shapes[s.ShapeOf] {
			continue
		}
		shapes[s.ShapeOf] = true
		n++
	}
	return n
}
