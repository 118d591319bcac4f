package main

import (
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"handrule/internal/visible"
	"handrule/scenarios"
	"handrule/scenarios/armfile"
)

type checkCommand struct {
	Arm   string   `placeholder:"ARM" help:"The arm to stand in the cells: a shipped one or the path of an arm file. Those among the files and all that ship, unless told otherwise."`
	Files []string `arg:"" name:"file" help:"Arm, cell or lesson files."`
}

// armsAmong are the arms of those files that are right ones of arms.
func armsAmong(files []string) (arms []*armfile.Arm) {
	for _, file := range files {
		if filepath.Ext(file) == "" {
			continue // the name of a shipped one
		}
		if arm, err := scenarios.OpenArm(file); err == nil {
			arms = append(arms, arm)
		}
	}
	return arms
}

// Run reads every file, however many are wrong.
func (c checkCommand) Run(out io.Writer, errs *errorOutput) error {
	arms := scenarios.ShippedArms()
	if c.Arm != "" {
		arm, err := scenarios.OpenArm(c.Arm)
		if err != nil {
			return err
		}
		arms = []*armfile.Arm{arm}
	} else {
		arms = append(armsAmong(c.Files), arms...)
	}
	bad := false
	for _, file := range c.Files {
		what, notes, err := scenarios.Check(file, arms)
		if err != nil {
			fmt.Fprintln(errs, err)
			bad = true
			continue
		}
		fmt.Fprintf(out, "%s: ok, %s\n", visible.Text(file), what)
		for _, note := range notes {
			fmt.Fprintln(out, "  "+strings.ReplaceAll(note, "\n", "\n  "))
		}
	}
	if bad {
		return fmt.Errorf("not every file is right")
	}
	return nil
}
