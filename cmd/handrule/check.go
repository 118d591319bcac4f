package main

import (
	"fmt"
	"io"

	"handrule/scenarios"
)

type checkCommand struct {
	Files []string `arg:"" name:"file" help:"Arm or lesson files."`
}

// Run reads every file, however many are wrong.
func (c checkCommand) Run(out io.Writer, errs *errorOutput) error {
	bad := false
	for _, file := range c.Files {
		what, err := scenarios.Check(file)
		if err != nil {
			fmt.Fprintln(errs, err)
			bad = true
			continue
		}
		fmt.Fprintf(out, "%s: ok, %s\n", file, what)
	}
	if bad {
		return fmt.Errorf("not every file is right")
	}
	return nil
}
