package class

import (
	"cmp"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"handrule/scenarios/ask"
	"handrule/scenarios/lesson"
	"handrule/server/bench"
	"handrule/words"
)

// This file is where everybody stands: who is stuck, and which tasks go wrong and how.

// Standing is how a learner stands, as their bench told it last.
type Standing struct {
	bench.Standing
	Heard   time.Time             `json:"heard"`             // when they did anything last
	Reveals map[int][]ask.Thought `json:"reveals,omitempty"` // what wrong answers do, by stage, in a lesson with numbers of one's own
}

// heardStep keeps a standing the same while somebody is busy, so that it is not written down for every press.
const heardStep = 5 * time.Second

// StandingOf is how the learner of a bench stands. What was computed of their wrong answers is kept in insight.
func StandingOf(b *bench.Bench, heard time.Time, insight *Insight) Standing {
	s := Standing{Standing: b.Standing(), Heard: heard.UTC().Truncate(heardStep)}
	if s.Drawn {
		s.Reveals = insight.of(b.Lesson(), s.Stages)
	}
	return s
}

// Attendee is what the board is made of, of a learner.
type Attendee struct {
	BoardRow           // what it has beside the standing: who it is, and what is counted elsewhere
	Standing *Standing // nil where the learner's bench has told nothing yet
}

const (
	stuckTries  = 3   // failed tries in a row
	stuckFactor = 3.0 // times the median of those who have done the stage
	stuckLeast  = 120 // seconds that nobody is called stuck before
	// countsOfQuiet is the most that counts of a time in which somebody does nothing, as it does in the lesson.
	countsOfQuiet  = 2 * time.Minute
	mostTroubles   = 12
	mostWrongNamed = 200 // wrong answers of a task that are looked at
)

// place is a stage of a lesson. Where learners may have it in different places, it goes by its identity.
type place struct {
	lesson string
	stage  int
	id     string
}

// place is where the stage of that number is.
func (s *Standing) place(stage int) place {
	if stage >= 0 && stage < len(s.Stages) && s.Stages[stage].ID != "" {
		return place{lesson: s.Lesson, id: s.Stages[stage].ID}
	}
	return place{lesson: s.Lesson, stage: stage}
}

// Board is the class as its instructor sees it, from how everybody stands: a row for each, in their order, and the tasks that go
// wrong, the worst first.
func Board(all []Attendee, lessons *Shelf, in *words.Language, now time.Time) ([]BoardRow, []TroubleView) {
	passed := map[place][]int{} // how long it took, s
	for _, a := range all {
		if a.Standing == nil {
			continue
		}
		for i, stage := range a.Standing.Stages {
			if stage.Done && stage.Seconds > 0 {
				at := a.Standing.place(i)
				passed[at] = append(passed[at], stage.Seconds)
			}
		}
	}
	medians := map[place]float64{}
	for at, took := range passed {
		medians[at] = median(took)
	}
	rows := make([]BoardRow, 0, len(all))
	for _, a := range all {
		row := a.BoardRow
		if s := a.Standing; s != nil {
			row.QuietS = max(0, now.Sub(s.Heard).Seconds())
			s.fill(&row, lessons, in, now)
			if row.Here {
				row.Stuck = s.stuck(row.AtS, medians, in)
			}
		}
		rows = append(rows, row)
	}
	return rows, troubles(all, lessons, in)
}

// median of some numbers is the middle one, or between the two in the middle.
func median(all []int) float64 {
	sorted := slices.Sorted(slices.Values(all))
	n := len(sorted)
	return float64(sorted[(n-1)/2]+sorted[n/2]) / 2
}

// here is the stage that the learner is in; the zero value where they jog freely.
func (s *Standing) here() bench.StageStanding {
	if s.At < 0 || s.At >= len(s.Stages) {
		return bench.StageStanding{}
	}
	return s.Stages[s.At]
}

// fill tells where the learner is.
func (s *Standing) fill(row *BoardRow, lessons *Shelf, in *words.Language, now time.Time) {
	if s.Lesson == "" {
		return
	}
	row.Lesson, row.Title = titles(s, s.At, lessons, in)
	row.Stage, row.Stages = s.At+1, len(s.Stages)
	for _, stage := range s.Stages {
		if stage.Task {
			row.Tasks++
			if stage.Done {
				row.Done++
			}
		}
	}
	here := s.here()
	row.Tries, row.AtS = here.Tries, float64(here.Seconds)
	if !here.Done && !here.GivenUp {
		row.AtS += math.Max(0, math.Min(now.Sub(s.Heard).Seconds(), countsOfQuiet.Seconds()))
	}
}

// titles are those of a lesson and a stage, in the reader's language where the lesson is known here.
func titles(s *Standing, stage int, lessons *Shelf, in *words.Language) (lesson, title string) {
	if stage == s.At {
		title = s.Stage
	}
	l := lessons.In(s.Lesson, in)
	if l == nil {
		return s.Title, title
	}
	if at := lessons.stage(l, s.place(stage)); at >= 0 {
		title = l.Stages[at].Title
	}
	return l.Title, title
}

// stuck says in a few words why a learner seems to be: too many failed tries, or too long where others were not; "" where they do
// not.
func (s *Standing) stuck(at float64, medians map[place]float64, in *words.Language) string {
	here := s.here()
	if s.Lesson == "" || here.Done || here.GivenUp {
		return ""
	}
	var why []string
	if here.Task && here.Tries >= stuckTries { // all of them failed
		why = append(why, in.Say("class.stuck.tries", "count", strconv.Itoa(here.Tries)))
	}
	if middle, known := medians[s.place(s.At)]; known && at >= stuckLeast && at > stuckFactor*middle {
		why = append(why, in.Say("class.stuck.time", "at", minutes(at, in), "median", minutes(middle, in)))
	}
	return strings.Join(why, "; ")
}

// minutes writes a time as people say it.
func minutes(seconds float64, in *words.Language) string {
	if seconds < 600 {
		return in.Short(seconds/60, 1) + " min"
	}
	return in.Fixed(seconds/60, 0) + " min"
}

// troubles are the tasks that go wrong: those with the most failed tries, and of these those that the fewest have done.
func troubles(all []Attendee, lessons *Shelf, in *words.Language) []TroubleView {
	type trouble struct {
		place
		TroubleView
		first   *Standing // somebody who has it, as the stage of that number
		nth     int
		wrong   []lesson.Answer
		reveals [][]ask.Thought // of the same answers, where each has numbers of their own
	}
	found := map[place]*trouble{}
	for _, a := range all {
		s := a.Standing
		if s == nil {
			continue
		}
		for i, stage := range s.Stages {
			if !stage.Task {
				continue
			}
			at := s.place(i)
			t := found[at]
			if t == nil {
				t = &trouble{place: at, first: s, nth: i}
				found[at] = t
			}
			if i == s.At && !stage.Done {
				t.There++
			}
			if i == s.At {
				t.first, t.nth = s, i // who is there knows its title
			}
			failed := stage.Tries
			if stage.Done {
				t.Done++
				failed = max(0, failed-1)
			}
			t.Failed += failed
			if stage.Wrong != nil && len(t.wrong) < mostWrongNamed {
				t.wrong, t.reveals = append(t.wrong, *stage.Wrong), append(t.reveals, s.Reveals[i])
			}
		}
	}
	var list []*trouble
	for _, t := range found {
		if t.Failed > 0 {
			list = append(list, t)
		}
	}
	slices.SortFunc(list, func(x, y *trouble) int {
		return cmp.Or(cmp.Compare(y.Failed, x.Failed), cmp.Compare(x.TroubleView.Done, y.TroubleView.Done), cmp.Compare(x.lesson, y.lesson), cmp.Compare(x.stage, y.stage), cmp.Compare(x.id, y.id))
	})
	views := []TroubleView{}
	for _, t := range list[:min(len(list), mostTroubles)] {
		v := t.TroubleView
		v.Lesson, v.Stage = titles(t.first, t.nth, lessons, in)
		v.Stage = cmp.Or(v.Stage, in.Say("class.stage", "number", strconv.Itoa(t.nth+1)))
		v.How = how(t.wrong, t.reveals, t.place, lessons, in)
		views = append(views, v)
	}
	return views
}

// how tells what the wrong answers to a task reveal; nothing where that is not known. Where everybody has numbers of their own, what
// each reveals was computed with these.
func how(wrong []lesson.Answer, reveals [][]ask.Thought, at place, lessons *Shelf, in *words.Language) []GroupView {
	views := []GroupView{}
	if len(wrong) == 0 {
		return views
	}
	task := lessons.Task(at, in)
	if task == nil {
		return views
	}
	var answers []ask.Answer
	var dealt []ask.Dealt
	for i, w := range wrong {
		a, err := task.Take(w)
		switch {
		case err != nil:
		case at.id != "":
			dealt = append(dealt, ask.Dealt{Answer: a, Thoughts: reveals[i]})
		case !task.Right(a): // a lesson may be stricter
			answers = append(answers, a)
		}
	}
	groups := task.Groups(answers, in)
	if at.id != "" {
		groups = task.GroupsOfDealt(dealt, in)
	}
	for _, g := range groups {
		views = append(views, GroupView{Given: g.Given, Name: g.Name, Says: g.Says, Count: len(g.Members), Arrow: arrow(g.Arrow)})
	}
	return views
}

// Board is the class as its instructor sees it.
func (c *Class) Board(in *words.Language, now time.Time) BoardView {
	v := BoardView{Asked: c.Asked(in)}
	v.Rows, v.Troubles = Board(c.attendees(), c.lessons, in, now)
	return v
}

// attendees are those who joined, in the order in which they did, which tells no names.
func (c *Class) attendees() (all []Attendee) {
	if c.head == nil {
		return nil
	}
	var ids []string
	for id, p := range c.people {
		if !p.Removed {
			ids = append(ids, id)
		}
	}
	slices.SortFunc(ids, func(x, y string) int {
		return cmp.Or(c.people[x].Joined.Compare(c.people[y].Joined), cmp.Compare(x, y))
	})
	for _, id := range ids {
		all = append(all, Attendee{BoardRow{
			Learner: id, Name: c.nameOf(id), Here: c.here[id], Hand: c.hands[id] != nil, Results: len(c.results[id]), Right: c.rightAtLast(id), Drives: c.head.Driver == id,
		}, c.standings[id]})
	}
	return all
}
