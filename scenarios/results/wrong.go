package results

import (
	"cmp"
	"io"
	"slices"
	"strconv"
	"strings"

	"handrule/internal/table"
	"handrule/internal/visible"
	"handrule/words"
)

// WrongTask is a task, with the wrong answers that were given to it: those of most learners first.
type WrongTask struct {
	Lesson, Task string
	Tried        int // learners
	Answers      []WrongAnswer
}

// WrongAnswer is a wrong answer to a task, whoever gave it, or several that reveal the same.
type WrongAnswer struct {
	Given    []string // in words, the one that was given most often first
	Reveals  string   // "" where that is not known
	Learners int
	Times    int
}

// answersShown is how many answers that reveal the same are told.
const answersShown = 3

// Words are the answers in a row.
func (w *WrongAnswer) Words() string {
	words := strings.Join(w.Given[:min(len(w.Given), answersShown)], "; ")
	if len(w.Given) > answersShown {
		words += "; …"
	}
	return words
}

// Wrong returns which wrong answers were given to each task that was tried, how often, and by how many. Answers are the same where
// they are told in the same words, options in those of the lesson's file; those that reveal the same are told together. Of each task a
// result keeps the first answers and the last.
func (t Table) Wrong(rows []Row) (tasks []WrongTask) {
	taken, _ := t.taken(rows)
	rows = slices.DeleteFunc(taken, func(r Row) bool { return r.same != "" })
	for _, column := range stagesOf(rows) {
		task, tried := WrongTask{Task: column.head}, map[string]bool{}
		var found []*wrongAnswers
		for _, row := range rows {
			p := &row.Result.Progress
			if row.Err != nil || p.Lesson != column.lesson {
				continue
			}
			task.Lesson = cmp.Or(task.Lesson, p.Title, p.Lesson)
			for i := range p.Stages {
				s := &p.Stages[i]
				if s.Task == "" || stageKey(s, i) != column.key || s.Tries == 0 {
					continue
				}
				tried[row.Result.who()] = true
				for _, given := range s.Answers {
					if given.Good {
						continue
					}
					answer, reveals := cmp.Or(given.InFile, given.Answer), ""
					if t.Reveals != nil {
						reveals = t.Reveals(&row.Result, i, given)
					}
					same := func(f *wrongAnswers) bool {
						return f.reveals == reveals && (reveals != "" || f.times[answer] > 0)
					}
					k := slices.IndexFunc(found, same)
					if k < 0 {
						k, found = len(found), append(found, &wrongAnswers{reveals, map[string]int{}, map[string]bool{}})
					}
					found[k].learners[row.Result.who()] = true
					found[k].times[answer]++
				}
			}
		}
		for _, f := range found {
			task.Answers = append(task.Answers, f.told())
		}
		slices.SortStableFunc(task.Answers, func(a, b WrongAnswer) int {
			return cmp.Or(cmp.Compare(b.Learners, a.Learners), cmp.Compare(b.Times, a.Times), cmp.Compare(a.Given[0], b.Given[0]))
		})
		if task.Tried = len(tried); task.Tried > 0 {
			tasks = append(tasks, task)
		}
	}
	return tasks
}

// wrongAnswers are the same, or reveal the same.
type wrongAnswers struct {
	reveals  string
	times    map[string]int // by what was answered
	learners map[string]bool
}

func (f *wrongAnswers) told() WrongAnswer {
	w := WrongAnswer{Reveals: f.reveals, Learners: len(f.learners)}
	for answer, times := range f.times {
		w.Given = append(w.Given, answer)
		w.Times += times
	}
	slices.SortFunc(w.Given, func(a, b string) int {
		return cmp.Or(cmp.Compare(f.times[b], f.times[a]), cmp.Compare(a, b))
	})
	return w
}

// WriteWrong writes that as a table, a row for each answer.
func (t Table) WriteWrong(w io.Writer, rows []Row) error {
	if t.BOM {
		if _, err := io.WriteString(w, table.BOM); err != nil {
			return err
		}
	}
	out := table.New(w)
	out.Row("lesson", "task", "wrong_answer", "reveals", "learners", "of", "times")
	for _, task := range t.Wrong(rows) {
		for _, a := range task.Answers {
			out.Row(task.Lesson, task.Task, a.Words(), a.Reveals, strconv.Itoa(a.Learners), strconv.Itoa(task.Tried), strconv.Itoa(a.Times))
		}
	}
	return out.End()
}

// TellWrong writes that as a text to be read, in a language.
func (t Table) TellWrong(w io.Writer, rows []Row, in *words.Language) error {
	var text strings.Builder
	lesson := ""
	for _, task := range t.Wrong(rows) {
		if len(task.Answers) == 0 {
			continue
		}
		if task.Lesson != lesson {
			if lesson != "" {
				text.WriteByte('\n')
			}
			lesson = task.Lesson
			text.WriteString(visible.Text(lesson) + "\n")
		}
		text.WriteString("  " + in.Say("results.wrong.task", "task", visible.Text(strings.TrimPrefix(task.Task, lesson+": ")), "count", strconv.Itoa(task.Tried)) + "\n")
		for _, a := range task.Answers {
			line := in.Say("results.wrong.answer", "count", strconv.Itoa(a.Learners), "answer", visible.Text(a.Words()))
			if a.Reveals != "" {
				line += in.Say("results.wrong.reveals", "reveals", a.Reveals)
			}
			text.WriteString("    " + line + "\n")
		}
	}
	_, err := io.WriteString(w, text.String())
	return err
}
