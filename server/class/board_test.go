package class_test

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/scenarios"
	"handrule/scenarios/lesson"
	"handrule/server/bench"
	"handrule/server/class"
	"handrule/words"
)

var noon = time.Date(2026, 1, 1, 12, 0, 0, 0, time.UTC)

func shelf() *class.Shelf {
	all := scenarios.ShippedLessons()
	return class.NewShelf(func(id string) *lesson.Lesson {
		for _, l := range all {
			if l.ID == id {
				return l
			}
		}
		return nil
	})
}

// standing is one of a learner at a stage, from 0, with the seconds spent in each stage so far; all before it are done.
func standing(lesson string, at int, seconds ...int) *class.Standing {
	s := &class.Standing{Heard: noon, Standing: bench.Standing{Lesson: lesson, Title: "Own", At: at, Stage: "Here"}}
	for i, took := range seconds {
		s.Stages = append(s.Stages, bench.StageStanding{Task: true, Done: i < at, Seconds: took, Tries: map[bool]int{true: 1}[i < at]})
	}
	return s
}

func attendee(id string, s *class.Standing) class.Attendee {
	return class.Attendee{BoardRow: class.BoardRow{Learner: id, Name: strings.ToUpper(id), Here: true}, Standing: s}
}

func TestTheBoardOfNobodyAndOfOne(t *testing.T) {
	rows, troubles := class.Board(nil, shelf(), words.English, noon)
	if rows == nil || troubles == nil || len(rows)+len(troubles) != 0 {
		t.Errorf("%v %v", rows, troubles)
	}
	for _, s := range []*class.Standing{nil, {Heard: noon}, standing("own", 1, 600, 4000)} {
		rows, _ := class.Board([]class.Attendee{attendee("a", s)}, shelf(), words.English, noon.Add(time.Minute))
		if len(rows) != 1 || rows[0].Stuck != "" || rows[0].Name != "A" {
			t.Errorf("%+v", rows)
		}
		if s != nil && rows[0].QuietS != 60 || s != nil && s.Lesson != "" && (rows[0].AtS != 4060 || rows[0].Lesson != "Own" || rows[0].Title != "Here" || rows[0].Stage != 2 || rows[0].Done != 1 || rows[0].Tasks != 2) {
			t.Errorf("%+v", rows[0])
		}
	}
}

// Who is stuck: three failed tries in a row, or longer than three times the median of those who passed, and two minutes at least.
func TestWhoIsStuck(t *testing.T) {
	in := words.English
	class60 := func(own *class.Standing) []class.Attendee { // others took 40, 60 and 80 s
		all := []class.Attendee{attendee("a", own)}
		for i, took := range []int{80, 40, 60} {
			all = append(all, attendee(fmt.Sprint("b", i), standing("own", 1, took, 0)))
		}
		return all
	}
	tried := func(n int, done bool) *class.Standing {
		s := standing("own", 0, 20, 0)
		s.Stages[0].Tries, s.Stages[0].Done = n, done
		return s
	}
	away := class60(standing("own", 0, 900, 0))
	away[0].Here = false
	for _, c := range []struct {
		all  []class.Attendee
		want string
	}{
		{class60(standing("own", 0, 175, 0)), ""},
		{class60(standing("own", 0, 180, 0)), ""}, // not longer than three times 60 s
		{class60(standing("own", 0, 185, 0)), "3.1 min here, others 1 min"},
		{class60(standing("other", 0, 900, 0)), ""},
		{class60(tried(2, false)), ""},
		{class60(tried(3, false)), "3 failed tries"},
		{class60(tried(9, true)), ""},
		{away, ""},
		{[]class.Attendee{attendee("a", standing("own", 0, 100, 0)), attendee("b", standing("own", 1, 5, 0))}, ""}, // below two minutes
		{[]class.Attendee{attendee("a", standing("own", 0, 150, 0)), attendee("b", standing("own", 1, 40, 0)), attendee("c", standing("own", 1, 45, 0))}, "2.5 min here, others 0.7 min"},
	} {
		rows, _ := class.Board(c.all, shelf(), in, noon)
		if rows[0].Stuck != c.want {
			t.Errorf("%+v: %q, want %q", c.all[0].Standing, rows[0].Stuck, c.want)
		}
		for _, row := range rows[1:] {
			if row.Stuck != "" {
				t.Errorf("%+v", row)
			}
		}
	}
	// Time goes on while nothing is heard, but no more than two minutes of it count.
	rows, _ := class.Board(class60(standing("own", 0, 100, 0)), shelf(), in, noon.Add(10*time.Minute))
	if rows[0].Stuck == "" || rows[0].AtS != 220 || rows[0].QuietS != 600 {
		t.Errorf("%+v", rows[0])
	}
}

// The tasks that go wrong are told with what the wrong answers reveal, in the reader's language.
func TestWhatGoesWrongAndHow(t *testing.T) {
	find := shelf()
	l := find.In("the-right-hand", words.English)
	stage := -1
	for i := range l.Stages {
		if p := l.Stages[i].Predict; p != nil && p.Ask == "direction" && stage < 0 {
			stage = i
		}
	}
	if stage < 0 {
		t.Fatal("the lesson has no question for a direction any more")
	}
	d, err := l.Drive(l.Stages[stage].Begin)
	if err != nil {
		t.Fatal(err)
	}
	truth, err := l.Stages[stage].Predict.Truth(l, d)
	if err != nil {
		t.Fatal(err)
	}
	back := r3.Scale(-1, *truth.Answer.Arrow)
	var all []class.Attendee
	for i := range 5 {
		s := standing(l.ID, stage, make([]int, len(l.Stages))...)
		s.Stages[stage].Tries = i // the first has not tried
		if i > 0 {
			s.Stages[stage].Wrong = &lesson.Answer{Arrow: &back}
		}
		all = append(all, attendee(fmt.Sprint("a", i), s))
	}
	all[4].Standing.Stages[stage].Done = true
	all = append(all, attendee("b", standing("own", 1, 5, 0)))
	all[5].Standing.Stages[0].Tries = 2
	for _, in := range words.Languages {
		rows, troubles := class.Board(all, find, in, noon)
		if len(troubles) != 2 {
			t.Fatalf("%+v", troubles)
		}
		first := troubles[0]
		if first.Failed != 1+2+3+3 || first.There != 4 || first.Done != 1 || len(first.How) != 1 || first.How[0].Count != 4 || !strings.Contains(first.How[0].Name, in.Say("ask.group.minus")) {
			t.Errorf("%+v", first)
		}
		if want := find.In(l.ID, in); first.Lesson != want.Title || first.Stage != want.Stages[stage].Title || rows[0].Title != want.Stages[stage].Title {
			t.Errorf("%s: %+v", in.Code, first)
		}
		if second := troubles[1]; second.Failed != 1 || second.Stage != in.Say("class.stage", "number", "1") || second.How == nil {
			t.Errorf("%+v", second)
		}
	}
	if rows, _ := class.Board(all, find, words.English, noon); rows[3].Stuck != "3 failed tries" || rows[4].Stuck != "" {
		t.Errorf("%+v", rows)
	}
}

// Where two tasks go equally wrong, their order is the same each time.
func TestTroublesHaveAnOrder(t *testing.T) {
	var all []class.Attendee
	for i := range 40 {
		s := standing(fmt.Sprint("lesson-", i%20), 0, 10, 10)
		s.Stages[0].Tries = 1 + i%2
		all = append(all, attendee(fmt.Sprint(i), s))
	}
	_, first := class.Board(all, shelf(), words.English, noon)
	for range 20 {
		if _, again := class.Board(all, shelf(), words.English, noon); fmt.Sprint(again) != fmt.Sprint(first) || len(again) != 12 {
			t.Fatalf("%v\n%v", first, again)
		}
	}
}

// big is a class of 300 that is spread over the shipped lessons, with wrong answers.
func big() (all []class.Attendee) {
	rnd := rand.New(rand.NewPCG(3, 300))
	lessons := scenarios.ShippedLessons()
	for i := range 300 {
		l := lessons[rnd.IntN(len(lessons))]
		at := rnd.IntN(len(l.Stages))
		seconds := make([]int, len(l.Stages))
		for k := range seconds {
			if k <= at {
				seconds[k] = 10 + rnd.IntN(600)
			}
		}
		s := standing(l.ID, at, seconds...)
		for k := range s.Stages {
			task := l.Stages[k].Task
			s.Stages[k].Task = task != nil
			if p, is := task.(*lesson.Predict); is && k <= at && rnd.IntN(2) == 0 {
				s.Stages[k].Tries += 1 + rnd.IntN(4)
				switch p.Ask {
				case "direction":
					s.Stages[k].Wrong = &lesson.Answer{Arrow: &r3.Vec{X: rnd.NormFloat64(), Y: rnd.NormFloat64(), Z: rnd.NormFloat64()}}
				case "joints":
					s.Stages[k].Wrong = &lesson.Answer{Joints: []int{rnd.IntN(6)}}
				case "stop":
					s.Stages[k].Wrong = &lesson.Answer{Stop: "nothing"}
				}
			}
		}
		all = append(all, attendee(fmt.Sprint(i), s))
	}
	return all
}

func TestTheBoardOfThreeHundred(t *testing.T) {
	all := big()
	rows, troubles := class.Board(all, shelf(), words.English, noon)
	stuck, told := 0, 0
	for i, row := range rows {
		if row.Learner != all[i].Learner || row.Stages == 0 {
			t.Errorf("%+v", row)
		}
		if row.Stuck != "" {
			stuck++
		}
	}
	for _, trouble := range troubles {
		for _, g := range trouble.How {
			told += g.Count
		}
	}
	if len(rows) != 300 || stuck == 0 || stuck > 200 || len(troubles) != 12 || told == 0 {
		t.Errorf("%d rows, %d stuck, %d troubles, %d answers told", len(rows), stuck, len(troubles), told)
	}
}

func BenchmarkBoardOfThreeHundred(b *testing.B) {
	all, find := big(), shelf()
	class.Board(all, find, words.English, noon) // what is computed once
	for b.Loop() {
		class.Board(all, find, words.English, noon)
	}
}

// In an assessment with numbers of everybody's own, wrong answers are told by what was thought and not by the number: the same mistake
// with other numbers is one group. What each planted mistake comes to is worked out here: the tile's slope is 25°, Wren's base frame is
// 300 mm above the table, and with J5 at 90° the pen's tip begins at X 320 and Z 110.
func TestWhatGoesWrongWithNumbersOfOnesOwn(t *testing.T) {
	find := shelf()
	file := find.In("assessment", words.English)
	type planted struct {
		stage string
		wrong func(l *lesson.Lesson) (lesson.Answer, bool) // false where these numbers do not let one err so
		count int
		name  string // of the group, a key
	}
	stageOf := func(l *lesson.Lesson, title string) *lesson.Stage {
		return &l.Stages[slices.IndexFunc(l.Stages, func(s lesson.Stage) bool { return s.Title == title })]
	}
	amount := func(l *lesson.Lesson, title string) float64 { return stageOf(l, title).Read.After[0].Amount }
	number := func(x float64) (lesson.Answer, bool) { return lesson.Answer{Number: &x}, true }
	rises := math.Sin(25 * math.Pi / 180)
	all := []planted{
		{"A reading", func(l *lesson.Lesson) (lesson.Answer, bool) { return number(110 / 25.4) }, 5, "ask.group.before"},
		{"A reading", func(l *lesson.Lesson) (lesson.Answer, bool) {
			return number(110 - amount(l, "A reading"))
		}, 4, "ask.group.mm"},
		{"A reading", func(l *lesson.Lesson) (lesson.Answer, bool) {
			return number((110 + amount(l, "A reading")) / 25.4)
		}, 3, "ask.group.backwards"},
		{"Up the slope", func(l *lesson.Lesson) (lesson.Answer, bool) {
			return number(410 + amount(l, "Up the slope"))
		}, 6, "ask.group.whole-way"},
		{"Up the slope", func(l *lesson.Lesson) (lesson.Answer, bool) {
			return number(110 + rises*amount(l, "Up the slope"))
		}, 4, "ask.group.origin"},
		{"What stops it?", func(l *lesson.Lesson) (lesson.Answer, bool) {
			p := stageOf(l, "What stops it?")
			bend, more := kinematics.Degrees(p.Begin[4]), kinematics.Degrees(p.Predict.Jog[0].Amount)
			return lesson.Answer{Stop: "nothing"}, bend+more > 120
		}, 3, "ask.group.nothing"},
		{"A prediction", func(l *lesson.Lesson) (lesson.Answer, bool) {
			return lesson.Answer{Direction: map[bool]string{true: "x +", false: "x -"}[stageOf(l, "A prediction").Predict.Jog[0].Sign > 0]}, true
		}, 7, "ask.group.minus"},
		{"Turn about the tip", func(l *lesson.Lesson) (lesson.Answer, bool) { // for plus the flange goes to −Y
			return lesson.Answer{Direction: map[bool]string{true: "y +", false: "y -"}[stageOf(l, "Turn about the tip").Predict.Jog[0].Sign > 0]}, true
		}, 3, "ask.group.minus"},
		{"Turn about the tip", func(l *lesson.Lesson) (lesson.Answer, bool) {
			return lesson.Answer{Direction: "x +"}, true
		}, 4, "ask.group.flange-axis"},
		{"Who works?", func(l *lesson.Lesson) (lesson.Answer, bool) {
			return lesson.Answer{Joints: []int{1}}, true
		}, 5, "ask.group.one"},
	}
	rnd := rand.New(rand.NewPCG(18, 3))
	var attendees []class.Attendee
	for i, p := range all {
		for n := 0; n < p.count; {
			b := bench.New(&bench.Offer{Arms: scenarios.ShippedArms(), Cells: scenarios.ShippedCells(), Lessons: scenarios.ShippedLessons()}, bench.Env{Random: rnd.Uint64})
			b.Connect(bench.Welcome{}, words.English)
			do := func(request any) {
				if err := b.Handle(request, noon); err != nil {
					t.Fatal(err)
				}
				for q := b.Question(); q != nil; q = b.Question() {
					for !q.Work() {
					}
					b.Answer(q)
				}
			}
			do(&bench.LessonRequest{ID: "assessment"})
			do(&bench.StageRequest{Do: "begin"})
			l := b.Lesson()
			answer, errs := p.wrong(l)
			if !errs {
				continue
			}
			n++
			at := slices.IndexFunc(l.Stages, func(s lesson.Stage) bool { return s.Title == p.stage })
			do(&bench.StageRequest{Do: "go", Stage: at})
			do(&bench.AnswerRequest{Direction: answer.Direction, Stop: answer.Stop, Number: answer.Number, Joints: answer.Joints})
			s := class.StandingOf(b, noon, new(class.Insight))
			text, err := json.Marshal(s)
			if err != nil {
				t.Fatal(err)
			}
			var kept class.Standing // as it comes back from where it is kept
			if err := json.Unmarshal(text, &kept); err != nil {
				t.Fatal(err)
			}
			if len(text) > 2500 {
				t.Errorf("a standing of %d bytes", len(text))
			}
			attendees = append(attendees, attendee(fmt.Sprint(i, n), &kept))
		}
	}
	for _, in := range words.Languages {
		_, troubles := class.Board(attendees, find, in, noon)
		for _, p := range all {
			title := file.In(in).Stages[slices.IndexFunc(file.Stages, func(s lesson.Stage) bool { return s.Title == p.stage })].Title
			found := 0
			for _, trouble := range troubles {
				if trouble.Stage != title {
					continue
				}
				for _, g := range trouble.How {
					// A name may go on with what these arms cannot tell apart.
					if name, _, _ := strings.Cut(in.Say(p.name), "{"); strings.HasPrefix(g.Name, name) && g.Count == p.count {
						found++
					}
				}
			}
			if found != 1 {
				t.Errorf("%s, %s: %s: %d groups in %+v", in.Code, p.stage, p.name, found, troubles)
			}
		}
	}
}
