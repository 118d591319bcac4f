package main

import (
	"io"

	"handrule/scenarios"
	"handrule/scenarios/worksheet"
)

type sheetCommand struct {
	Seed    uint64 `default:"0" placeholder:"N" help:"Draw the lesson's numbers from this; neighbours get different ones."`
	Answers bool   `help:"Print the key with the answers instead."`
	Lesson  string `arg:"" help:"A shipped lesson or the path of a lesson file."`
}

// Run prints an HTML page made for paper.
func (c sheetCommand) Run(out io.Writer) error {
	lesson, err := scenarios.OpenLesson(c.Lesson, c.Seed)
	if err != nil {
		return err
	}
	return worksheet.Write(out, lesson, c.Seed, c.Answers)
}
