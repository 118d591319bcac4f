package class

import (
	"encoding/csv"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/server/bench"
	"handrule/words"
)

// asks has a class of so many asked and answered in rounds; says is what the learner of a number answers in a round.
func (k *kept) asks(t testing.TB, c *Class, learners int, r *AskRequest, rounds int, says func(learner, round int) ReplyRequest) {
	t.Helper()
	do := func(who Who, request any) {
		t.Helper()
		all, err := c.Handle(who, request, noon)
		if err != nil {
			t.Fatal(err)
		}
		k.put(t, c, all)
	}
	do(Who{Role: Instructor}, r)
	for round := 1; round <= rounds; round++ {
		if round > 1 {
			do(Who{Role: Instructor}, &AskAgainRequest{})
		}
		for i := range learners {
			reply := says(i, round)
			reply.Question, reply.Round = c.head.Question, round
			do(Who{Role: Learner, Learner: LearnerOf(fmt.Sprint(i))}, &reply)
		}
	}
	do(Who{Role: Instructor}, &RevealRequest{QuestionTold})
}

// askedHour is a class of so many with an answered question of each kind, and with standings.
func askedHour(t testing.TB, learners int) *Class {
	t.Helper()
	rnd := rand.New(rand.NewPCG(5, 30))
	c, k := anHour(t)
	for i := range learners {
		all, err := c.Handle(Who{Role: Learner, Learner: LearnerOf(fmt.Sprint(i))}, &JoinRequest{Name: fmt.Sprintf("Learner <%02d>", i), Number: "=1"}, noon)
		if err != nil {
			t.Fatal(err)
		}
		k.put(t, c, all)
		s := Standing{Heard: noon, Standing: bench.Standing{Lesson: "the-right-hand", Title: "x", Stages: []bench.StageStanding{{Task: true, Done: i%3 > 0, Tries: 1 + i%5, Seconds: 40}, {Task: true}}, At: min(i%3, 1)}}
		k.put(t, c, []Write{{Key: StandingKey(c.Code, LearnerOf(fmt.Sprint(i))), Value: s}})
	}
	here := map[string]bool{}
	for id := range c.people {
		here[id] = true
	}
	c.Here(here)
	near := func(v r3.Vec) *[3]float64 {
		return &[3]float64{v.X + 0.1*rnd.NormFloat64(), v.Y + 0.1*rnd.NormFloat64(), v.Z + 0.1*rnd.NormFloat64()}
	}
	k.asks(t, c, learners, &AskRequest{Kind: AskWay, Jog: "base y +60"}, 2, func(i, round int) ReplyRequest {
		switch i % (3 * round) {
		case 1:
			return ReplyRequest{Arrow: near(r3.Vec{Y: -1})}
		case 2:
			return ReplyRequest{Stays: true}
		}
		return ReplyRequest{Arrow: near(r3.Vec{Y: 1})}
	})
	k.asks(t, c, learners, &AskRequest{Kind: AskJoints, Jog: "base z -80"}, 1, func(i, _ int) ReplyRequest {
		return ReplyRequest{Joints: [][]int{{1, 2, 4}, {1}, {1, 2}}[i%3]}
	})
	k.asks(t, c, learners, &AskRequest{Kind: AskNumber, Measure: Measure{Of: "z", Frame: "base"}}, 1, func(i, _ int) ReplyRequest {
		x := float64(i % 4 * 100)
		return ReplyRequest{Number: &x}
	})
	k.asks(t, c, learners, &AskRequest{Kind: AskChoice, Text: "What <now>?", Options: []string{"<b>left</b>", "right"}}, 1, func(i, _ int) ReplyRequest {
		return ReplyRequest{Options: []int{i % 2}}
	})
	return c
}

func TestTheReportOfAnHour(t *testing.T) {
	c := askedHour(t, 30)
	for _, in := range words.Languages {
		for _, named := range []bool{false, true} {
			r := c.Report(named, in, noon.Add(time.Hour))
			if r.Title != "Monday" || r.Code != c.Code || r.Learners != 30 || len(r.Asked) != 4 || r.Named != named || (len(r.Rows) == 30) != named || len(r.Lessons) != 1 || r.Lessons[0].Learners != 30 || r.Lessons[0].Tasks != 60 || r.Lessons[0].Done != 20 || len(r.Troubles) != 1 {
				t.Errorf("%+v", r)
			}
			first := r.Asked[0]
			if len(first.Rounds) != 2 || first.Rounds[0].Given != 30 || first.Rounds[0].Right != 10 || first.Rounds[1].Right != 20 || first.Groups[0].Counts[1] != 20 || !first.Groups[0].Right || !slices.Equal(first.Groups[1].Counts, []int{10, 5}) {
				t.Errorf("%+v", first.Groups)
			}
			for _, q := range r.Asked {
				for round := range q.Rounds {
					given, told := 0, 0
					for _, g := range q.Groups {
						given += g.Counts[round]
						told += len(g.Who[round])
					}
					if given != 30 || told != map[bool]int{true: 30}[named] {
						t.Errorf("%s, round %d: %d answers, %d of them with a name", q.Text, round+1, given, told)
					}
				}
			}
			if r.Asked[3].Graded || r.Asked[3].Right != "" || r.Asked[0].Rounds[0].Ball == "" || r.Asked[1].Rounds[0].Ball != "" {
				t.Errorf("%+v", r.Asked[3])
			}
		}
	}
	anonymous := fmt.Sprintf("%+v", c.Report(false, words.English, noon))
	if strings.Contains(anonymous, "Learner <") {
		t.Error("a report without names has names")
	}
	empty, _ := anHour(t)
	if r := empty.Report(true, words.English, noon); r.Learners != 0 || r.Asked != nil || r.Rows == nil && r.Named && len(r.Rows) != 0 {
		t.Errorf("%+v", r)
	}
}

// What is drawn is well-formed, stays within its frame, and has every arrow and every mark once.
func TestTheBallIsDrawn(t *testing.T) {
	rnd := rand.New(rand.NewPCG(2, 5))
	for range 50 {
		var arrows [][3]float64
		for range rnd.IntN(300) {
			v := r3.Unit(r3.Vec{X: rnd.NormFloat64(), Y: rnd.NormFloat64(), Z: rnd.NormFloat64()})
			arrows = append(arrows, [3]float64{v.X, v.Y, v.Z})
		}
		var means []marked
		for i := range rnd.IntN(8) {
			means = append(means, marked{r3.Unit(r3.Vec{X: rnd.NormFloat64(), Y: rnd.NormFloat64(), Z: rnd.NormFloat64()}), mark(i)})
		}
		truth := r3.Unit(r3.Vec{X: rnd.NormFloat64(), Y: rnd.NormFloat64(), Z: rnd.NormFloat64()})
		text := ball(arrows, means, &truth, "a ball")
		ones, marks := 0, 0
		for d := xml.NewDecoder(strings.NewReader(text)); ; {
			token, err := d.Token()
			if errors.Is(err, io.EOF) {
				break
			}
			if err != nil {
				t.Fatalf("%v: %s", err, text)
			}
			start, is := token.(xml.StartElement)
			if !is {
				continue
			}
			class := ""
			for _, attr := range start.Attr {
				var x float64
				switch attr.Name.Local {
				case "class":
					class = attr.Value
				case "x", "y", "x1", "x2", "y1", "y2", "cx", "cy":
					if _, err := fmt.Sscan(attr.Value, &x); err != nil || !(x > 0 && x < ballWhole) {
						t.Errorf("%s: %s of %s", start.Name.Local, attr.Value, attr.Name.Local)
					}
				}
			}
			if strings.HasPrefix(class, "one") {
				ones++
			}
			if start.Name.Local == "text" && class == "" {
				marks++
			}
		}
		if ones != len(arrows) || marks != len(means) {
			t.Errorf("%d of %d arrows, %d of %d marks", ones, len(arrows), marks, len(means))
		}
	}
}

// What learners see before it is told does not tell which is right: neither by a name or a mark, nor by the order of groups that are as
// large.
func TestShownAnswersDoNotTellWhichIsRight(t *testing.T) {
	c, k := anHour(t)
	for i := range 4 {
		all, err := c.Handle(Who{Role: Learner, Learner: LearnerOf(fmt.Sprint(i))}, &JoinRequest{Name: fmt.Sprint(i)}, noon)
		if err != nil {
			t.Fatal(err)
		}
		k.put(t, c, all)
	}
	k.asks(t, c, 4, &AskRequest{Kind: AskStop, Jog: "base z -400"}, 1, func(i, _ int) ReplyRequest {
		return ReplyRequest{Stop: []string{"nothing", "contact", "singularity", "limit J2"}[i]}
	})
	all, err := c.Handle(Who{Role: Instructor}, &RevealRequest{QuestionShown}, noon)
	if err != nil {
		t.Fatal(err)
	}
	k.put(t, c, all)
	v, may := c.Answers(Learner, words.English)
	if !may || v.Truth != nil || v.Right != "" || v.Why != "" || len(v.Rounds) != 1 {
		t.Fatalf("%+v", v)
	}
	groups := v.Rounds[0].Groups
	for _, g := range groups {
		if g.Name != "" || g.Says != "" || g.Right != nil || g.Given == "" {
			t.Errorf("%+v", g)
		}
	}
	if !slices.IsSortedFunc(groups, func(g, h GroupView) int { return strings.Compare(g.Given, h.Given) }) || len(groups) != 4 {
		t.Errorf("%+v", groups)
	}
	if told, _ := c.Answers(Instructor, words.English); told.Truth == nil || told.Rounds[0].Groups[0].Right == nil {
		t.Errorf("%+v", told)
	}
}

// The answers of an hour are a table with a row for every answer, in which no cell is a formula, and which tells whose they are only
// as far as that is asked for.
func TestTheAnswersOfAnHour(t *testing.T) {
	c := askedHour(t, 6)
	write := func(tell []string) (text string, rows [][]string) {
		var out strings.Builder
		if err := (AnswersTable{Zone: time.UTC, Tell: tell, In: words.English}).Write(&out, c); err != nil {
			t.Fatal(err)
		}
		rows, err := csv.NewReader(strings.NewReader(out.String())).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		return out.String(), rows
	}
	text, rows := write(nil)
	if len(rows) != 1+6*(2+1+1+1) {
		t.Errorf("%d rows:\n%s", len(rows), text)
	}
	cell := func(row []string, column string) string { return row[slices.Index(answerColumns, column)] }
	for i, row := range rows[1:] {
		name := fmt.Sprintf("Learner <%02d>", i%6)
		if cell(row, "learner") != name || cell(row, "number") != "'=1" || cell(row, "answer") == "" {
			t.Errorf("row %d: %q", i+1, row)
		}
		wants := map[string]string{}
		switch {
		case i == 1:
			wants = map[string]string{"question": "1", "round": "1", "right": "no", "right_answer": "Along +Y of the base frame"}
			if !strings.HasPrefix(cell(row, "reveals"), "minus for plus") {
				t.Errorf("row %d: %q", i+1, row)
			}
		case i == 6:
			wants = map[string]string{"question": "1", "round": "2", "right": "yes", "reveals": ""}
		case i >= 24:
			wants = map[string]string{"question": "4", "asked": "What <now>?", "right": "", "reveals": "", "right_answer": ""} // Nothing is right.
		}
		for column, want := range wants {
			if cell(row, column) != want {
				t.Errorf("row %d, %s: %q, not %q", i+1, column, cell(row, column), want)
			}
		}
	}
	for _, none := range [][]string{{}, {"number"}} {
		if text, rows := write(none); strings.Contains(text, "Learner") || len(rows[0]) != len(answerColumns)-3+len(none) {
			t.Errorf("told %v:\n%s", none, text)
		}
	}
}

// In both rounds a group that reveals the same has the same number, whatever exactly was answered and however many did; before it is
// told, too, and then nothing says which is right.
func TestGroupsAreTheSameInBothRounds(t *testing.T) {
	c, k := anHour(t)
	for i := range 4 {
		all, err := c.Handle(Who{Role: Learner, Learner: LearnerOf(fmt.Sprint(i))}, &JoinRequest{Name: fmt.Sprint("L", i)}, noon)
		if err != nil {
			t.Fatal(err)
		}
		k.put(t, c, all)
	}
	k.asks(t, c, 4, &AskRequest{Kind: AskWay, Jog: "base y +60"}, 2, func(i, round int) ReplyRequest {
		if i < 2*round-1 { // one of four is right, and then three are
			return ReplyRequest{Arrow: &[3]float64{0.3 * float64(round-1), 1, 0}}
		}
		return ReplyRequest{Arrow: &[3]float64{0, -1, 0}}
	})
	n := c.head.Question
	for _, told := range []bool{true, false} {
		rounds := c.rounds(n, c.questions[n], c.know(n), told, words.English)
		if len(rounds) != 2 || len(rounds[0].Groups) != 2 || len(rounds[1].Groups) != 2 {
			t.Fatalf("told %v: %+v", told, rounds)
		}
		first, second := rounds[0].Groups, rounds[1].Groups
		if first[0].Alike != second[1].Alike || first[1].Alike != second[0].Alike || first[0].Alike == first[1].Alike {
			t.Errorf("told %v: %+v", told, rounds)
		}
		for _, g := range append(first, second...) {
			if !told && (g.Name != "" || g.Right != nil) {
				t.Errorf("tells %+v", g)
			}
		}
	}
}

// A group's letter stands over no other and over no axis's, also where the answers are along the axes.
func TestLettersOnTheBallStandApart(t *testing.T) {
	axes := []r3.Vec{{X: 1}, {Y: 1}, {Z: 1}, {X: -1}, {Y: -1}, {Z: -1}}
	for i := range axes {
		for n := 1; n <= 4; n++ {
			var means []marked
			for j := range n {
				means = append(means, marked{axes[(i+j)%len(axes)], mark(j)})
			}
			var at [][2]float64
			for d := xml.NewDecoder(strings.NewReader(ball(nil, means, &axes[i], "a ball"))); ; {
				token, err := d.Token()
				if err != nil {
					break
				}
				start, is := token.(xml.StartElement)
				if !is || start.Name.Local != "text" {
					continue
				}
				var one [2]float64
				for _, attr := range start.Attr {
					switch attr.Name.Local {
					case "x":
						fmt.Sscan(attr.Value, &one[0])
					case "y":
						fmt.Sscan(attr.Value, &one[1])
					}
				}
				for _, other := range at {
					if apart := math.Hypot(one[0]-other[0], one[1]-other[1]); apart < 0.9*ballLetter {
						t.Errorf("%d answers from axis %d: two letters are %.1f mm apart", n, i, apart)
					}
				}
				at = append(at, one)
			}
		}
	}
}
