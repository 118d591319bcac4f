package results

import (
	"cmp"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"handrule/internal/table"
	"handrule/scenarios/lesson"
)

// Row is a file of a class.
type Row struct {
	File     string
	Result   Result
	Err      error // why it does not count; nil where it does
	Practice bool  // nobody vouches for it, and it is told apart from those that count

	same string // the file that it is the same as; "" where it is new
}

// Take says which of a learner's results of a lesson are in the table.
type Take string

// What can be taken.
const (
	TakeBest  Take = "best"  // the one with the most points; of equal ones the first
	TakeLast  Take = "last"  // the one that was finished last
	TakeEvery Take = "every" // all of them
)

// Table says how a table is written.
type Table struct {
	Take Take
	Zone *time.Location // of the times
	BOM  bool           // a byte order mark before it all, by which some spreadsheets know UTF-8
	Tell []string       // which of Identifiers are told; nil: all

	// Reveals says what a wrong answer to a stage of the result reveals, "" where that is not known. Nil: nothing is.
	Reveals func(r *Result, stage int, given lesson.Given) string
}

// Identifiers are the columns that tell whose result it is.
var Identifiers = []string{"learner", "number", "email"}

// left are the places of the columns that are left out.
func (t Table) left() (left []int) {
	for i, column := range columns {
		if t.Tell != nil && slices.Contains(Identifiers, column) && !slices.Contains(t.Tell, column) {
			left = append(left, i)
		}
	}
	return left
}

// columns are those of the table before those of the stages. Errors are the mean of their size, of the answers that are kept: of
// each task the first ones and the last. They are in degrees where an arrow was drawn.
var columns = []string{
	"file", "verified", "learner", "number", "email", "lesson", "finished", "score", "points", "files", "begun", "note", "tries_vouched", "seed",
	"tasks", "done", "given_up", "tries", "minutes", "extra_minutes", "jogs", "contacts", "hints", "first_try", "answers", "right", "mean_error", "error_unit",
}

// Write writes a table with a row for every learner and lesson, or for every file, for a gradebook. A file that does not count
// has a row without numbers, so that none are copied by mistake. Practice comes after all that counts.
func (t Table) Write(w io.Writer, rows []Row) error {
	if t.BOM {
		if _, err := io.WriteString(w, table.BOM); err != nil {
			return err
		}
	}
	rows, notes := t.taken(rows)
	stages := stagesOf(rows)
	out := table.New(w)
	head := slices.Clone(columns)
	for _, s := range stages {
		head = append(head, s.head)
	}
	left := t.left()
	write := func(cells []string) {
		for i := len(left) - 1; i >= 0; i-- {
			cells = slices.Delete(cells, left[i], left[i]+1)
		}
		out.Row(cells...)
	}
	write(slices.Clone(head))
	for i, row := range rows {
		cells := []string{row.File, "no: " + fmt.Sprint(row.Err)}
		if row.Err == nil {
			cells = row.cells(notes[i], t.Zone)
			for _, s := range stages {
				cells = append(cells, s.of(&row.Result))
			}
		}
		for len(cells) < len(head) {
			cells = append(cells, "")
		}
		write(cells)
	}
	return out.End()
}

// note is what is told of a row beside its result.
type note struct {
	files int // of this learner and lesson
	begun int // how often that was begun, as the results tell; 0: not known
	words []string
}

// Same returns which of the rows were handed in before, each with the file it is the same as. Files in two folders may have one name.
func Same(rows []Row) map[int]string {
	same, first := map[int]string{}, map[string]string{}
	for i, row := range rows {
		if row.Err != nil {
			continue
		}
		r := row.Result
		is := fmt.Sprintf("%q", []string{r.Progress.Lesson, r.who(), strconv.FormatUint(r.Progress.Seed, 10), r.Finished.String(), r.Key})
		if before, twice := first[is]; twice {
			same[i] = before
		} else {
			first[is] = row.File
		}
	}
	return same
}

// taken returns the rows that are to be written, with what is to be told of each.
func (t Table) taken(rows []Row) (taken []Row, notes []note) {
	same := Same(rows)
	numbers := map[string][]Row{} // that have the same numbers
	groups, order := map[string][]Row{}, []string{}
	for i, row := range rows {
		r := row.Result
		if before, again := same[i]; again {
			if t.Take != TakeEvery {
				continue
			}
			row.same = before
		}
		group := strconv.Itoa(i)
		if row.Err == nil {
			deal := fmt.Sprintf("%q %d", r.Progress.Lesson, r.Progress.Seed)
			numbers[deal] = append(numbers[deal], row)
			if t.Take != TakeEvery {
				group = fmt.Sprintf("%v %q %q", row.Practice, r.Progress.Lesson, r.who())
			}
		}
		if groups[group] == nil {
			order = append(order, group)
		}
		groups[group] = append(groups[group], row)
	}
	slices.SortStableFunc(order, func(a, b string) int { // Practice comes last.
		return cmp.Compare(lateness(groups[a]), lateness(groups[b]))
	})
	for _, name := range order {
		group := groups[name]
		row := t.chosen(group)
		n := note{files: len(group)}
		if row.same != "" {
			n.words = append(n.words, "the same result as "+row.same)
		}
		for _, other := range group {
			n.begun = max(n.begun, other.Result.Progress.Times)
		}
		for _, other := range group { // A number mistyped as another's would hide one of them.
			name := other.Result.Learner
			if plainly(name) == plainly(row.Result.Learner) {
				continue
			}
			if t.Tell != nil && !slices.Contains(t.Tell, "learner") {
				name = "another name"
			}
			if also := "also handed in as " + name; !slices.Contains(n.words, also) {
				n.words = append(n.words, also)
			}
		}
		if r := row.Result; row.Err == nil && r.Assessment {
			for _, other := range numbers[fmt.Sprintf("%q %d", r.Progress.Lesson, r.Progress.Seed)] {
				if other.Result.who() != r.who() {
					n.words = append(n.words, "the same numbers as "+other.File)
				}
			}
		}
		taken, notes = append(taken, row), append(notes, n)
	}
	return taken, notes
}

// lateness is where rows come among those of others: practice after what counts.
func lateness(rows []Row) int {
	if rows[0].Practice {
		return 1
	}
	return 0
}

// chosen is the one of a learner's rows that is taken.
func (t Table) chosen(rows []Row) Row {
	best := rows[0]
	for _, row := range rows[1:] {
		score, _ := row.Result.Score()
		most, _ := best.Result.Score()
		if t.Take == TakeLast && row.Result.Finished.After(best.Result.Finished) || t.Take == TakeBest && score > most {
			best = row
		}
	}
	return best
}

// who is the learner as rows are put together by: by what the instructor knows best.
func (r Result) who() string { return plainly(cmp.Or(r.Number, r.Email, r.Learner)) }

// plainly is a name without what people write in one way or another: capitals, and more than one space.
func plainly(name string) string { return strings.ToLower(strings.Join(strings.Fields(name), " ")) }

// Score returns the points that were earned and those that there are. Where a lesson is no assessment, every task is a point.
func (r Result) Score() (earned, points float64) {
	for i := range r.Progress.Stages {
		e, p := r.stageScore(&r.Progress.Stages[i])
		earned, points = earned+e, points+p
	}
	return earned, points
}

func (r Result) stageScore(s *lesson.StageProgress) (earned, points float64) {
	switch {
	case s.Task == "":
		return 0, 0
	case r.Assessment:
		return s.Earned, s.Points
	case s.Done:
		return 1, 1
	}
	return 0, 1
}

// stageColumn is the column of a stage, or of a question that comes in several shapes.
type stageColumn struct{ lesson, key, head string }

// stageKey is what a stage is known by among those of other learners.
func stageKey(s *lesson.StageProgress, at int) string {
	return cmp.Or(s.ShapeOf, s.ID, strconv.Itoa(at))
}

// stagesOf returns the columns of the stages with a task, in the order of the results.
func stagesOf(rows []Row) (all []stageColumn) {
	lessons, heads := map[string]bool{}, map[string]int{}
	for _, row := range rows {
		if row.Err == nil {
			lessons[row.Result.Progress.Lesson] = true
		}
	}
	for _, row := range rows {
		if row.Err != nil {
			continue
		}
		p := &row.Result.Progress
		for i := range p.Stages {
			s := &p.Stages[i]
			key := stageKey(s, i)
			known := slices.ContainsFunc(all, func(c stageColumn) bool { return c.lesson == p.Lesson && c.key == key })
			if s.Task == "" || known {
				continue
			}
			head := cmp.Or(s.ShapeOf, s.Title, fmt.Sprintf("stage %d", i+1))
			if len(lessons) > 1 {
				head = cmp.Or(p.Title, p.Lesson) + ": " + head
			}
			if heads[head]++; heads[head] > 1 {
				head = fmt.Sprintf("%s (%d)", head, heads[head])
			}
			all = append(all, stageColumn{p.Lesson, key, head})
		}
	}
	return all
}

// of is the cell of a result in the column: the points that were earned.
func (c stageColumn) of(r *Result) string {
	if r.Progress.Lesson != c.lesson {
		return ""
	}
	for i := range r.Progress.Stages {
		s := &r.Progress.Stages[i]
		if s.Task != "" && stageKey(s, i) == c.key {
			earned, _ := r.stageScore(s)
			return number(earned)
		}
	}
	return ""
}

// number writes points as short as they are.
func number(x float64) string { return strconv.FormatFloat(math.Round(x*1000)/1000, 'f', -1, 64) }

func (row Row) cells(n note, zone *time.Location) []string {
	r := row.Result
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
	verified, vouched := "yes", "no"
	if row.Practice {
		verified = "practice"
	}
	if r.TriesVouched && !row.Practice {
		vouched = "yes"
	}
	extra := ""
	if p := r.Progress; p.Extra > 0 {
		extra = fmt.Sprintf("%d for %s", p.Extra, p.ExtraFor)
	}
	earned, points := r.Score()
	whole := strconv.Itoa
	begun := ""
	if n.begun > 0 {
		begun = whole(n.begun)
	}
	return []string{
		row.File, verified, r.Learner, r.Number, r.Email, cmp.Or(r.Progress.Title, r.Progress.Lesson), r.Finished.In(zone).Format("2006-01-02 15:04 -07:00"),
		number(earned), number(points), whole(n.files), begun, strings.Join(n.words, "; "), vouched, strconv.FormatUint(r.Progress.Seed, 10),
		whole(tasks), whole(done), whole(givenUp), whole(tries), strconv.FormatFloat(seconds/60, 'f', 1, 64), extra, whole(jogs), whole(contacts), whole(hints),
		whole(first), whole(answers), whole(right), mean, unit,
	}
}
