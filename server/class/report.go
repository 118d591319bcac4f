package class

import (
	"cmp"
	"html"
	"maps"
	"slices"
	"strconv"
	"time"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/scenarios/ask"
	"handrule/words"
)

// Report is a class on paper: what was asked, how it was answered, and where everybody stands.
type Report struct {
	Code, Title    string
	Opened, Ended  time.Time // Ended is zero while it goes on
	Learners, Here int
	Results        int
	Named          bool // learners are told by name
	Asked          []ReportQuestion
	Lessons        []ReportLesson
	Rows           []BoardRow // of those who are told by name
	Troubles       []TroubleView
	Stuck          int // how many seem to be
}

// ReportQuestion is a question with its rounds beside each other.
type ReportQuestion struct {
	Number           int
	Text, Right, Why string
	Rounds           []ReportRound
	Groups           []ReportGroup // the largest of the last round first
	Graded           bool
}

// ReportRound is a round of a question.
type ReportRound struct {
	Given int
	Right int
	Ball  string // of its arrows, an SVG; "" where the answers are none
}

// ReportGroup is answers that reveal the same, with how many there were in each round.
type ReportGroup struct {
	Mark              string // that it has on the ball; "" where it has no place there
	Name, Says, Given string
	Right             bool
	Counts            []int      // by round
	Who               [][]string // their names, by round; nil where none are told
}

// ReportLesson is how far those have come who are in a lesson.
type ReportLesson struct {
	Title    string
	Learners int // whose stage is in it
	Done     int // tasks, in all
	Tasks    int // likewise
	Finished int // learners who have done every task
}

// Report writes the class down for paper. Learners are told by name only where that is asked for.
func (c *Class) Report(named bool, in *words.Language, now time.Time) Report {
	view := c.View(now)
	r := Report{Code: c.Code, Title: view.Title, Learners: view.Learners, Here: view.Here, Named: named, Results: len(c.Results())}
	if c.head == nil {
		return r
	}
	r.Opened, r.Ended = c.head.Opened, c.head.Ended
	for _, n := range slices.Sorted(maps.Keys(c.questions)) {
		if k := c.know(n); k != nil {
			r.Asked = append(r.Asked, c.reported(n, c.questions[n].Round, k.asked, named, in))
		}
	}
	attendees := c.attendees()
	for i := range attendees {
		if attendees[i].Name = ""; named {
			attendees[i].Name = c.people[attendees[i].Learner].Name
		}
	}
	rows, troubles := Board(attendees, c.lessons, in, now)
	r.Troubles, r.Lessons = troubles, lessonsOf(rows)
	for _, row := range rows {
		if row.Stuck != "" {
			r.Stuck++
		}
	}
	if named {
		r.Rows = rows
		slices.SortStableFunc(r.Rows, func(x, y BoardRow) int { return cmp.Compare(x.Name, y.Name) })
	}
	return r
}

// reported is a question with its rounds.
func (c *Class) reported(n, rounds int, a *ask.Asked, named bool, in *words.Language) ReportQuestion {
	q := ReportQuestion{Number: n, Text: a.Words(in), Right: a.RightWords(in), Why: a.Why(in), Graded: a.Graded()}
	type drawn struct {
		arrows [][3]float64
		means  map[string]r3.Vec // by the group's name
	}
	balls := make([]drawn, rounds)
	at := map[string]int{} // groups by name
	for round := 1; round <= rounds; round++ {
		ids, answers := c.answersIn(roundOf{n, round}, a)
		seen := ReportRound{Given: len(answers)}
		ball := &balls[round-1]
		ball.means = map[string]r3.Vec{}
		for i := range answers {
			if answers[i].Arrow != nil {
				ball.arrows = append(ball.arrows, *arrow(answers[i].Arrow))
			}
		}
		for _, g := range a.Groups(answers, in) {
			i, there := at[g.Name]
			if !there {
				i, at[g.Name] = len(q.Groups), len(q.Groups)
				q.Groups = append(q.Groups, ReportGroup{Name: g.Name, Says: g.Says, Given: g.Given, Right: g.Right, Counts: make([]int, rounds), Who: make([][]string, rounds)})
			}
			group := &q.Groups[i]
			group.Counts[round-1] = len(g.Members)
			if g.Right {
				seen.Right = len(g.Members)
			}
			if g.Arrow != nil {
				ball.means[g.Name] = *g.Arrow
			}
			for _, member := range g.Members {
				if p := c.people[ids[member]]; named && p != nil {
					group.Who[round-1] = append(group.Who[round-1], p.Name)
				}
			}
			slices.Sort(group.Who[round-1])
		}
		q.Rounds = append(q.Rounds, seen)
	}
	slices.SortStableFunc(q.Groups, func(g, h ReportGroup) int {
		return cmp.Compare(h.Counts[rounds-1], g.Counts[rounds-1])
	})
	for i := range q.Groups {
		for _, ball := range balls {
			if _, has := ball.means[q.Groups[i].Name]; has {
				q.Groups[i].Mark = mark(i)
			}
		}
	}
	truth := a.Truth().Arrow
	for i, ball := range balls {
		if len(ball.arrows) == 0 {
			continue
		}
		var means []marked
		for k := range q.Groups {
			if way, has := ball.means[q.Groups[k].Name]; has {
				means = append(means, marked{way, q.Groups[k].Mark})
			}
		}
		q.Rounds[i].Ball = drawBall(ball.arrows, means, truth, i+1, in)
	}
	return q
}

func drawBall(arrows [][3]float64, means []marked, truth *r3.Vec, round int, in *words.Language) string {
	return ball(arrows, means, truth, html.EscapeString(in.Say("report.ball", "round", strconv.Itoa(round), "count", strconv.Itoa(len(arrows)))))
}

// mark is the letter of a group.
func mark(i int) string { return string(rune('a' + i%26)) }

// lessonsOf tells how far those have come who are in lessons, the lesson with the most of them first.
func lessonsOf(rows []BoardRow) (all []ReportLesson) {
	for _, row := range rows {
		if row.Lesson == "" {
			continue
		}
		i := slices.IndexFunc(all, func(l ReportLesson) bool { return l.Title == row.Lesson })
		if i < 0 {
			i, all = len(all), append(all, ReportLesson{Title: row.Lesson})
		}
		l := &all[i]
		l.Learners++
		l.Done += row.Done
		l.Tasks += row.Tasks
		if row.Tasks > 0 && row.Done == row.Tasks {
			l.Finished++
		}
	}
	slices.SortStableFunc(all, func(x, y ReportLesson) int {
		return cmp.Or(cmp.Compare(y.Learners, x.Learners), cmp.Compare(x.Title, y.Title))
	})
	return all
}
