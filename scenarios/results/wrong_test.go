package results

import (
	"slices"
	"strings"
	"testing"

	"handrule/scenarios/lesson"
	"handrule/words"
)

// By hand: of four who tried the second task, two said X first (one of them twice), one Z; a result handed in twice counts once, and one
// that does not count not at all.
func TestWrongAnswersAreCounted(t *testing.T) {
	with := func(r Result, answers ...lesson.Given) Result {
		r.Progress.Stages[2].Answers = answers
		return r
	}
	inSpanish := lesson.Given{Answer: "en la base", InFile: "+X of the base frame"} // The same option, read in another language.
	wrong := func(answer string) lesson.Given { return lesson.Given{Answer: answer} }
	right := lesson.Given{Answer: "−X of the base frame", Good: true}
	ada := with(graded("Ada", "7", 1, 1, 2, 1), wrong("+X of the base frame"), inSpanish, right)
	forged := Row{File: "forged.json", Result: with(graded("Eve", "", 9, 1, 0, 0), wrong("nowhere")), Err: ErrEdited}
	rows := []Row{
		{File: "1.json", Result: ada}, {File: "again.json", Result: ada},
		{File: "2.json", Result: with(graded("Bob", "", 2, 1, 2, 0), wrong("+X of the base frame"), wrong("=Z"))},
		{File: "3.json", Result: with(graded("Cy", "", 3, 1, 0, 1), right)},
		{File: "4.json", Result: graded("Di", "", 4, 1, 0, 0)},
		forged,
	}
	var out strings.Builder
	if err := (Table{BOM: false}).WriteWrong(&out, rows); err != nil {
		t.Fatal(err)
	}
	want := "lesson,task,wrong_answer,reveals,learners,of,times\nA lesson,which-way,'+X of the base frame,,2,4,3\nA lesson,which-way,'=Z,,1,4,1\n"
	if got := strings.ReplaceAll(out.String(), "\r\n", "\n"); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

// Answers that reveal the same are one row, in which those given most often come first; the text says the same in both languages.
func TestWrongAnswersThatRevealTheSame(t *testing.T) {
	row := func(learner string, answers ...string) Row {
		r := graded(learner, "", 1, 1, 1, 0)
		for _, a := range answers {
			r.Progress.Stages[2].Answers = append(r.Progress.Stages[2].Answers, lesson.Given{Answer: a})
		}
		return Row{File: learner, Result: r}
	}
	rows := []Row{row("Ada", "−20 mm", "up"), row("Bob", "−30 mm", "−30 mm"), row("Cy", "−40 mm"), row("Di", "−50 mm")}
	table := Table{Take: TakeEvery, Reveals: func(_ *Result, _ int, given lesson.Given) string {
		if strings.HasPrefix(given.Answer, "−") {
			return "the other sign"
		}
		return ""
	}}
	var out strings.Builder
	if err := table.WriteWrong(&out, rows); err != nil {
		t.Fatal(err)
	}
	want := "lesson,task,wrong_answer,reveals,learners,of,times\nA lesson,which-way,'−30 mm; −20 mm; −40 mm; …,the other sign,4,4,5\nA lesson,which-way,up,,1,4,1\n"
	if got := strings.ReplaceAll(out.String(), "\r\n", "\n"); strings.ReplaceAll(got, "'", "") != strings.ReplaceAll(want, "'", "") {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
	for code, want := range map[string]string{
		"en": "A lesson\n  which-way: tried by 4\n    4 learners: −30 mm; −20 mm; −40 mm; … (the other sign)\n    1 learner: up\n",
		"es": "A lesson\n  which-way: lo intentaron 4\n    4 alumnos: −30 mm; −20 mm; −40 mm; … (the other sign)\n    1 alumno: up\n",
	} {
		var out strings.Builder
		if err := table.TellWrong(&out, rows, words.Find(code)); err != nil || out.String() != want {
			t.Errorf("got\n%s\nwant\n%s (%v)", out.String(), want, err)
		}
	}
}

// Every result counts, or of each learner the best or the last alone, as in the table.
func TestWrongAnswersOfTheResultsThatAreTaken(t *testing.T) {
	with := func(minute int, earned float64, answer string) Row {
		r := graded("Ada", "7", uint64(minute), minute, 2, earned)
		r.Progress.Stages[2].Answers = []lesson.Given{{Answer: answer}}
		return Row{File: answer, Result: r}
	}
	rows := []Row{with(1, 1, "first"), with(2, 0, "second")}
	for take, want := range map[Take][]string{TakeEvery: {"first", "second"}, TakeBest: {"first"}, TakeLast: {"second"}} {
		var out strings.Builder
		if err := (Table{Take: take}).WriteWrong(&out, rows); err != nil {
			t.Fatal(err)
		}
		for _, answer := range []string{"first", "second"} {
			if is := strings.Contains(out.String(), answer); is != slices.Contains(want, answer) {
				t.Errorf("%s: %s", take, out.String())
			}
		}
	}
}
