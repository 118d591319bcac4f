package lesson_test

import (
	"encoding/json"
	"handrule/internal/reference"
	"handrule/kinematics"
	"handrule/kinematics/jog"
	"handrule/scenarios"
	"handrule/scenarios/jogfile"
	"handrule/scenarios/lesson"
	"handrule/scenarios/solve"
	"math"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// kdlAnswer is a row of testdata/kdl/lessons.json; its fields are described in generate_lessons.py beside it.
type kdlAnswer struct {
	Lesson string            `json:"lesson"`
	Stage  string            `json:"stage"`
	Start  [6]float64        `json:"start_deg"`
	Jogs   []string          `json:"jogs"`
	Number *float64          `json:"number"`
	Word   string            `json:"word"`
	Joints []int             `json:"joints"`
	Values []json.RawMessage `json:"values"`
}

func kdlAnswers(t *testing.T) []kdlAnswer {
	t.Helper()
	var file struct {
		Source  string      `json:"source"`
		Answers []kdlAnswer `json:"answers"`
	}
	reference.Read(t, "kdl/lessons.json", &file)
	return file.Answers
}

// stageOf returns the stage of that title.
func stageOf(t *testing.T, l *lesson.Lesson, title string) *lesson.Stage {
	t.Helper()
	i := slices.IndexFunc(l.Stages, func(s lesson.Stage) bool { return s.Title == title })
	if i < 0 {
		t.Fatalf("%s has no stage called %s", l.ID, title)
	}
	return &l.Stages[i]
}

// kdlTolerance is absolute, in mm, inches, degrees or a part of one: the Newton steps of the two are not at the same places
// where a joint turns back, nor are the chords of a path.
const kdlTolerance = 2e-3

// What the lessons take for right is what KDL finds, for the question that is in the lesson file.
func TestLessonAnswersAgreeWithKDL(t *testing.T) {
	for _, want := range kdlAnswers(t) {
		l, err := scenarios.OpenLesson(want.Lesson, 0)
		if err != nil {
			t.Fatal(err)
		}
		stage := stageOf(t, l, want.Stage)
		d, err := l.Drive(stage.Begin)
		if err != nil {
			t.Fatal(err)
		}
		for i, angle := range stage.Begin.Degrees() {
			if math.Abs(angle-want.Start[i]) > 1e-9 {
				t.Errorf("%s, %s begins at %v, KDL was asked for %v", l.ID, want.Stage, stage.Begin.Degrees(), want.Start)
			}
		}
		if lines := jogsOf(stage); !slices.Equal(lines, want.Jogs) {
			t.Errorf("%s, %s asks about %q, KDL was asked about %q", l.ID, want.Stage, lines, want.Jogs)
		}
		near := func(what string, got, want float64) {
			if !(math.Abs(got-want) <= kdlTolerance) {
				t.Errorf("%s: %s is %v, KDL says %v", l.ID, what, got, want)
			}
		}
		truth, err := stage.Task.(lesson.Asked).Truth(l, d)
		if err != nil {
			t.Errorf("%s, %s: %v", l.ID, want.Stage, err)
			continue
		}
		switch {
		case want.Number != nil:
			near(stage.Title, *truth.Answer.Number, *want.Number)
		case want.Word != "":
			if got := truth.Answer.Direction + truth.Answer.Stop; got != want.Word {
				t.Errorf("%s, %s: %q, KDL says %q", l.ID, want.Stage, got, want.Word)
			}
		case want.Joints != nil:
			if !slices.Equal(truth.Answer.Joints, want.Joints) {
				t.Errorf("%s, %s: joints %v, KDL says %v", l.ID, want.Stage, truth.Answer.Joints, want.Joints)
			}
		default:
			for i, option := range stage.Choose.Options {
				v, err := option.When.Of(l, d)
				if err != nil {
					t.Fatal(err)
				}
				var number float64
				var word string
				if json.Unmarshal(want.Values[i], &number) == nil {
					near(option.Text, v.X, number)
				} else if json.Unmarshal(want.Values[i], &word) != nil || v.Word != word {
					t.Errorf("%s, %s, %s: %s, KDL says %s", l.ID, want.Stage, option.Text, v.Word, want.Values[i])
				}
			}
		}
	}
}

// jogsOf are the jogs that a question speaks of.
func jogsOf(s *lesson.Stage) []string {
	lines := []string{}
	add := func(all ...lesson.Jogs) {
		for _, jogs := range all {
			for _, j := range jogs {
				lines = append(lines, jogfile.Line(j))
			}
		}
	}
	switch {
	case s.Predict != nil:
		add(s.Predict.Jog)
	case s.Read != nil && s.Read.Toward != nil:
		one := jog.Jog{Direction: *s.Read.Toward, Amount: 1}
		if !one.Straight() {
			one.Amount = kinematics.Radians(1)
		}
		lines = append(lines, strings.TrimSuffix(jogfile.Line(one), "1"))
	case s.Read != nil:
		add(s.Read.After, s.Read.Jog)
	default:
		for _, option := range s.Choose.Options {
			if option.When != nil {
				add(option.When.After, option.When.Jog)
			}
		}
	}
	return lines
}

// No shipped lesson asks for a number, a direction or a joint that was not found in another way too. The assessment's
// are drawn anew for every learner, and below.
func TestEveryComputedAnswerIsFoundInAnotherWay(t *testing.T) {
	answers := kdlAnswers(t)
	for _, l := range scenarios.ShippedLessons() {
		for i := range l.Stages {
			_, computed := l.Stages[i].Task.(lesson.Asked)
			if choose := l.Stages[i].Choose; choose != nil {
				computed = slices.ContainsFunc(choose.Options, func(o lesson.Option) bool { return o.When != nil })
			}
			known := slices.ContainsFunc(answers, func(a kdlAnswer) bool { return a.Lesson == l.ID && a.Stage == l.Stages[i].Title })
			if computed && !known && l.ID != "assessment" {
				t.Errorf("%s, stage %d, %s: the answer is computed, and testdata/kdl/lessons.json does not have it", l.ID, i+1, l.Stages[i].Title)
			}
		}
	}
}

func TestKDLComputesTheCommittedAnswers(t *testing.T) {
	text := reference.Regenerate(t, "PyKDL, numpy", "python3-pykdl python3-numpy", "kdl/generate_lessons.py")
	var committed, fresh any
	reference.Read(t, "kdl/lessons.json", &committed)
	reference.Unmarshal(t, text, &fresh)
	reference.CompareNumbers(t, "lessons.json", committed, fresh, func(string) float64 { return 1e-5 })
}

// The assessment's answers, for the numbers of many learners, by formulas that share nothing with the package: those of
// handTCP, the cross product, and Newton's method on matrixFK.
func TestTheAssessmentsAnswersByHand(t *testing.T) {
	l, err := scenarios.OpenLesson("assessment", 0)
	if err != nil {
		t.Fatal(err)
	}
	start := handTCP(0, 0, 90)
	bent := [6]float64{4: math.Pi / 2}
	for seed := range uint64(12) {
		drawn, _, err := solve.Drawn(l, lesson.Deal{Seed: seed})
		if err != nil {
			t.Fatal(err)
		}
		questions := 0
		for i := range drawn.Stages {
			stage := &drawn.Stages[i]
			task, isAsked := stage.Task.(lesson.Asked)
			if !isAsked {
				continue
			}
			questions++
			d, err := drawn.Drive(stage.Begin)
			if err != nil {
				t.Fatal(err)
			}
			truth, err := task.Truth(drawn, d)
			if err != nil {
				t.Fatal(err)
			}
			var words, want string
			switch stage.Title {
			case "A prediction":
				// The pen points down and the tool's Y is the base frame's, so its X = Y × Z = Y × −Z of the base frame = −X.
				words, want = truth.Answer.Direction, map[string]string{"+": "x -", "-": "x +"}[signOf(stage.Predict.Jog[0])]
			case "A reading":
				down := stage.Read.After[0].Amount
				if x := (start.Z - down) / 25.4; math.Abs(*truth.Answer.Number-x) > 1e-6 {
					t.Errorf("seed %d: %s inch, by hand %v", seed, truth.Words, x)
				}
			case "Up the slope":
				up := stage.Read.After[0].Amount * math.Sin(25*math.Pi/180)
				if stage.Read.After[0].Sign < 0 {
					up = -up
				}
				if z := start.Z + 300 + up; math.Abs(*truth.Answer.Number-z) > 1e-6 {
					t.Errorf("seed %d: %s, by hand %v mm", seed, truth.Words, z)
				}
			case "What stops it?": // The limit of J5 is 120°.
				words, want = truth.Answer.Stop, "nothing"
				if stage.Begin.Degrees()[4]+kinematics.Degrees(stage.Predict.Jog[0].Amount) > 120 {
					want = "limit J5"
				}
			case "All at zero":
				words, want = truth.Answer.Stop, "singularity"
			case "Turn about the tip": // X × Z = −Y: what is above goes to Y − for plus
				words, want = truth.Answer.Direction, map[string]string{"+": "y -", "-": "y +"}[signOf(stage.Predict.Jog[0])]
			case "Who works?":
				down := stage.Predict.Jog[0].Amount
				var moving []string
				for i, a := range solveStraight(t, bent, r3.Vec{Z: -down}) {
					if kinematics.Degrees(a) > 0.1 {
						moving = append(moving, kinematics.JointNames[i])
					}
				}
				words, want = truth.Words, strings.Join(moving, ", ")
			default:
				t.Errorf("%s is not done by hand", stage.Title)
			}
			if words != want {
				t.Errorf("seed %d, %s: %s, by hand %s", seed, stage.Title, words, want)
			}
		}
		if questions != 7 {
			t.Errorf("seed %d asks %d questions", seed, questions)
		}
	}
}

func signOf(j jog.Jog) string {
	if j.Sign < 0 {
		return "-"
	}
	return "+"
}
