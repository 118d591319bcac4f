package class

import (
	"io"
	"maps"
	"slices"
	"strconv"
	"strings"
	"time"

	"handrule/internal/table"
	"handrule/scenarios/ask"
	"handrule/scenarios/results"
	"handrule/words"
)

// This file is the answers to the questions of a class as a table, for the instructor alone.

// AnswersTable says how the table is written. What an answer reveals is what the class was told of it; left empty where it is
// right, or nothing is known of why it was given.
type AnswersTable struct {
	Zone *time.Location // of the times
	BOM  bool           // a byte order mark before it all, by which some spreadsheets know UTF-8
	Tell []string       // which of results.Identifiers are told; nil: all
	In   *words.Language
}

// answerColumns are those of the table.
var answerColumns = []string{"question", "asked", "round", "learner", "number", "email", "answered", "answer", "reveals", "right", "right_answer"}

// Write writes a row for every answer, by question, round and name. Right is left empty where no answer is the right one.
func (t AnswersTable) Write(w io.Writer, c *Class) error {
	if t.BOM {
		if _, err := io.WriteString(w, table.BOM); err != nil {
			return err
		}
	}
	out := table.New(w)
	row := func(cells ...string) {
		var told []string
		for i, cell := range cells {
			if column := answerColumns[i]; t.Tell == nil || !slices.Contains(results.Identifiers, column) || slices.Contains(t.Tell, column) {
				told = append(told, cell)
			}
		}
		out.Row(told...)
	}
	row(answerColumns...)
	for _, n := range slices.Sorted(maps.Keys(c.questions)) {
		k := c.know(n)
		if k == nil {
			continue
		}
		a, text, right := k.asked, k.asked.Words(t.In), k.asked.RightWords(t.In)
		for round := 1; round <= c.questions[n].Round; round++ {
			at := roundOf{n, round}
			for _, one := range c.answersOf(at, a, t.In) {
				grade := ""
				if a.Graded() {
					grade = map[bool]string{true: "yes", false: "no"}[one.right]
				}
				row(strconv.Itoa(n), text, strconv.Itoa(round), one.who.Name, one.who.Number, one.who.Email, one.at.In(t.Zone).Format("2006-01-02 15:04:05"), one.given, one.reveals, grade, right)
			}
		}
	}
	return out.End()
}

// answered is somebody's answer in a round.
type answered struct {
	who            Person // the zero value where they have left
	given, reveals string
	right          bool
	at             time.Time
}

// answersOf are the answers of a round in words, by name.
func (c *Class) answersOf(at roundOf, a *ask.Asked, in *words.Language) []answered {
	ids, answers := c.answersIn(at, a)
	all := make([]answered, len(ids))
	for _, g := range a.Groups(answers, in) {
		for _, i := range g.Members {
			all[i] = answered{given: a.Tell(answers[i], in), right: g.Right, at: c.answers[at][ids[i]].At}
			if p := c.people[ids[i]]; p != nil {
				all[i].who = *p
			}
			if !g.Right && len(g.Beliefs) > 0 {
				all[i].reveals = g.Name
			}
		}
	}
	slices.SortStableFunc(all, func(x, y answered) int { return strings.Compare(x.who.Name, y.who.Name) })
	return all
}
