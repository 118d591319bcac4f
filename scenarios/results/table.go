package results

import (
	"fmt"
	"io"
	"math"
	"strconv"

	"handrule/internal/table"
)

// Row is a file in the table of a class.
type Row struct {
	File   string
	Result Result
	Err    error // why it does not count; nil where it does
}

// columns are those of the table. Errors are the mean of their size, of the answers that are kept: of each task the first ones
// and the last. They are in degrees where an arrow was drawn.
var columns = []string{
	"file", "verified", "learner", "lesson", "seed", "finished", "tasks", "done", "given_up", "tries", "minutes", "jogs", "contacts", "hints",
	"first_try", "answers", "right", "mean_error", "error_unit", "tries_vouched",
}

// WriteCSV writes a table with a row a file, for a gradebook. A file that does not count has no numbers, so that none are
// copied by mistake.
func WriteCSV(w io.Writer, rows []Row) error {
	t := table.New(w)
	t.Row(columns...)
	for _, row := range rows {
		cells := []string{row.File, "no: " + fmt.Sprint(row.Err)}
		if row.Err == nil {
			cells = append([]string{row.File, "yes"}, row.Result.cells()...)
		}
		for len(cells) < len(columns) {
			cells = append(cells, "")
		}
		t.Row(cells...)
	}
	return t.End()
}

func (r Result) cells() []string {
	var tasks, done, givenUp, tries, jogs, contacts, hints, first, answers, right int
	seconds, sum, errors, unit := 0.0, 0.0, 0, ""
	for _, s := range r.Progress.Stages {
		seconds += s.Seconds
		jogs += s.Jogs
		contacts += s.Contacts
		hints += s.Hints
		tries += s.Tries
		if s.Task != "" {
			tasks++
		}
		if s.GivenUp {
			givenUp++
		}
		if s.Done && s.Task != "" {
			done++
			if s.Tries == 1 {
				first++
			}
		}
		if len(s.Answers) > 0 { // Every answer is a try; of many only some are kept.
			answers += s.Tries
			if s.Done {
				right++
			}
		}
		for _, a := range s.Answers {
			// Errors of one unit can be averaged; the first that is an angle or a length decides which.
			if a.Error == nil || a.Unit == "joints" || a.Unit == "options" || unit != "" && a.Unit != unit {
				continue
			}
			unit = a.Unit
			sum += math.Abs(*a.Error)
			errors++
		}
	}
	mean := ""
	if errors > 0 {
		mean = strconv.FormatFloat(sum/float64(errors), 'f', 2, 64)
	}
	vouched := "no"
	if r.TriesVouched {
		vouched = "yes"
	}
	n := strconv.Itoa
	return []string{
		r.Learner, r.Progress.Title, strconv.FormatUint(r.Progress.Seed, 10), r.Finished.Format("2006-01-02 15:04"),
		n(tasks), n(done), n(givenUp), n(tries), strconv.FormatFloat(seconds/60, 'f', 1, 64), n(jogs), n(contacts), n(hints), n(first), n(answers), n(right), mean, unit, vouched,
	}
}
