package main

import (
	"fmt"
	"io"
	"strings"

	"handrule/scenarios"
)

type checkCommand struct {
	Arm   string   `placeholder:"ARM" help:"The arm to stand in the cells: a shipped one or the path of an arm file. All that ship, unless told otherwise."`
	Files []string `arg:"" name:"file" help:"Arm, cell or lesson files."`
}

// Run reads every file, however many are wrong.
func (c checkCommand) Run(out io.Writer, errs *errorOutput) error {
	arms := scenarios.ShippedArms()
	if c.Arm != "" {
		arm, err := scenarios.OpenArm(c.Arm)
		if err != nil {
			return err
		}
		arms = []*scenarios.Arm{arm}
	}
	bad := false
	for _, file := range c.Files {
		what, notes, err := scenarios.Check(file, arms)
		if err != nil {
			fmt.Fprintln(errs, err)
			bad = true
			continue
		}
		fmt.Fprintf(out, "%s: ok, %s\n", file, what)
		for _, note := range notes {
			fmt.Fprintln(out, "  "+strings.ReplaceAll(note, "\n", "\n  "))
		}
	}
	if bad {
		return fmt.Errorf("not every file is right")
	}
	return nil
}
