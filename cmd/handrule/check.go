package main

import (
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"handrule/internal/visible"
	"handrule/scenarios"
	"handrule/scenarios/armfile"
	"handrule/scenarios/form"
)

type checkCommand struct {
	Arm   string   `placeholder:"ARM" help:"The arm to stand in the cells: a shipped one or the path of an arm file. Those among the files and all that ship, unless told otherwise."`
	Fix   bool     `help:"Write words of an earlier handrule as they are now, in the files; all else in them stays as it is."`
	Files []string `arg:"" name:"file" help:"Arm, cell or lesson files, or files of jogs."`
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
		if c.Fix {
			if err := fix(file, out); err != nil {
				fmt.Fprintln(errs, err)
				bad = true
				continue
			}
		}
		report, err := scenarios.Check(file, arms)
		if err != nil {
			fmt.Fprintln(errs, err)
			bad = true
			continue
		}
		fmt.Fprintf(out, "%s: ok, %s\n", visible.Text(file), report.What)
		for _, note := range report.Notes {
			fmt.Fprintln(out, "  "+strings.ReplaceAll(note, "\n", "\n  "))
		}
	}
	if bad {
		return fmt.Errorf("not every file is right")
	}
	return nil
}

// fix writes the old words of a file as they are now. What else is wrong with it is told by the check after that.
func fix(file string, out io.Writer) error {
	fixes := scenarios.OldWords(file)
	if len(fixes) == 0 {
		return nil
	}
	if err := scenarios.Fix(file, fixes); err != nil {
		return fmt.Errorf("%s: cannot be written: %w", visible.Text(file), form.WithoutPath(err))
	}
	for _, f := range fixes {
		fmt.Fprintf(out, "%s:%s, and is written so\n", visible.Text(file), f)
	}
	return nil
}
