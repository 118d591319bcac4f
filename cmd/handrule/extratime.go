package main

import (
	"fmt"
	"io"

	"handrule/scenarios"
	"handrule/scenarios/form"
	"handrule/scenarios/results"
)

type extraTimeCommand struct {
	Key     string `placeholder:"FILE" help:"Key of the server that gives the assessment. This user's own, unless told otherwise."`
	For     string `required:"" placeholder:"NAME" help:"For whom the time is. It stands in the code and in the result."`
	Minutes int    `required:"" placeholder:"N" help:"How many minutes more than the file allows."`
	Lesson  string `arg:"" help:"A shipped assessment or the path of a lesson file."`
}

// Run prints a code that a learner types into the page.
func (c extraTimeCommand) Run(out io.Writer) error {
	lesson, err := scenarios.OpenLesson(c.Lesson, 0)
	if err != nil {
		return err
	}
	if a := lesson.Assessment; a == nil || a.Minutes == 0 {
		return fmt.Errorf("%s: has no limit of time; minutes_allowed under assessment sets one", form.Quoted(c.Lesson))
	}
	key, err := serverKey(c.Key, "a code for more time")
	if err != nil {
		return err
	}
	code, err := results.ExtraTime(lesson.ID, c.For, c.Minutes, key)
	if err != nil {
		return err
	}
	fmt.Fprintln(out, code)
	return nil
}
