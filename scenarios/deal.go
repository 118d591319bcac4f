package scenarios

import (
	"fmt"
	"math"
	"slices"
)

// mostDraws is how often numbers are drawn until the lesson can be passed with them.
const mostDraws = 20

// Drawn returns the lesson with numbers drawn from the seed, with which it has been passed, and how. The same seed gives
// the same numbers. A lesson that draws none is the same for every seed. The error is of what no drawing mends; where
// there is no such thing, of the first drawing.
func (l *Lesson) Drawn(seed uint64) (*Lesson, []Solution, error) {
	attempts := mostDraws
	if len(l.Draw) == 0 {
		attempts = 1
	}
	var first error
	var always Errors
	fuel := mostLessonSearch
	for attempt := range attempts {
		lesson, solutions, err := l.attempt(deal{seed: seed, attempt: attempt}, &fuel, nil)
		if err == nil {
			return lesson, solutions, nil
		}
		problems := problemsOf(l.file, err)
		if first == nil {
			first, always = err, slices.Clone(problems)
		}
		always = slices.DeleteFunc(always, func(p Problem) bool {
			return !slices.ContainsFunc(problems, func(other Problem) bool { return other.Line == p.Line && other.Column == p.Column })
		})
		if fuel <= 0 {
			break
		}
	}
	if len(always) > 0 {
		return nil, nil, always
	}
	return nil, nil, first
}

// attempt deals the lesson's numbers and passes it with them, or only those of its stages.
func (l *Lesson) attempt(from deal, fuel *int, which func(stage int) bool) (*Lesson, []Solution, error) {
	lesson, err := l.drawn(from)
	if err != nil {
		return nil, nil, err
	}
	solutions, err := lesson.check(fuel, which)
	return lesson, solutions, err
}

const (
	mostTried = 100  // numbers of a draw that are tried, evenly over its range
	mostDeals = 1000 // times that a lesson is dealt to find those that never are
)

// neverDealt says of every draw which of its numbers no learner gets, because a stage cannot be passed with them.
func (l *Lesson) neverDealt() (notes []Problem) {
	fuel, deals := mostLessonSearch, 0
	for i := range l.Draw {
		d := &l.Draw[i]
		depends := func(stage int) bool {
			return stage < len(l.dealt.uses) && slices.Contains(l.dealt.uses[stage], d.Name)
		}
		attempts := 1 // The other numbers may have to be others for this one to be good.
		for stage, uses := range l.dealt.uses {
			if depends(stage) && len(uses) > 1 {
				attempts = mostDraws
			}
		}
		reasons := map[place]*never{}
		var order []*never
		for k := 0.0; k < float64(d.values()); k += math.Max(1, float64(d.values())/mostTried) {
			x := d.value(int(k))
			var err error
			for attempt := range attempts {
				deals++
				if _, _, err = l.attempt(deal{attempt: attempt, fixed: map[string]float64{d.Name: x}}, &fuel, depends); err == nil || fuel <= 0 {
					break
				}
			}
			if fuel <= 0 || deals > mostDeals {
				return append(notes, Problem{File: l.file, Message: "note: not every number of the draws was tried, which would take too long"})
			}
			if err == nil {
				continue
			}
			why := problemsOf(l.file, err)[0]
			at := place{why.Line, why.Column}
			if reasons[at] == nil {
				reasons[at] = &never{why: why}
				order = append(order, reasons[at])
			}
			reasons[at].numbers = append(reasons[at].numbers, drawnText(x))
		}
		for _, r := range order {
			notes = append(notes, r.note(d.Name))
		}
	}
	return notes
}

// never are the numbers of a draw that are not dealt because of one task.
type never struct {
	numbers []string
	why     Problem // with the first of them
}

func (n *never) note(name string) Problem {
	is := "is"
	if len(n.numbers) > 1 {
		is = "are"
	}
	note := n.why
	note.Message = fmt.Sprintf("note: %s %s never dealt as $%s: %s", allOf(n.numbers), is, name, n.why.Message)
	return note
}
