package results

import (
	"cmp"
	"io"
	"slices"
	"strconv"

	"handrule/internal/table"
)

// wrongAnswer is a wrong answer to a task, whoever gave it.
type wrongAnswer struct {
	answer   string
	learners map[string]bool
	times    int
}

// WriteWrong writes which wrong answers were given to each task, how often, and by how many of those who tried it: those of most
// learners first. Answers are the same where they are told in the same words, options in those of the lesson's file. Of each task a
// result keeps the first answers and the last.
func (t Table) WriteWrong(w io.Writer, rows []Row) error {
	if t.BOM {
		if _, err := io.WriteString(w, table.BOM); err != nil {
			return err
		}
	}
	taken, _ := t.taken(rows)
	rows = slices.DeleteFunc(taken, func(r Row) bool { return r.same != "" })
	out := table.New(w)
	out.Row("lesson", "task", "wrong_answer", "learners", "of", "times")
	for _, column := range stagesOf(rows) {
		title, of := "", map[string]bool{}
		var found []*wrongAnswer
		for _, row := range rows {
			p := &row.Result.Progress
			if row.Err != nil || p.Lesson != column.lesson {
				continue
			}
			title = cmp.Or(title, p.Title, p.Lesson)
			for i := range p.Stages {
				s := &p.Stages[i]
				if s.Task == "" || stageKey(s, i) != column.key || s.Tries == 0 {
					continue
				}
				of[row.Result.who()] = true
				for _, given := range s.Answers {
					if given.Good {
						continue
					}
					answer := cmp.Or(given.InFile, given.Answer)
					k := slices.IndexFunc(found, func(f *wrongAnswer) bool { return f.answer == answer })
					if k < 0 {
						k, found = len(found), append(found, &wrongAnswer{answer, map[string]bool{}, 0})
					}
					found[k].learners[row.Result.who()] = true
					found[k].times++
				}
			}
		}
		slices.SortStableFunc(found, func(a, b *wrongAnswer) int {
			return cmp.Or(cmp.Compare(len(b.learners), len(a.learners)), cmp.Compare(b.times, a.times), cmp.Compare(a.answer, b.answer))
		})
		for _, f := range found {
			out.Row(title, column.head, f.answer, strconv.Itoa(len(f.learners)), strconv.Itoa(len(of)), strconv.Itoa(f.times))
		}
	}
	return out.End()
}
