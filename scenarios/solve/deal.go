package solve

import (
	"fmt"
	"handrule/scenarios/form"
	"handrule/scenarios/lesson"
	"math"
	"slices"
)

// mostDraws is how often numbers are drawn until the lesson can be passed with them.
const mostDraws = 20

// Drawn returns the lesson with numbers drawn by the deal, with which it has been passed, and how. The same deal gives
// the same numbers. A lesson that draws none is the same for every deal. The error is of what no drawing mends; where
// there is no such thing, of the first drawing.
func Drawn(l *lesson.Lesson, from lesson.Deal) (*lesson.Lesson, []Solution, error) {
	return DrawnWhile(l, from, nil)
}

// DrawnWhile does the same as long as who watches lets it. The error of one that was stopped is a Stopped, and the solutions are
// those that were found.
func DrawnWhile(l *lesson.Lesson, from lesson.Deal, watch Watch) (*lesson.Lesson, []Solution, error) {
	attempts := mostDraws
	if len(l.Draw) == 0 {
		attempts = 1
	}
	var first error
	var always form.Errors
	e := newEffort(watch)
	for again := range attempts {
		from.Attempt = again
		lesson, solutions, err := attempt(l, from, e, nil)
		if err == nil || e.ended {
			return lesson, solutions, err
		}
		problems := form.ProblemsOf(l.File, err)
		if first == nil {
			first, always = err, slices.Clone(problems)
		}
		always = slices.DeleteFunc(always, func(p form.Problem) bool {
			return !slices.ContainsFunc(problems, func(other form.Problem) bool { return other.Line == p.Line && other.Column == p.Column })
		})
		if e.left <= 0 {
			break
		}
	}
	if len(always) > 0 {
		return nil, nil, always
	}
	return nil, nil, first
}

// attempt deals the lesson's numbers and passes it with them, or only those of its stages.
func attempt(l *lesson.Lesson, from lesson.Deal, e *effort, which func(stage int) bool) (*lesson.Lesson, []Solution, error) {
	lesson, err := l.RedrawnWhile(from, e.goOn)
	if e.ended {
		return nil, nil, Stopped{}
	}
	if err != nil {
		return nil, nil, err
	}
	solutions, err := check(lesson, e, which)
	return lesson, solutions, err
}

const (
	mostTried = 100  // numbers of a draw that are tried, evenly over its range
	mostDeals = 1000 // times that a lesson is dealt to find those that never are
)

// NeverDealt says of every draw which of its numbers no learner gets, because a stage cannot be passed with them. Of a search
// that who watches stopped, it says what was found.
func NeverDealt(l *lesson.Lesson, watch Watch) (notes []form.Problem) {
	e, deals := newEffort(watch), 0
	for i := range l.Draw {
		d := &l.Draw[i]
		e.at.Draw = d.Name
		depends := func(stage int) bool {
			return slices.Contains(l.Uses(stage), d.Name)
		}
		attempts := 1 // The other numbers may have to be others for this one to be good.
		for stage := range l.Stages {
			if depends(stage) && len(l.Uses(stage)) > 1 {
				attempts = mostDraws
			}
		}
		reasons := map[form.Place]*never{}
		var order []*never
		var dealt []string
		for k := 0.0; k < float64(d.Values()); k += math.Max(1, float64(d.Values())/mostTried) {
			x := d.Value(int(k))
			var err error
			for again := range attempts {
				deals++
				if _, _, err = attempt(l, lesson.Deal{All: true, Attempt: again, Fixed: map[string]float64{d.Name: x}}, e, depends); err == nil || e.left <= 0 || e.ended {
					break
				}
			}
			if e.ended {
				return append(notes, form.Problem{File: l.File, Message: "note: not every number of the draws was tried: the search was stopped"})
			}
			if e.left <= 0 || deals > mostDeals {
				return append(notes, form.Problem{File: l.File, Message: "note: not every number of the draws was tried, which would take too long"})
			}
			if err == nil {
				dealt = append(dealt, lesson.DrawnText(x))
				continue
			}
			why := form.ProblemsOf(l.File, err)[0]
			at := form.Place{Line: why.Line, Column: why.Column}
			if reasons[at] == nil {
				reasons[at] = &never{why: why}
				order = append(order, reasons[at])
			}
			reasons[at].numbers = append(reasons[at].numbers, lesson.DrawnText(x))
		}
		for _, r := range order {
			notes = append(notes, r.note(d.Name))
		}
		if len(dealt) == 1 && len(order) > 0 {
			only := order[0].why
			only.Message = fmt.Sprintf("note: that leaves %s alone as $%s, so every learner gets the same number", dealt[0], d.Name)
			notes = append(notes, only)
		}
	}
	return notes
}

// never are the numbers of a draw that are not dealt because of one task.
type never struct {
	numbers []string
	why     form.Problem // with the first of them
}

func (n *never) note(name string) form.Problem {
	is := "is"
	if len(n.numbers) > 1 {
		is = "are"
	}
	note := n.why
	note.Message = fmt.Sprintf("note: %s %s never dealt as $%s: %s", form.AllOf(n.numbers), is, name, n.why.Message)
	return note
}
