package lesson_test

import (
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics/jog"
	"handrule/scenarios"
	"handrule/scenarios/lesson"
	"handrule/words"
)

// wrongAnswers are some answers of a task's kind that are not the right one.
func wrongAnswers(s *lesson.Stage, truth lesson.Answer) (wrong []lesson.Answer) {
	switch {
	case s.Predict != nil && truth.Direction != "":
		for _, name := range lesson.NamedDirections {
			if name != truth.Direction {
				wrong = append(wrong, lesson.Answer{Direction: name})
			}
		}
	case s.Predict != nil && truth.Stop != "":
		for _, stop := range lesson.StopWords {
			if stop != truth.Stop {
				wrong = append(wrong, lesson.Answer{Stop: stop})
			}
		}
	case s.Predict != nil:
		wrong = append(wrong, lesson.Answer{Joints: []int{}}, lesson.Answer{Joints: []int{3}}, lesson.Answer{Joints: []int{0, 1, 2, 3, 4, 5}})
	case s.Read != nil:
		for _, number := range []float64{-*truth.Number - 17, *truth.Number * 25.4, *truth.Number + 1000} {
			wrong = append(wrong, lesson.Answer{Number: &number})
		}
	case s.Choose != nil:
		for i := range s.Choose.Options {
			if len(truth.Options) != 1 || truth.Options[0] != i {
				wrong = append(wrong, lesson.Answer{Options: []int{i}})
			}
		}
	}
	return wrong
}

// computed reports whether a number was computed for one of the options of an answer.
func computed(s *lesson.Stage, a lesson.Answer) bool {
	return s.Choose != nil && slices.ContainsFunc(a.Options, func(i int) bool {
		w := s.Choose.Options[i].When
		return w != nil && w.Measure.Words() == nil
	})
}

// inPicture reports whether there is anything to see.
func inPicture(s lesson.Shown) bool {
	return len(s.Axes)+len(s.Path)+len(s.Gap)+len(s.Line) > 0
}

// Every answer in every shipped lesson says why it is right or wrong, in both languages, and says it again when the learner
// comes back to it. What is said of a wrong one does not tell the right one.
func TestEveryAnswerSaysWhy(t *testing.T) {
	for _, l := range scenarios.ShippedLessons() {
		l, err := scenarios.OpenLesson(l.ID, 1)
		if err != nil {
			t.Fatal(err)
		}
		if l.Assessment != nil {
			continue // which says nothing before it is handed in
		}
		for i := range l.Stages {
			stage := &l.Stages[i]
			task, ok := stage.Task.(lesson.Asked)
			if !ok {
				continue
			}
			d, _ := l.Drive(stage.Begin)
			truth, err := task.Truth(l, d)
			if err != nil {
				t.Fatal(err)
			}
			for n, a := range append(wrongAnswers(stage, truth.Answer), truth.Answer) {
				for _, in := range words.Languages {
					name := fmt.Sprintf("%s, stage %d, answer %d, %s", l.ID, i+1, n+1, in.Code)
					run := lesson.NewRun(l)
					run.In = in
					if err := run.Enter(i, d); err != nil {
						t.Fatal(err)
					}
					v, err := run.Answer(d, a)
					if err != nil {
						t.Fatalf("%s: %v", name, err)
					}
					if len(v.Words) < 12 || strings.ContainsAny(v.Words, "{}") || strings.Count(v.Words, ". ") > 3 {
						t.Errorf("%s says %q", name, v.Words)
					}
					if v.Done && stage.Choose == nil && !strings.ContainsAny(v.Words, "0123456789") {
						t.Errorf("%s tells no numbers: %q", name, v.Words)
					}
					if computed(stage, a) && !strings.ContainsAny(v.Words, "0123456789") {
						t.Errorf("%s was computed, and tells no numbers: %q", name, v.Words)
					}
					packed, _ := run.Progress.MarshalBinary()
					kept := lesson.Progress{}
					if err := kept.UnmarshalBinary(packed); err != nil {
						t.Fatal(err)
					}
					back := lesson.NewRun(l)
					back.In = in
					if err := back.Resume(kept); err != nil {
						t.Fatal(err)
					}
					if err := back.Enter(i, d); err != nil {
						t.Fatal(err)
					}
					if _, again, ok := back.Recall(d); !ok || again.Words != v.Words || again.Given != v.Given || again.Done != v.Done {
						t.Errorf("%s: come back to, it says %q and %q, and said %q and %q", name, again.Given, again.Words, v.Given, v.Words)
					}
					shown := back.Shown(d, a)
					if !v.Done && stage.Predict != nil && len(shown.Path) > 0 {
						t.Errorf("%s: the picture tells the answer", name)
					}
					if !inPicture(shown) {
						t.Errorf("%s: the picture shows nothing of it", name)
					}
					if first := run.Shown(d, a); !reflect.DeepEqual(shown, first) {
						t.Errorf("%s: come back to, the picture shows %+v, and showed %+v", name, shown, first)
					}
				}
			}
		}
	}
}

// The numbers that reasons tell, worked out by hand from the arm's file: the pen's tip at J5 = 90° is 320 mm from the axis of
// J1 and 110 mm above the base frame's origin, which is 300 mm above the table.
func TestReasonsTellTheNumbers(t *testing.T) {
	number := func(x float64) lesson.Answer { return lesson.Answer{Number: &x} }
	for _, test := range []struct {
		lesson string
		stage  string
		answer lesson.Answer
		says   string
	}{
		{"joints-one-at-a-time", "Which way is plus?", lesson.Answer{Direction: "y +"}, "about the axis of J1, 320 mm from it"},
		// What rules out the answer that was given.
		{"joints-one-at-a-time", "Which way is plus?", lesson.Answer{Direction: "z +"}, "from it. It stays at the same height, because the axis is upright."},
		{"joints-one-at-a-time", "Which way is plus?", lesson.Answer{Direction: "y -"}, "from it. It starts at a right angle to the line from the axis, not along it"},
		{"joints-one-at-a-time", "Which way is plus?", lesson.Answer{Direction: "x +"}, "from it. It would start that way if the turn were the other way round."},
		{"joints-one-at-a-time", "The shoulder", lesson.Answer{Direction: "y +"}, "from it. It does not move along the axis"},
		// 320·sin 20° = 109.4 back along X, 320·(1 − cos 20°) = 19.3 along Y.
		{"joints-one-at-a-time", "Which way is plus?", lesson.Answer{Direction: "x -"}, "X −109.4, Y −19.3, Z 0.0 mm in the base frame"},
		{"the-right-hand", "Point, then press", lesson.Answer{Direction: "x +"}, "90° away from your direction"},
		{"the-right-hand", "Point, then press", lesson.Answer{Direction: "z -"}, "180° away from your direction"},
		{"the-right-hand", "Point, then press", lesson.Answer{Direction: "z +"}, "X 0.0, Y 0.0, Z +40.0 mm"},
		{"turning-about-the-tip", "Before it turns", lesson.Answer{Direction: "x +"}, "about Y of the base frame through it. The flange goes on a circle, 120 mm from that line"},
		{"where-the-numbers-start", "In inches", number(320), "That is the number in millimetres"},
		{"where-the-numbers-start", "In inches", number(12.6), "320.00 mm / 25.4 = 12.598 in"},
		{"where-the-numbers-start", "Before it moves", number(110), "That is the number before the jog"},
		{"where-the-numbers-start", "Before it moves", number(70), "Before the jog it is 110.0 mm, after it 70.0 mm"},
		{"where-the-numbers-start", "Before it moves", number(-70), "the sign is not"},
		{"where-the-numbers-start", "Another origin, other numbers", number(110), "the number in the base frame"},
		{"where-the-numbers-start", "Another origin, other numbers", number(320), "That is another number: X in the world frame"},
		{"where-the-numbers-start", "Another origin, other numbers", number(410), "X 320.0, Y 0.0, Z 410.0 mm"},
		{"straight-lines", "Who works for X?", lesson.Answer{Joints: []int{1, 3}}, "Not correct as a whole: J2, J4. In this jog 3 joints turn by more than 0.2°; you named 1 of them."},
		{"straight-lines", "Who works for X?", lesson.Answer{Joints: []int{1, 2}}, "J2, J3 are right. One more joint turns by more than 0.2°."},
		{"straight-lines", "Who works for X?", lesson.Answer{Joints: []int{}}, "Not correct: none. In this jog 3 joints turn"},
		{"joints-one-at-a-time", "A joint that does not move the tip", lesson.Answer{Options: []int{1}}, "Not correct: J5 by +30° moves the TCP "},
		{"joints-one-at-a-time", "And with the pen forward?", lesson.Answer{Options: []int{2}}, "J6 by +30° is right. One more is right, too."},
		{"joints-one-at-a-time", "And with the pen forward?", lesson.Answer{Options: []int{1, 2}}, "J6 by +30° is right. Not correct: J5 by +30° moves the TCP "},
		{"joints-one-at-a-time", "And with the pen forward?", lesson.Answer{Options: []int{1}}, ". 2 others are right."},
		{"turning-about-the-tip", "What does the tip do?", lesson.Answer{Options: []int{1}}, "Not correct: It swings along an arc. In this jog the TCP goes 0.0 mm."},
		{"limits-and-room", "What will stop it?", lesson.Answer{Stop: lesson.NothingStops}, "before its whole 40.0°"},
		{"limits-and-room", "What will stop it?", lesson.Answer{Stop: "limit J2"}, "it may go from −80.0° to 110.0°"},
	} {
		l, err := scenarios.OpenLesson(test.lesson, 0)
		if err != nil {
			t.Fatal(err)
		}
		run, d := enter(t, l, test.stage)
		if says := run.Reason(d, test.answer); !strings.Contains(says, test.says) {
			t.Errorf("%s, %s: %q, want %q in it", test.lesson, test.stage, says, test.says)
		}
	}
}

// What is right of an answer never stands under "not correct": where all of it is right and something lacks, that is told, and the page is
// told what part of the verdict the words are.
func TestWhatIsRightOfAnAnswer(t *testing.T) {
	l, err := scenarios.OpenLesson("joints-one-at-a-time", 0)
	if err != nil {
		t.Fatal(err)
	}
	for _, test := range []struct {
		options              []int
		several, told, parts bool
	}{{[]int{0}, true, true, true}, {[]int{1}, true, true, false}, {[]int{0, 1}, true, true, false}, {[]int{0, 1, 2}, true, true, false}, {[]int{0, 2}, true, false, false}} {
		run, d := enter(t, l, "And with the pen forward?")
		v, err := run.Answer(d, lesson.Answer{Options: test.options})
		if err != nil || v.Several != test.several || v.Told != test.told || v.Part != test.parts {
			t.Errorf("%v: %+v, %v", test.options, v, err)
		}
	}
}

// enter begins the stage of that title.
func enter(t *testing.T, l *lesson.Lesson, title string) (*lesson.Run, *jog.Drive) {
	t.Helper()
	i := slices.IndexFunc(l.Stages, func(s lesson.Stage) bool { return s.Title == title })
	d, err := l.Drive(l.Stages[i].Begin)
	if err != nil {
		t.Fatal(err)
	}
	run := lesson.NewRun(l)
	if err := run.Enter(i, d); err != nil {
		t.Fatal(err)
	}
	return run, d
}

// The picture shows the axis of the joint that turns, the lever to the tip, and once that may be told the arc.
func TestThePictureShowsTheAxisAndTheArc(t *testing.T) {
	l, _ := scenarios.OpenLesson("joints-one-at-a-time", 0)
	run, d := enter(t, l, "Which way is plus?")
	answer := lesson.Answer{Direction: "y +"}
	if s := run.Shown(d, answer); len(s.Axes) != 1 || s.Axes[0].Joint != 0 || s.Axes[0].Along.Z != 1 || len(s.Lever) != 2 || len(s.Path) != 0 {
		t.Errorf("wrong: %+v", s)
	}
	answer.Direction = "x -"
	if v, err := run.Answer(d, answer); err != nil || !v.Done {
		t.Fatal(v, err)
	}
	s := run.Shown(d, answer)
	if len(s.Path) < 10 {
		t.Fatalf("%d points of the arc", len(s.Path))
	}
	for _, p := range s.Path {
		if math.Abs(math.Hypot(p.X, p.Y)-320) > 1e-6 || math.Abs(p.Z-110) > 1e-6 {
			t.Errorf("%v is not on the arc", p)
		}
	}
	end, _ := lesson.After(d, run.Stage().Predict.Jog)
	if last := s.Path[len(s.Path)-1]; last != jog.AtTCP(end) {
		t.Errorf("the arc ends at %v, the jog at %v", last, jog.AtTCP(end))
	}
}

// Of what stops a jog the picture shows where it ends, whatever was answered, and no more than was asked before it may be told.
func TestThePictureShowsTheStop(t *testing.T) {
	for _, test := range []struct {
		lesson, stage string
		answers       []string // the last is right
		joints        []int    // whose axes each shows; −1: the line of the jog
	}{
		{"limits-and-room", "What will stop it?", []string{lesson.NothingStops, "contact", "limit J2", "limit J5"}, []int{-1, -1, 1, 4}},
		{"first-straight-line", "A tidy pose", []string{"contact", "limit J2", "singularity"}, []int{-1, 1, 3}},
		{"not-touching-things", "Straight ahead", []string{"singularity", lesson.NothingStops, "contact"}, []int{-1, -1, -1}},
	} {
		l, err := scenarios.OpenLesson(test.lesson, 0)
		if err != nil {
			t.Fatal(err)
		}
		run, d := enter(t, l, test.stage)
		ahead, err := d.Ahead(run.Stage().Predict.Jog[0])
		if err != nil {
			t.Fatal(err)
		}
		end := ahead.Path[len(ahead.Path)-1]
		for i, answer := range test.answers {
			name, last := fmt.Sprintf("%s, answer %s", test.lesson, answer), i == len(test.answers)-1
			a := lesson.Answer{Stop: answer}
			if v, err := run.Answer(d, a); err != nil || v.Done != last {
				t.Fatal(name, v, err)
			}
			s := run.Shown(d, a)
			if len(s.Axes) != 1 || s.Axes[0].Joint != test.joints[i] {
				t.Errorf("%s shows the axes %+v", name, s.Axes)
			}
			place := end
			if last && answer == "contact" {
				place = ahead.Stop.Touch.OnB
			}
			if s.Place == nil || *s.Place != place {
				t.Errorf("%s: stopped at %v, want %v", name, s.Place, place)
			}
			if (len(s.Path) > 0) != last {
				t.Errorf("%s: a path of %d points", name, len(s.Path))
			}
		}
	}
}

// A clearance is shown between the two points that it is measured between, without its number.
func TestThePictureShowsTheGap(t *testing.T) {
	for _, id := range []string{"not-touching-things", "up-to-the-fixture"} {
		l, err := scenarios.OpenLesson(id, 0)
		if err != nil {
			t.Fatal(err)
		}
		i := slices.IndexFunc(l.Stages, func(s lesson.Stage) bool { return s.Read != nil && s.Read.Measure == "clearance" })
		run, d := enter(t, l, l.Stages[i].Title)
		wrong := 1000.0
		a := lesson.Answer{Number: &wrong}
		if v, err := run.Answer(d, a); err != nil || v.Done {
			t.Fatal(v, err)
		}
		pair, _ := d.Clearance()
		if gap := run.Shown(d, a).Gap; !slices.Equal(gap, []r3.Vec{pair.OnA, pair.OnB}) {
			t.Errorf("%s: %v, want %v and %v", id, gap, pair.OnA, pair.OnB)
		}
	}
}

// Of an option that is only marked the picture shows what the file says: an option's own whole, the question's without the way until
// that may be told. Numbers by hand from the arm's file: the tip is at X 320, Y 0, Z 110 in the base frame.
func TestThePictureShowsWhatTheFileSays(t *testing.T) {
	shown := func(id, title string, options ...int) lesson.Shown {
		t.Helper()
		l, err := scenarios.OpenLesson(id, 0)
		if err != nil {
			t.Fatal(err)
		}
		run, d := enter(t, l, title)
		a := lesson.Answer{Options: options}
		if _, err := run.Answer(d, a); err != nil {
			t.Fatal(err)
		}
		return run.Shown(d, a)
	}
	// A point 10 mm beside the pen turns about its axis.
	wrong, right := shown("finding-a-tcp", "Does it know its tip?", 0), shown("finding-a-tcp", "Does it know its tip?", 1)
	for _, s := range []lesson.Shown{wrong, right} {
		if len(s.Axes) != 1 || math.Abs(s.Axes[0].Along.Z) < 1-1e-9 || len(s.Lever) != 2 || math.Abs(r3.Norm(r3.Sub(s.Lever[0], s.Lever[1]))-10) > 1e-6 {
			t.Errorf("the bent tip: %+v", s)
		}
	}
	if len(wrong.Path) != 0 || len(right.Path) < 10 {
		t.Errorf("the bent tip: %d and %d points of its circle", len(wrong.Path), len(right.Path))
	}
	for _, p := range right.Path {
		if math.Abs(math.Hypot(p.X-320, p.Y)-10) > 1e-6 || math.Abs(p.Z-110) > 1e-6 {
			t.Errorf("%v is not on the circle of 10 mm", p)
		}
	}
	// A wrong option's own jog is shown with its way, which is not the right one's.
	s := shown("the-right-hand", "From in front", 0)
	if end := len(s.Path) - 1; end < 1 || r3.Norm(r3.Sub(s.Path[end], r3.Vec{X: 380, Z: 110})) > 1e-6 {
		t.Errorf("X +: %+v", s)
	}
	// Jogged too far, the way ends with a cross where the arm stops.
	if s := shown("enabling-device", "Half a second", 2); s.Place == nil || s.Place.Y > -125 || len(s.Path) < 10 {
		t.Errorf("1.25 m: %+v", s)
	}
	if s := shown("teaching-a-frame", "How steep is it?", 1); len(s.Line) != 4 || s.Line[0] != s.Line[3] {
		t.Errorf("the slope: %+v", s)
	}
	// Of several chosen options everything is shown of which there may be more than one, and the first of all else.
	if s := shown("base-tool-task", "Lift off the tile", 0, 2); len(s.Line) != 2 || s.Line[1] != (r3.Vec{X: 398.7, Z: -180.9}) {
		t.Errorf("off the tile: %+v", s)
	}
}
