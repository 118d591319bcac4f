package solve_test

import (
	"errors"
	"fmt"
	"handrule/scenarios"
	"handrule/scenarios/jogfile"
	"handrule/scenarios/lesson"
	"handrule/scenarios/solve"
	"strings"
	"testing"
	"time"
)

func lessonText(stage string) string {
	return "title: A\narm: wren\ncell: glazing-bench\nstart_deg: [0, 0, 0, 0, 90, 0]\nstages:\n  - text: Read this.\n    " + strings.ReplaceAll(stage, "\n", "\n    ") + "\n"
}

// pass drives the printed jogs, or gives the computed answer, through a fresh run, and fails where that does not pass a stage.
func pass(t *testing.T, l *lesson.Lesson, solutions []solve.Solution) *lesson.Run {
	t.Helper()
	run := lesson.NewRun(l)
	run.Begin(time.Unix(1, 0))
	for _, s := range solutions {
		d, err := l.Drive(s.Begin)
		if err != nil {
			t.Fatal(err)
		}
		if r := l.Stages[s.Stage].Reach; r != nil && r.Taught {
			if d, err = lesson.AsTaught(d); err != nil {
				t.Fatal(err)
			}
		}
		if err := run.Enter(s.Stage, d); err != nil {
			t.Fatal(err)
		}
		if len(s.Jogs) == 0 {
			if v, err := run.Answer(d, s.Truth.Answer); err != nil || !v.Done {
				t.Errorf("%s, %s: %+v %v", l.ID, s, v, err)
			}
			continue
		}
		var lines strings.Builder
		for _, j := range s.Jogs {
			fmt.Fprintln(&lines, jogfile.Line(j))
		}
		jogs, err := jogfile.Parse("printed", []byte(lines.String()))
		if err != nil {
			t.Fatal(err)
		}
		var v lesson.Verdict
		for _, j := range jogs {
			if v.Done {
				t.Errorf("%s, %s: done before the last jog", l.ID, s)
			}
			if v, err = run.Drive(d, j.Jog); err != nil {
				t.Fatal(err)
			}
		}
		if !v.Done {
			t.Errorf("%s, %s: not passed: %+v", l.ID, s, v)
		}
	}
	return run
}

// Every shipped lesson is passed by what check prints, read back and driven.
func TestShippedLessonsArePassedByTheirPrintedJogs(t *testing.T) {
	for _, l := range scenarios.ShippedLessons() {
		drawn, solutions, err := solve.Drawn(l, lesson.Deal{})
		if err != nil {
			t.Errorf("%s:\n%v", l.ID, err)
			continue
		}
		if run := pass(t, drawn, solutions); !run.Progress.Done() {
			t.Errorf("%s is not finished: %+v", l.ID, run.Progress)
		}
		if l.Minutes < 5 || l.Minutes > 20 || len(l.Aims) == 0 || len(l.Sources) == 0 {
			t.Errorf("%s: %d minutes, %d aims, %d sources", l.ID, l.Minutes, len(l.Aims), len(l.Sources))
		}
	}
}

// Neighbours get different numbers, the same seed the same, and all of them can be passed.
func TestNeighboursGetTheirOwnAssessment(t *testing.T) {
	l, err := scenarios.OpenLesson("assessment", 0)
	if err != nil {
		t.Fatal(err)
	}
	seen := map[string]uint64{}
	for seed := range uint64(24) {
		drawn, solutions, err := solve.Drawn(l, lesson.Deal{Seed: seed})
		if err != nil {
			t.Fatalf("seed %d:\n%v", seed, err)
		}
		again, _, err := solve.Drawn(l, lesson.Deal{Seed: seed})
		if err != nil || again.HTML != drawn.HTML {
			t.Errorf("seed %d is not the same twice: %v", seed, err)
		}
		if other, taken := seen[drawn.HTML]; taken {
			t.Errorf("seeds %d and %d are the same", seed, other)
		}
		seen[drawn.HTML] = seed
		pass(t, drawn, solutions)
		if strings.Contains(drawn.HTML, "$") {
			t.Errorf("seed %d leaves a number open", seed)
		}
	}
}

// A lesson that cannot be passed, or whose question has not one answer, is an error at its task.
func TestLessonsThatCannotBePassed(t *testing.T) {
	for _, test := range []struct{ stage, says string }{
		{"reach: {position_mm: [900, 0, 0], tolerance_mm: 1}", "cannot be passed"},
		{"reach: {position_mm: [320, 80, 110], tolerance_mm: 1, frames: [joint], most_jogs: 1}", "cannot be passed"},
		{"reach: {frame: task tile, position_mm: [75, 75, -10], tolerance_mm: 1, no_contact: true}", "cannot be passed"},
		{"reach: {position_mm: [320, 60, 110], tolerance_mm: 1, wrist: minus, frames: [base]}", "cannot be passed"},
		{"predict: {jog: joint J1 +170, ask: direction}", "path bends"},
		{"predict: {jog: joint J6 +30, ask: direction}", "does not move in this jog: it is on the axis"},
		{"start_deg: [0, 0, 0, 0, 0, 0]\npredict: {jog: base y +30, ask: direction}", "does not move in this jog. Refused: wrist singularity"},
		{"choose: {question: q, options: [{text: a, when: {measure: x, at_least: 400}}, {text: b}]}", "for option 1, x is 320 mm"},
		{"read: {measure: z, after: base x +900, tolerance: 1}", "cannot be completed"},
		{"choose: {question: q, options: [{text: a, right: true}, {text: b, right: true}]}", "2 options are right"},
		{"choose: {question: q, options: [{text: a}, {text: b}]}", "no option is right"},
		{"choose: {question: q, options: [{text: a, when: {measure: x, at_least: 320.5}}, {text: b, right: true}]}", "too near to its bound"},
		{"free: {notice: [{text: a, event: out of reach}]}\nallow: {frames: [joint]}", "does not happen"},
		{"start_deg: [0, 80, 0, 0, 90, 0]\nfree: {notice: [{text: a, event: jogged}]}", "touches something where it begins"},
		{"reach: {position_mm: [320, 1, 110], tolerance_mm: 2, most_jogs: 1}", "is fulfilled where the stage begins, 1 mm off where 2 mm are allowed"},
		{"reach: {joint: J5, angle_deg: 90, tolerance_deg: 1}", "is fulfilled where the stage begins"},
		{"read: {measure: y, tolerance: 5000}", "every number that this arm could show"},
		{"read: {measure: about-z, tolerance: 180}", "every number that this arm could show"},
	} {
		l, err := scenarios.ReadLesson("f", []byte(lessonText(test.stage)))
		if err != nil {
			t.Errorf("%s: %v", test.stage, err)
			continue
		}
		if _, err := solve.Check(l); err == nil || !strings.Contains(err.Error(), test.says) || !strings.Contains(err.Error(), "f:7:") && !strings.Contains(err.Error(), "f:8:") {
			t.Errorf("%s: want %q in\n%v", test.stage, test.says, err)
		}
	}
}

// The way that is found is made of what the learner has: the steps that are offered, a hand where the tolerance is wide enough
// for one, and several buttons held together. Wren's TCP is at 320, 0, 110.
func TestWaysAreThoseOfTheLearner(t *testing.T) {
	for _, test := range []struct{ stage, way, says string }{
		{"reach: {position_mm: [320, 33.3, 110], tolerance_mm: 0.1}\nallow: {frames: [base], steps_mm: [50]}", "", "not in the steps that are offered"},
		{"reach: {position_mm: [320, 33.3, 110], tolerance_mm: 0.5}\nallow: {frames: [base], steps_mm: [50]}", "33 mm along +Y of the base frame (held or dragged", ""},
		{"reach: {position_mm: [320, 35, 110], tolerance_mm: 0.5, frames: [base], most_jogs: 1}", "35 mm along +Y of the base frame (held or dragged", ""},
		{"reach: {position_mm: [320, 35, 110], tolerance_mm: 0.5, frames: [base], most_jogs: 2}", "35 mm along +Y of the base frame.", ""},
		{"reach: {position_mm: [320, 60, 110], tolerance_mm: 0.1}\nallow: {frames: [base], steps_mm: [20, 50]}", "3 times 20 mm along +Y of the base frame", ""},
		{"reach: {position_mm: [320, 60, 110], tolerance_mm: 0.1, most_jogs: 2}\nallow: {frames: [base], steps_mm: [20, 50]}", "", "not in the steps that are offered"},
		{"reach: {joint: J1, angle_deg: 40, tolerance_deg: 0.1}\nallow: {steps_deg: [15]}", "", "not in the steps that are offered"},
		{"reach: {position_mm: [320, 60, 110], tolerance_mm: 0.001}", "reach: 60 mm along +Y of the base frame", ""},
		{"reach: {position_mm: [320, 60.0333, 110], tolerance_mm: 0.001}", "", "not in the steps that are offered"},
		{"reach: {position_mm: [280, 40, 130], tolerance_mm: 1, frames: [base], path_factor: 1.2}", "20 mm along −X, 20 mm along +Y and 20 mm along +Z of the base frame; then 20 mm along −X and 20 mm along +Y of the base frame", ""},
		{"reach: {position_mm: [280, 20, 110], tolerance_mm: 1, frames: [base], path_factor: 1.01}", "", "several held together"},
	} {
		l, err := scenarios.ReadLesson("f", []byte(lessonText(test.stage)))
		if err != nil {
			t.Fatal(err)
		}
		solutions, err := solve.Check(l)
		if test.says != "" && (err == nil || !strings.Contains(err.Error(), test.says)) {
			t.Errorf("%s: want %q in\n%v %v", test.stage, test.says, err, solutions)
		}
		if test.says == "" && (err != nil || len(solutions) != 1 || !strings.Contains(solutions[0].String()+".", test.way)) {
			t.Errorf("%s: want %q: %v %v", test.stage, test.way, solutions, err)
		}
		if test.says == "" {
			pass(t, l, solutions)
		}
	}
}

// J5 of Wren, at 90°, has 30° of room: of a jog of 25° nothing stops it, of more its limit. Where the question has one answer
// with some numbers only, check names the others; what no number mends is told of its own stage; and a draw that is wrong is
// told once.
func TestNumbersThatAreNeverDealt(t *testing.T) {
	text := "title: A\narm: wren\nstart_deg: [0, 0, 0, 0, 90, 0]\ndraw:\n  - {name: a, %s}\nstages:\n  - text: One\n    choose:\n" +
		"      question: q\n      options:\n        - {text: a, when: {measure: stop, jog: joint J5 +$a, is: limit J5}}\n        - {text: b}\n%s"
	wrong := "  - text: Two\n    choose: {question: q, options: [{text: a}, {text: b}]}\n"
	for _, test := range []struct {
		draw, more, says string
		times            int // how often "f:" begins a line
	}{
		{"one_of: [20, 40, 25, 50]", "", "f:9:7: note: 20 and 25 are never dealt as $a: stage 1: choose has not one answer: no option is right", 1},
		{"from: 10, to: 40, step: 15", "", "note: 10 and 25 are never dealt as $a", 2},
		{"from: 10, to: 40, step: 15", "", "\nf:9:7: note: that leaves 40 alone as $a, so every learner gets the same number", 2},
		{"one_of: [20, 40, 50]", "", "note: 20 is never dealt as $a", 1},
		{"one_of: [40, 50]", "", "", 0},
		{"one_of: [20, 25]", "", "(with $a 2", 1},
		{"one_of: [20, 40]", wrong, "f:14:13: stage 2: choose has not one answer", 1},
		{"from: 10, to: 10, step: 1", "", "f:5:5: draw 1 must leave", 1},
	} {
		var said []string
		l, err := scenarios.ReadLesson("f", []byte(fmt.Sprintf(text, test.draw, test.more)))
		if err == nil {
			if _, _, err = solve.Drawn(l, lesson.Deal{}); err == nil {
				for _, note := range solve.NeverDealt(l, nil) {
					said = append(said, note.Error())
				}
			}
		}
		if err != nil {
			said = append(said, err.Error())
		}
		all := strings.Join(said, "\n")
		if !strings.Contains(all, test.says) || strings.Count("\n"+all, "\nf:") != test.times {
			t.Errorf("%s: want %q in\n%s", test.draw, test.says, all)
		}
	}
}

// A search that is stopped tells what it had found.
func TestASearchThatIsStopped(t *testing.T) {
	l, err := scenarios.ReadLesson("f.yaml", []byte(`title: A
arm: wren
stages:
  - {text: a, reach: {joint: J1, angle_deg: 20, tolerance_deg: 1}}
  - {text: b, reach: {joint: J1, angle_deg: 0, tolerance_deg: 1}}
  - {text: c, reach: {joint: J1, angle_deg: 40, tolerance_deg: 1}}
`))
	if err != nil {
		t.Fatal(err)
	}
	var seen []int
	_, found, err := solve.DrawnWhile(l, lesson.Deal{All: true}, func(p solve.Progress) bool {
		seen = append(seen, p.Stage)
		return p.Stage < 2
	})
	var stopped solve.Stopped
	if !errors.As(err, &stopped) || stopped.Stage != 2 || len(found) != 1 || stopped.Found == nil || !strings.Contains(stopped.Found.Error(), "f.yaml:5:") {
		t.Errorf("%v, found %v", err, found)
	}
	if len(seen) == 0 || seen[0] != 0 || seen[len(seen)-1] != 2 {
		t.Errorf("it was told of the stages %v", seen)
	}
}
