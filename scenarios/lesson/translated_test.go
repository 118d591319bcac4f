package lesson_test

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"handrule/scenarios"
	"handrule/scenarios/lesson"
	"handrule/scenarios/solve"
	"handrule/words"
)

const ownLesson = `title: Over the pot
arm: wren
start_deg: [0, 0, 0, 0, 90, 0]
aims:
  - Bring the tool 40 mm up.
draw:
  - {name: up, one_of: [20, 30]}
stages:
  - title: How far?
    text: The jog is **$up mm** along Z. J5 stands at 90°.
    read: {measure: z, after: base z +$up, tolerance: 1}
    hints:
      - Add $up to 110.0.
  - id: which
    text: Which joint is nearest to the pen?
    choose:
      question: It is …
      options:
        - {text: joint J6, right: true, why: The pen is screwed to its flange.}
        - {text: joint J1}
  - title: Drive
    text: Drive.
    free:
      notice:
        - {text: J1 has turned, event: jogged, joint: J1}
        - {text: J2 has turned, event: jogged, joint: J2}
`

const ownSpanish = `title: Sobre el bote
aims:
  - Llevar la herramienta 40 mm arriba.
stages:
  - of: How far?
    title: ¿Cuánto?
    text: El movimiento es de **$up mm** a lo largo de Z. J5 está a 90°.
    hints:
      - Sume $up a 110,0.
  - of: which
    text: ¿Qué articulación está más cerca del rotulador?
    question: Es …
    options:
      - {text: la articulación J6, why: El rotulador está atornillado a su brida.}
      - {text: la articulación J1}
  - of: Drive
    title: Mueva el brazo
    text: Mueva el brazo.
    notice: [J1 ha girado, J2 ha girado]
`

// ownLessonIn writes a lesson with a translation, and reads both.
func ownLessonIn(t *testing.T, spanish string) (l *lesson.Lesson, notes []string, err error) {
	t.Helper()
	dir := t.TempDir()
	for name, text := range map[string]string{"pot.yaml": ownLesson, "pot.es.yaml": spanish} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	r, err := scenarios.Check(filepath.Join(dir, "pot.es.yaml"), nil, nil)
	l, openErr := scenarios.OpenLesson(filepath.Join(dir, "pot.yaml"), 0)
	if openErr != nil {
		t.Fatal(openErr)
	}
	return l, r.Notes, err
}

// A lesson in another language has every text of its translation and every task of its file; the numbers that were drawn
// stand in both.
func TestALessonIsReadInAnotherLanguage(t *testing.T) {
	l, notes, err := ownLessonIn(t, ownSpanish)
	if err != nil || len(notes) > 0 {
		t.Fatal(notes, err)
	}
	l, _, err = solve.Drawn(l, lesson.Deal{Seed: 5})
	if err != nil {
		t.Fatal(err)
	}
	es := l.In(words.Find("es"))
	if es.Title != "Sobre el bote" || es.Aims[0] != "Llevar la herramienta 40 mm arriba." || es.In(words.English).Title != "Over the pot" {
		t.Error(es.Title, es.Aims)
	}
	up := lesson.DrawnText(es.Stages[0].Read.After[0].Amount)
	if !strings.Contains(es.Stages[0].HTML, "<strong>"+up+" mm</strong> a lo largo") || es.Stages[0].Hints[0].Text != "Sume "+up+" a 110,0." {
		t.Errorf("%s, %+v", es.Stages[0].HTML, es.Stages[0].Hints)
	}
	if es.Stages[0].Read != l.Stages[0].Read {
		t.Error("another task")
	}
	if c := es.Stages[1].Choose; c.Question != "Es …" || c.Options[0].Text != "la articulación J6" || !c.Options[0].Right || l.Stages[1].Choose.Options[0].Text != "joint J6" {
		t.Errorf("%+v", c)
	}
	if f := es.Stages[2].Free; f.Notice[1].Text != "J2 ha girado" || f.Notice[1].ID != l.Stages[2].Free.Notice[1].ID {
		t.Errorf("%+v", f)
	}
}

// An answer that was given in one language counts and is told in the other, and what is kept has the titles of the file.
func TestTheLanguageChangesInTheMiddleOfALesson(t *testing.T) {
	l, _, _ := ownLessonIn(t, ownSpanish)
	run := lesson.NewRun(l.In(words.Find("es")))
	run.Speak(words.Find("es"))
	d, err := run.Lesson.Drive(run.Lesson.Start)
	if err != nil {
		t.Fatal(err)
	}
	if err := run.Enter(1, d); err != nil {
		t.Fatal(err)
	}
	v, err := run.Answer(d, lesson.Answer{Options: []int{0}})
	if err != nil || !v.Done || v.Given != "la articulación J6" || !strings.Contains(v.Words, "brida") {
		t.Errorf("%+v %v", v, err)
	}
	if given := run.Progress.Stages[1].Answers[0]; given.Answer != "la articulación J6" || given.InFile != "joint J6" {
		t.Errorf("%+v", given)
	}
	if p := run.Progress; p.Title != "Over the pot" || p.Stages[0].Title != "How far?" {
		t.Errorf("%+v", p)
	}
	packed, err := run.Progress.MarshalBinary()
	if err != nil {
		t.Fatal(err)
	}
	var kept lesson.Progress
	if err := kept.UnmarshalBinary(packed); err != nil {
		t.Fatal(err)
	}
	again := lesson.NewRun(l)
	if err := again.Resume(kept); err != nil || !again.Progress.Stages[1].Done || again.Progress.Stages[1].Answers[0].Answer != "joint J6" || again.Progress.Stages[1].Answers[0].InFile != "" {
		t.Errorf("%+v %v", again.Progress.Stages[1], err)
	}
	back := lesson.NewRun(l.In(words.Find("es")))
	if err := back.Resume(kept); err != nil || back.Progress.Stages[1].Answers[0].InFile != "joint J6" {
		t.Errorf("%+v %v", back.Progress.Stages[1], err)
	}
}

// Shapes of one question often have the same title: a translation of them is told what to do, and nothing that it says already.
func TestATranslationNamesOneOfTwoStages(t *testing.T) {
	dir := t.TempDir()
	two := strings.Replace(ownLesson, "title: Drive", "title: How far?", 1)
	for name, text := range map[string]string{"pot.yaml": two, "pot.es.yaml": "title: Bote\nstages:\n  - of: How far?\n    text: Mueva.\n"} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	_, err := scenarios.Check(filepath.Join(dir, "pot.es.yaml"), nil, nil)
	if want := `pot.es.yaml:3:9: stage 1: of: stages 1 and 3 of pot are all called "How far?"; give each an id of its own there, and name it here by that`; err == nil || !strings.Contains(err.Error(), want) {
		t.Errorf("%v\nwant %s", err, want)
	}
}

func TestWhatATranslationLacksOrHasTooMuch(t *testing.T) {
	replaced := func(old, new string) string {
		if !strings.Contains(ownSpanish, old) {
			t.Fatal(old)
		}
		return strings.Replace(ownSpanish, old, new, 1)
	}
	for _, c := range []struct{ text, note, problem string }{
		{text: replaced("40 mm arriba", "50 mm arriba"), note: "note: pot, aims, entry 1: other numbers than in the lesson: 40 missing, 50 more"},
		{text: replaced("J5 está a 90°", "J4 está a 90°"), note: "note: stage 1, text: other numbers than in the lesson: J5 missing, J4 more"},
		{text: replaced("aims:\n  - Llevar la herramienta 40 mm arriba.\n", ""), note: "note: pot: aims: none of the 1 is translated"},
		{text: replaced("    title: ¿Cuánto?\n", ""), note: "note: stage 1: title is not translated"},
		{text: replaced(", why: El rotulador está atornillado a su brida.", ""), note: "note: stage 2, option 1: why is not translated"},
		{text: ownSpanish[:strings.Index(ownSpanish, "  - of: Drive")], note: `note: stage 3, "Drive", is not translated`},
		{text: replaced("of: Drive", "of: 3")},
		{text: replaced("of: Drive", "of: Drvie"), problem: `of: pot has no stage called "Drvie"; did you mean "Drive"? It is one of: How far?, which, Drive`},
		{text: replaced("of: Drive", "of: which"), problem: "of: stage 2 is translated twice"},
		{text: replaced("      - {text: la articulación J1}\n", ""), problem: "options are 1, and in the lesson's file 2; translate each, in the same order"},
		{text: replaced("la articulación J1}", "la articulación J1, why: Sí.}"), problem: "why is left over: stage 2, option 2 has none in the lesson's file"},
		{text: replaced("    notice: [J1 ha girado, J2 ha girado]", "    question: ¿Qué?"), problem: "question is left over: stage 3 has none in the lesson's file"},
		{text: replaced("Sume $up", "Sume $upp"), problem: `hints: $upp is not drawn; did you mean "up"`},
		{text: replaced("Mueva el brazo.", "Mueva <b>el brazo</b>."), problem: "text: HTML is not shown in a lesson"},
		{text: replaced("    question: Es …", "    reach: {joint: J1}"), problem: `unknown field "reach"`},
		{text: replaced("title: Sobre el bote\n", "name: Bote\n"), problem: "aims goes with title, of a lesson"},
		{text: replaced("title: Sobre el bote\n", "title: Sobre el bote\nnames: []\n"), problem: "names does not go with title; a lesson's texts are: title, aims, sources, stages"},
	} {
		l, notes, err := ownLessonIn(t, c.text)
		switch {
		case c.problem != "":
			if err == nil || !strings.Contains(err.Error(), c.problem) {
				t.Errorf("%v\nwant %s", err, c.problem)
			}
			if es := l.In(words.Find("es")); es.Title != "Over the pot" {
				t.Errorf("%s: a wrong translation is taken", c.problem)
			}
		case err != nil || c.note != "" && !slices.Contains(notes, c.note) || c.note == "" && len(notes) > 0:
			t.Errorf("%v %q\nwant %q", err, notes, c.note)
		}
	}
}

// A lesson says the language of its own texts, where its author says it; a wrong code is told.
func TestALessonSaysItsLanguage(t *testing.T) {
	text := strings.Replace(ownLesson, "arm: wren\n", "arm: wren\nlanguage: es\n", 1)
	l, err := scenarios.ReadLesson("pot.yaml", []byte(text))
	if err != nil || l.Lang != "es" {
		t.Errorf("%v, %v", l, err)
	}
	if _, err := scenarios.ReadLesson("pot.yaml", []byte(strings.Replace(text, "language: es", "language: Spanish", 1))); err == nil || !strings.Contains(err.Error(), "such as en or es, not \"Spanish\"") {
		t.Error(err)
	}
}
