package main

import (
	"fmt"
	"io"
	"os"
	"path/filepath"

	"handrule/internal/files"
	"handrule/scenarios"
	"handrule/scenarios/form"
	"handrule/server/bench"
	"handrule/server/site"
	"handrule/static"
	"handrule/words"
)

type packageCommand struct {
	Lessons  []string `arg:"" name:"lesson" help:"A shipped lesson or the path of a lesson file; several make one course."`
	Out      string   `short:"o" required:"" placeholder:"FILE" help:"The zip file to write."`
	Language string   `default:"en" placeholder:"CODE" help:"The language it opens in: en, which is meant unless told otherwise, or es."`
	Title    string   `placeholder:"TEXT" help:"The course's title. The first lesson's unless told otherwise."`
}

// Run writes lessons as a package for a learning platform.
func (c packageCommand) Run(out io.Writer) error {
	in := words.Find(c.Language)
	if in == nil {
		return fmt.Errorf("--language: there is no %q; there is en or es", c.Language)
	}
	o := site.Options{
		Offer:  bench.Offer{Arms: scenarios.ShippedArms(), Cells: scenarios.ShippedCells()},
		Bundle: static.Files, Alone: static.Alone,
	}
	dir := ""
	for _, ref := range c.Lessons {
		l, err := scenarios.OpenLesson(ref, 0)
		if err != nil {
			return err
		}
		if o.Offer.Lesson(l.ID) != nil {
			return fmt.Errorf("%s: a lesson by this name is in the package already", ref)
		}
		o.Offer.Lessons = append(o.Offer.Lessons, l)
		if form.IsName(ref) {
			continue
		}
		if at := filepath.Dir(ref); dir != "" && at != dir {
			return fmt.Errorf("%s: lessons of one's own in a package come from one folder, here %s", ref, dir)
		} else if o.Own, err = files.Folder(at); err != nil {
			return err
		} else {
			dir = at
		}
	}
	if c.Title == "" {
		c.Title = o.Offer.Lessons[0].TitleIn(in)
	}
	text, err := site.Course(o, in, c.Title)
	if err != nil {
		return err
	}
	if err := os.WriteFile(c.Out, text, 0o644); err != nil {
		return err
	}
	fmt.Fprintf(out, "%s: a SCORM 1.2 package, lessons: %d, %.1f MB\n", c.Out, len(o.Offer.Lessons), float64(len(text))/1e6)
	return nil
}
