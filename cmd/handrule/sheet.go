package main

import (
	"errors"
	"fmt"
	"io"

	"handrule/internal/visible"
	"handrule/scenarios"
	"handrule/scenarios/form"
	"handrule/scenarios/lesson"
	"handrule/scenarios/results"
	"handrule/scenarios/solve"
	"handrule/scenarios/worksheet"
	"handrule/words"
)

type sheetCommand struct {
	Seed    uint64 `default:"0" placeholder:"N" help:"Draw the lesson's numbers from this; neighbours get different ones."`
	Answers bool   `help:"Print the key instead: the answers, and the arithmetic that leads to them."`
	Paper   string `default:"a4" enum:"a4,letter" placeholder:"SIZE" help:"a4, or letter for US Letter."`
	Lang    string `default:"en" placeholder:"CODE" help:"The language: en or es. A lesson without texts in it stays as its file has them."`
	Key     string `placeholder:"FILE" help:"Key of the server that gives the lesson, from which an assessment's numbers are drawn. This user's own, unless told otherwise."`
	Lesson  string `arg:"" help:"A shipped lesson or the path of a lesson file."`
}

// Run prints an HTML page made for paper.
func (c sheetCommand) Run(out io.Writer, errs *errorOutput) error {
	in := words.Find(c.Lang)
	if in == nil {
		return unknownLanguage(c.Lang)
	}
	l, err := scenarios.OpenLesson(c.Lesson, c.Seed)
	if err != nil {
		return err
	}
	from := lesson.Deal{Seed: c.Seed}
	if l.Assessment != nil {
		key, err := serverKey(c.Key, "a sheet of an assessment")
		if err != nil {
			return err
		}
		from.Secret = results.NumbersOf(l.ID, c.Seed, key)
	}
	search, end := newSearching(errs)
	defer end()
	err = worksheet.Write(out, l, worksheet.Print{Deal: from, Answers: c.Answers, Paper: c.Paper, In: in, Watch: search.of(visible.Text(l.File))})
	var stopped solve.Stopped
	if errors.As(err, &stopped) {
		return search.tellStop(errs, visible.Text(l.File), stopped)
	}
	return err
}

func unknownLanguage(code string) error {
	var codes []string
	for _, l := range words.Languages {
		codes = append(codes, l.Code)
	}
	return fmt.Errorf("there is no language %s; %s", form.Quoted(code), form.UnknownWord(code, codes))
}
