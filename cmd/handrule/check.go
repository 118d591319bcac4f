package main

import (
	"errors"
	"fmt"
	"io"
	"maps"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"handrule/internal/files"
	"handrule/internal/visible"
	"handrule/scenarios"
	"handrule/scenarios/armfile"
	"handrule/scenarios/form"
	"handrule/scenarios/solve"
)

type checkCommand struct {
	Arm   string   `placeholder:"ARM" help:"The arm to stand in the cells: a shipped one or the path of an arm file. Those among the files and in their folders, and all that ship, unless told otherwise."`
	Fix   bool     `help:"Write words of an earlier handrule as they are now, in the files; all else in them stays as it is."`
	Watch bool     `help:"Check again whenever a file in their folders is saved, until Ctrl-C."`
	Files []string `arg:"" name:"file" help:"Arm, cell or lesson files, or files of jogs; or a folder of them."`
}

// mostBeside is how many files beside those to be checked are looked at for arms.
const mostBeside = 200

// armsAround are the arms among those files and in their folders.
func armsAround(given []string, read *scenarios.Reading) (arms []*armfile.Arm) {
	seen := map[string]bool{}
	for _, file := range given {
		seen[filepath.Clean(file)] = true
		arms = append(arms, read.File(file).Arms()...)
	}
	for _, file := range given {
		beside, _ := filepath.Glob(filepath.Join(filepath.Dir(file), "*.y*ml")) // The pattern is a right one.
		for _, file := range beside[:min(len(beside), mostBeside)] {
			if file = filepath.Clean(file); seen[file] {
				continue
			}
			seen[file] = true
			if arm, err := scenarios.OpenArm(file); err == nil {
				arms = append(arms, arm)
			}
		}
	}
	return arms
}

var errNotRight = errors.New("not every file is right")

// Run reads every file, however many are wrong.
func (c checkCommand) Run(out io.Writer, errs *errorOutput) error {
	search, end := newSearching(errs)
	defer end()
	if c.Watch {
		return c.again(out, errs, search)
	}
	return c.check(out, errs, search, search.of, nil)
}

// again checks the files whenever they have been saved, until Ctrl-C.
func (c checkCommand) again(out io.Writer, errs *errorOutput, search *searching) error {
	saved, before := c.watches(), map[string]string{}
	ticker := time.NewTicker(lookEvery)
	defer ticker.Stop()
	for {
		if isTerminal(out) {
			fmt.Fprint(out, emptyScreen)
		}
		stale := false // what is being checked was saved meanwhile
		look := time.Now().Add(lookEvery)
		told := maps.Clone(before)
		err := c.check(out, errs, search, func(file string) solve.Watch {
			watch := search.of(file)
			return func(p solve.Progress) bool {
				if now := time.Now(); !stale && now.After(look) {
					look = now.Add(lookEvery)
					stale = saved()
				}
				return !stale && watch(p)
			}
		}, told)
		search.clear()
		if search.ctx.Err() != nil {
			return err
		}
		if stale {
			continue
		}
		before = told
		said := "all is right"
		if err != nil {
			said = err.Error()
		}
		fmt.Fprintf(out, "%s: %s; this is checked again when a file is saved (Ctrl-C ends it)\n", time.Now().Format(time.TimeOnly), said)
		for waits := true; waits; {
			select {
			case <-search.ctx.Done():
				return err
			case <-ticker.C:
				waits = !saved()
			}
		}
	}
}

// watches looks at the folders of the files, because a lesson depends on what is beside it.
func (c checkCommand) watches() (saved func() bool) {
	folders := map[string]*scenarios.Watch{}
	for _, file := range c.Files {
		dir := filepath.Dir(file)
		if files.IsFolder(file) {
			dir = file
		}
		if folders[dir] == nil {
			folders[dir] = scenarios.NewWatch(dir)
		}
	}
	return func() (any bool) {
		for _, w := range folders {
			any = w.Changed() || any
		}
		return any
	}
}

// check reads every file once; watching watches the search for a file's ways. What of the files that are right was told before is
// not told again, where that is kept: what is new would be lost in it.
func (c checkCommand) check(out io.Writer, errs *errorOutput, search *searching, watching func(file string) solve.Watch, before map[string]string) error {
	read := scenarios.NewReading()
	given, err := expanded(c.Files, read)
	if err != nil {
		return err
	}
	arms := scenarios.ShippedArms()
	if c.Arm != "" {
		arm, err := scenarios.OpenArm(c.Arm)
		if err != nil {
			return err
		}
		arms = []*armfile.Arm{arm}
	} else {
		arms = append(armsAround(given.files, read), arms...)
	}
	var wrong []string
	told := map[string]bool{} // what is wrong, so far
	asBefore := 0
	for _, file := range given.files {
		shown := visible.Text(file)
		if c.Fix {
			if err := fix(read.File(file), out); err != nil {
				fmt.Fprintln(errs, err)
				wrong = append(wrong, shown)
				continue
			}
		}
		report, err := read.File(file).Check(arms, watching(shown))
		search.clear()
		if found := given.wrong[file]; err == nil && len(found) > 0 {
			err = found
		}
		var stopped solve.Stopped
		switch {
		case errors.As(err, &stopped):
			if search.ended {
				fmt.Fprintf(out, "%s: %s\n", shown, report.What)
				writeNotes(out, report.Notes)
				search.tellStop(errs, shown, stopped)
			}
			return errStopped
		case err != nil:
			fmt.Fprintln(errs, news(shown, err, told))
			wrong = append(wrong, shown)
			delete(before, shown)
			continue
		}
		if now := report.What + "\n" + strings.Join(report.Notes, "\n"); before != nil {
			if before[shown] == now {
				asBefore++
				continue
			}
			before[shown] = now
		}
		fmt.Fprintf(out, "%s: ok, %s\n", shown, report.What)
		writeNotes(out, report.Notes)
	}
	if asBefore > 0 {
		fmt.Fprintf(out, "right as before: %d\n", asBefore)
	}
	if given.folder {
		fmt.Fprintln(out, summary(len(given.files), wrong))
	}
	if len(wrong) > 0 {
		return errNotRight
	}
	return nil
}

// givenFiles are the files to be checked.
type givenFiles struct {
	files  []string
	folder bool                   // some of them are those of a folder
	wrong  map[string]form.Errors // what is wrong with a file in its folder, such as its name
}

// expanded takes a folder for the files in it.
func expanded(paths []string, read *scenarios.Reading) (all givenFiles, err error) {
	all.wrong = map[string]form.Errors{}
	for _, path := range paths {
		if !files.IsFolder(path) {
			all.files = append(all.files, path)
			continue
		}
		inIt, wrong, err := read.Folder(path)
		if err != nil {
			return all, err
		}
		maps.Copy(all.wrong, wrong)
		all.files, all.folder = append(all.files, inIt...), true
	}
	return all, nil
}

// summary says of a folder's files how many are right, and which are not.
func summary(files int, wrong []string) string {
	switch {
	case len(wrong) == 0:
		return fmt.Sprintf("files: %d, all right", files)
	default:
		return fmt.Sprintf("files: %d, right: %d, wrong: %d (%s)", files, files-len(wrong), len(wrong), strings.Join(wrong, ", "))
	}
}

// news leaves out of what is wrong with a file what was told before, of another file that it names; told takes it up.
func news(file string, err error, told map[string]bool) error {
	all, listed := err.(form.Errors)
	if !listed {
		return err
	}
	var left form.Errors
	for _, p := range all {
		if text := p.Error(); !told[text] {
			told[text] = true
			left = append(left, p)
		}
	}
	if len(left) == 0 && !slices.ContainsFunc(all, func(p form.Problem) bool { return visible.Text(p.File) != file }) {
		return fmt.Errorf("%s: is wrong, as told above, where a file before it needs this one", file)
	}
	if len(left) == 0 {
		return fmt.Errorf("%s: names a file that is wrong, as told above", file)
	}
	return left
}

func writeNotes(out io.Writer, notes []string) {
	for _, note := range notes {
		fmt.Fprintln(out, "  "+strings.ReplaceAll(note, "\n", "\n  "))
	}
}

// fix writes the old words of a file as they are now. What else is wrong with it is told by the check after that.
func fix(file *scenarios.Given, out io.Writer) error {
	fixes, err := file.Fix()
	for _, f := range fixes {
		fmt.Fprintf(out, "%s:%s, and is written so\n", visible.Text(file.Path), f)
	}
	return err
}
