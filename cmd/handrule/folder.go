package main

import (
	"context"
	"fmt"
	"io"
	"io/fs"
	"slices"
	"time"

	"handrule/internal/files"
	"handrule/scenarios"
	"handrule/scenarios/lesson"
	"handrule/scenarios/solve"
	"handrule/server/bench"
)

// lookEvery is how often an instructor's folder is looked at for files that were saved.
const lookEvery = 400 * time.Millisecond

// folder is an instructor's own folder of arms, cells and lessons, as it was read last.
type folder struct {
	dir      string
	files    fs.FS // what lies in it
	watch    *scenarios.Watch
	own      scenarios.Folder          // with the last good versions of broken files
	unpassed []scenarios.Broken        // lessons that can be read and not be passed
	passed   map[string]*lesson.Lesson // the last version of every lesson that was passed
}

// openFolder reads the folder. What is wrong with its files is no error: they can be mended while it is served.
func openFolder(dir string) (*folder, error) {
	watch := scenarios.NewWatch(dir)
	own, err := scenarios.ReadFolder(dir)
	if err != nil {
		return nil, err
	}
	all, err := files.Folder(dir)
	return &folder{dir: dir, files: all, watch: watch, own: own, passed: map[string]*lesson.Lesson{}}, err
}

// offer is what ships, and beside it what is in the folder. Of a lesson that was changed and not passed since, learners get the
// version that was.
func (f *folder) offer() bench.Offer {
	var lessons, drafts []*lesson.Lesson
	for _, l := range f.own.Lessons {
		good := f.passed[l.ID]
		if good == nil || good.Same(l) {
			lessons = append(lessons, l)
			continue
		}
		lessons, drafts = append(lessons, good), append(drafts, l)
	}
	return bench.Offer{
		Drafts:  drafts,
		Arms:    slices.Concat(scenarios.ShippedArms(), f.own.Arms),
		Cells:   slices.Concat(scenarios.ShippedCells(), f.own.Cells),
		Lessons: slices.Concat(scenarios.ShippedLessons(), lessons),
		Broken:  slices.Concat(f.own.Broken, f.unpassed),
		Folder:  f.files,
	}
}

// follow offers the folder again whenever its files have changed, until ctx ends. A changed lesson is offered as soon as
// it is read, and passed after that.
func (f *folder) follow(ctx context.Context, offer func(bench.Offer), errs io.Writer) {
	f.check(ctx, scenarios.Folder{}, offer, errs)
	ticker := time.NewTicker(lookEvery)
	defer ticker.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-ticker.C:
			if f.watch.Changed() {
				f.again(ctx, offer, errs)
			}
		}
	}
}

// again reads the folder again. Where it cannot be read now, such as while it is being replaced, it stays as it was.
func (f *folder) again(ctx context.Context, offer func(bench.Offer), errs io.Writer) {
	before := f.own
	now, err := scenarios.ReadFolder(f.dir)
	if err != nil {
		fmt.Fprintln(errs, err)
		return
	}
	f.own = now.Keeping(before)
	f.unpassed = slices.DeleteFunc(f.unpassed, func(b scenarios.Broken) bool {
		return !slices.ContainsFunc(f.own.Lessons, func(l *lesson.Lesson) bool { return l.ID == b.ID && slices.ContainsFunc(before.Lessons, l.Same) })
	})
	offer(f.offer())
	f.check(ctx, before, offer, errs)
}

// check passes the lessons that are not as they were before, and tells what is wrong with the folder.
func (f *folder) check(ctx context.Context, before scenarios.Folder, offer func(bench.Offer), errs io.Writer) {
	found, done := f.own.CheckLessons(before, f.unpassed, func(solve.Progress) bool { return ctx.Err() == nil })
	if !done {
		return // The server ends.
	}
	news := len(found) > 0 || len(f.unpassed) > 0
	f.unpassed = found
	for _, l := range f.own.Lessons {
		if slices.ContainsFunc(found, func(b scenarios.Broken) bool { return b.ID == l.ID }) {
			continue
		}
		news = news || f.passed[l.ID] != nil && !f.passed[l.ID].Same(l)
		f.passed[l.ID] = l
	}
	if news {
		offer(f.offer())
	}
	for _, l := range f.own.Lessons {
		if !slices.ContainsFunc(before.Lessons, l.Same) {
			for _, note := range l.Notes {
				fmt.Fprintln(errs, note)
			}
		}
	}
	wrong := slices.Concat(f.own.Broken, f.unpassed)
	for _, b := range wrong {
		fmt.Fprintln(errs, b.Problems)
	}
	if len(wrong) == 0 {
		fmt.Fprintf(errs, "%s: all is right, lessons: %d, arms: %d, cells: %d\n", f.dir, len(f.own.Lessons), len(f.own.Arms), len(f.own.Cells))
	}
}
