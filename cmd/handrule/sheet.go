package main

import (
	"fmt"
	"io"

	"handrule/scenarios"
	"handrule/scenarios/form"
	"handrule/scenarios/worksheet"
	"handrule/words"
)

type sheetCommand struct {
	Seed    uint64 `default:"0" placeholder:"N" help:"Draw the lesson's numbers from this; neighbours get different ones."`
	Answers bool   `help:"Print the key instead: the answers, and the arithmetic that leads to them."`
	Paper   string `default:"a4" enum:"a4,letter" placeholder:"SIZE" help:"a4, or letter for US Letter."`
	Lang    string `default:"en" placeholder:"CODE" help:"The language: en or es. A lesson without texts in it stays as its file has them."`
	Lesson  string `arg:"" help:"A shipped lesson or the path of a lesson file."`
}

// Run prints an HTML page made for paper.
func (c sheetCommand) Run(out io.Writer) error {
	in := words.Find(c.Lang)
	if in == nil {
		return unknownLanguage(c.Lang)
	}
	lesson, err := scenarios.OpenLesson(c.Lesson, c.Seed)
	if err != nil {
		return err
	}
	return worksheet.Write(out, lesson, worksheet.Print{Seed: c.Seed, Answers: c.Answers, Paper: c.Paper, In: in})
}

func unknownLanguage(code string) error {
	var codes []string
	for _, l := range words.Languages {
		codes = append(codes, l.Code)
	}
	return fmt.Errorf("there is no language %s; %s", form.Quoted(code), form.UnknownWord(code, codes))
}
