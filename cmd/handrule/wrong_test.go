package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"handrule/scenarios"
	"handrule/scenarios/lesson"
	"handrule/scenarios/results"
)

// With the pen straight down at 0, 0, 0, 0, 90, 0 the tool's Z is the base frame's −Z, and the TCP is at Z 110 of the base frame, which is
// 300 mm above the mounting surface: by hand.
const planted = `title: Planted
arm: wren
start_deg: [0, 0, 0, 0, 90, 0]
stages:
  - {title: along, text: a, predict: {jog: base y +60, ask: direction}}
  - {title: tool, text: a, predict: {jog: tool z +60, ask: direction}}
  - {title: height, text: a, read: {measure: z, tolerance: 1}}
  - {title: pick, text: a, choose: {question: Which?, options: [{text: one, right: true}, {text: two}]}}
`

const plantedDrawn = `title: Drawn
arm: wren
start_deg: [0, 0, 0, 0, 90, 0]
ASSESSMENT
draw: [{name: far, from: 20, to: 60, step: 5}]
stages:
  - {title: side, text: a, read: {measure: y, after: base y +$far, tolerance: 0.5}}
`

// answering is a result in which these answers were given to the stages, by their titles.
func answering(t *testing.T, l *lesson.Lesson, learner string, answers map[string]lesson.Answer) results.Result {
	t.Helper()
	run := lesson.NewRun(l)
	run.Progress.Began = time.Date(2026, 3, 2, 10, 0, 0, 0, time.UTC)
	for i := range l.Stages {
		given, is := answers[l.Stages[i].Title]
		if !is {
			continue
		}
		d, err := l.Drive(l.Stages[i].Begin)
		if err != nil {
			t.Fatal(err)
		}
		if err := run.Enter(i, d); err != nil {
			t.Fatal(err)
		}
		if v, err := run.Answer(d, given); err != nil || v.Done {
			t.Fatalf("%s is no wrong answer to %s: %+v %v", learner, l.Stages[i].Title, v, err)
		}
	}
	return results.Result{Learner: learner, Finished: run.Progress.Began.Add(time.Minute), Progress: run.Progress, Assessment: l.Assessment != nil}
}

func TestWrongAnswersAreToldWithWhatTheyReveal(t *testing.T) {
	t.Setenv("XDG_CONFIG_HOME", t.TempDir())
	t.Setenv("HOME", t.TempDir())
	dir := t.TempDir()
	file := filepath.Join(dir, "planted.yaml")
	put := func(path, text string) {
		t.Helper()
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	put(file, planted)
	keyPath := filepath.Join(dir, "results.pem")
	key, err := results.OpenKey(keyPath)
	if err != nil {
		t.Fatal(err)
	}
	sign := func(name string, r results.Result) string {
		t.Helper()
		text, err := results.Sign(r, key)
		if err != nil {
			t.Fatal(err)
		}
		path := filepath.Join(dir, name)
		put(path, string(text))
		return path
	}
	number := func(n float64) lesson.Answer { return lesson.Answer{Number: &n} }
	l, err := scenarios.OpenLesson(file, 0)
	if err != nil {
		t.Fatal(err)
	}
	first := map[string]lesson.Answer{"along": {Direction: "y -"}, "tool": {Direction: "z +"}, "height": number(410), "pick": {Options: []int{1}}}
	second := map[string]lesson.Answer{"along": {Direction: "x +"}, "tool": {Direction: "z +"}, "height": number(-110)}
	args := []string{"results", "--wrong", "--key", keyPath, sign("a.json", answering(t, l, "Ada", first)), sign("b.json", answering(t, l, "Bob", second))}

	// Without the lesson's file the answers are told, and what it would take to tell more.
	status, out, errs := do(args...)
	if status != 0 || !strings.Contains(out, "lesson,task,wrong_answer,reveals,learners,of,times") || !strings.Contains(errs, "planted: to tell what wrong answers reveal takes the lesson's file; name it, or its folder, with --lesson") {
		t.Errorf("status %d, %s\n%s", status, errs, out)
	}
	for _, named := range []string{file, dir} {
		if named == dir {
			put(filepath.Join(dir, "results.yaml"), "name: no lesson\n") // What else is in the folder does no harm.
		}
		status, out, errs = do(append(args, "--lesson", named)...)
		if status != 0 || errs != "" {
			t.Fatalf("status %d, %s", status, errs)
		}
		told := map[string]string{}
		for _, row := range gradebook(t, out) {
			told[row["task"]+" "+strings.TrimPrefix(row["wrong_answer"], "'")] = row["reveals"] + " " + row["learners"]
		}
		for answer, reveals := range map[string]string{
			"tool z +": "the base frame instead of the tool frame", "height 410 mm": "measured from", "height -110 mm": "the other sign", "pick two": " 1", "along y -": "minus for plus",
		} {
			answer = strings.ReplaceAll(answer, "-110", "−110")
			if !strings.Contains(told[answer], reveals) {
				t.Errorf("%s reveals %q, and not %q, of %v", answer, told[answer], reveals, told)
			}
		}
		if !strings.HasSuffix(told["tool z +"], " 2") {
			t.Errorf("two answered so: %v", told)
		}
	}
	_, out, _ = do(append(args, "--lesson", file, "--text", "--lang", "es")...)
	for _, says := range []string{"Planted\n", "  tool: lo intentaron 2\n", "2 alumnos: ", "(menos en vez de más", "(el otro signo"} {
		if !strings.Contains(out, says) {
			t.Errorf("want %q in\n%s", says, out)
		}
	}

	// Of drawn numbers, each learner's own, the same mistake is one row, in practice and in an assessment.
	for name, kind := range map[string]string{"drawn.yaml": "", "dealt.yaml": "assessment: {tries: 3}"} {
		file := filepath.Join(dir, name)
		put(file, strings.Replace(plantedDrawn, "ASSESSMENT", kind, 1))
		var own []string
		for i, seed := range []uint64{1, 2, 3, 4} {
			l, err := scenarios.OpenLesson(file, seed)
			if err != nil {
				t.Fatal(err)
			}
			from := lesson.Deal{Seed: seed}
			if kind != "" {
				from.Secret = results.NumbersOf(l.ID, seed, key)
			}
			if l, err = l.Redrawn(from); err != nil {
				t.Fatal(err)
			}
			d, _ := l.Drive(l.Start)
			right, err := l.Stages[0].Task.(lesson.Asked).Truth(l, d)
			if err != nil {
				t.Fatal(err)
			}
			r := answering(t, l, fmt.Sprint("learner ", i), map[string]lesson.Answer{"side": number(-*right.Answer.Number)})
			r.Progress.Seed = seed
			own = append(own, sign(fmt.Sprintf("%s-%d.json", name, i), r))
		}
		_, out, errs := do(append([]string{"results", "--wrong", "--key", keyPath, "--lesson", file}, own...)...)
		if rows := gradebook(t, out); errs != "" || len(rows) != 1 || rows[0]["learners"] != "4" || !strings.Contains(rows[0]["reveals"], "the other sign") {
			t.Errorf("%s: %s %v", name, errs, rows)
		}
		if kind == "" {
			continue
		}
		public := filepath.Join(t.TempDir(), "public.pem")
		_, text, _ := do("key", "--key", keyPath)
		put(public, text)
		status, out, errs := do(append([]string{"results", "--wrong", "--key", public, "--lesson", file}, own...)...)
		if rows := gradebook(t, out); status != 0 || len(rows) == 0 || rows[0]["reveals"] != "" || !strings.Contains(errs, "of the server that dealt its numbers") {
			t.Errorf("with the public key: status %d, %s %v", status, errs, rows)
		}
	}
	for says, args := range map[string][]string{"go with --wrong": {"results", "--text", "a.json"}, "is an arm file": {"results", "--wrong", "--key", keyPath, "--lesson", "../../scenarios/arms/wren.yaml", filepath.Join(dir, "a.json")}, "there is no language": {"results", "--wrong", "--lang", "xx", "a.json"}} {
		if status, _, errs := do(args...); status != 2 || !strings.Contains(errs, says) {
			t.Errorf("%v: status %d, %s", args, status, errs)
		}
	}
}
