package scenarios

import (
	"fmt"
	"os"
	"path/filepath"

	"handrule/internal/files"
	"handrule/internal/visible"
	"handrule/scenarios/armfile"
	"handrule/scenarios/form"
	"handrule/scenarios/jogfile"
	"handrule/scenarios/lesson"
	"handrule/scenarios/solve"
	"handrule/scenarios/translation"
)

// Reading are files that are to be checked, each read once.
type Reading struct{ read map[string]*Given }

// NewReading returns one that has read nothing.
func NewReading() *Reading { return &Reading{map[string]*Given{}} }

// Given is a file to be checked, as it was read.
type Given struct {
	Path  string
	in    *Reading
	text  []byte
	jogs  bool // it is a file of jogs
	texts bool // it is a translation
	holds Folder
	look  *meshLooker
	err   error // why it cannot be read as any of those
}

// File returns the file at that path, an arm, cell or lesson, a translation, or a file of jogs, whichever it looks like.
func (r *Reading) File(path string) *Given {
	key := filepath.Clean(path)
	if r.read[key] == nil {
		g := &Given{Path: path, in: r}
		r.read[key] = g
		g.take()
	}
	return r.read[key]
}

// Forget has the file read anew, where it was written.
func (r *Reading) Forget(path string) { delete(r.read, filepath.Clean(path)) }

func (g *Given) take() {
	if g.text, g.err = form.ReadFile(g.Path); g.err != nil {
		return
	}
	g.jogs = jogfile.Looks(g.text)
	_, _, g.texts = translation.Split(g.Path)
	if g.jogs || g.texts {
		return
	}
	g.look = lookBeside(besideFile(g.Path))
	g.look.keep = true
	g.holds, g.err = readText(g.Path, g.text, g.look)
}

// Arms are the arm that it holds, if it holds one.
func (g *Given) Arms() []*armfile.Arm { return g.holds.Arms }

// Folder returns the files of a folder that can be checked: arms, cells, lessons, their texts in other languages, and files of jogs. Beside
// them is what is wrong with a file only because of where it is.
func (r *Reading) Folder(dir string) (found []string, wrong map[string]form.Errors, err error) {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return nil, nil, fmt.Errorf("%s: cannot be read: %w", visible.Text(dir), form.WithoutPath(err))
	}
	taken := namesTaken()
	wrong = map[string]form.Errors{}
	for _, entry := range entries {
		file := filepath.Join(dir, entry.Name())
		switch {
		case isScenario(entry.Name()):
			if p := hiddenName(file); p != nil {
				wrong[file] = form.Errors{*p}
			} else if p := taken.take(file, r.File(file).holds); p != nil {
				wrong[file] = form.Errors{*p}
			}
		case mayBeJogs(entry.Name()) && r.File(file).jogs:
		default:
			continue
		}
		found = append(found, file)
	}
	if len(found) == 0 {
		return nil, nil, fmt.Errorf("%s: the folder holds no arm, cell or lesson file (.yaml), and no file of jogs (.txt, .jogs)", visible.Text(dir))
	}
	return found, wrong, nil
}

// Check reads a file and checks it; see Given.Check.
func Check(path string, arms []*armfile.Arm, watch solve.Watch) (Report, error) {
	return NewReading().File(path).Check(arms, watch)
}

// Check reports what is worth knowing of the file: of an arm, its size and what is never said to touch; of a cell, what may not be
// meant, and how each of the arms stands in it at the zero pose; of a lesson, how it is passed. The error is of a file that is not
// right, such as a lesson that cannot be passed. A search that who watches stopped is a solve.Stopped, beside what was found until
// then.
func (g *Given) Check(arms []*armfile.Arm, watch solve.Watch) (r Report, err error) {
	switch {
	case g.err != nil:
		return r, g.err
	case g.jogs:
		f, err := jogfile.ParseFile(g.Path, g.text)
		if err != nil {
			return r, err
		}
		r.What = fmt.Sprintf("file of jogs: %d", len(f.Steps))
		r.add(f.Findings)
		return r, nil
	case g.texts:
		return g.checkTexts()
	case len(g.holds.Lessons) > 0:
		l := g.holds.Lessons[0]
		r.What = fmt.Sprintf("lesson %q for %s, passed by:", l.Title, l.Arm.Name)
		r.add(l.Findings)
		_, solutions, err := solve.DrawnWhile(l, lesson.Deal{All: true}, watch)
		for _, solution := range solutions {
			r.Notes = append(r.Notes, solution.String())
		}
		if err == nil {
			r.add(form.Findings{Notes: solve.NeverDealt(l, watch)})
		}
		return r, err
	case len(g.holds.Cells) > 0:
		cell := g.holds.Cells[0]
		r.What = fmt.Sprintf("cell %q, things: %d, task frames: %d, tools: %d", cell.Name, len(cell.Things), len(cell.Tasks), len(cell.Tools))
		r.add(form.Findings{Notes: cell.Notes})
		for _, arm := range arms {
			r.Notes = append(r.Notes, cell.Standing(arm)...)
		}
		return r, nil
	}
	arm := g.holds.Arms[0]
	return Report{What: fmt.Sprintf("arm %q, solved by: %s", arm.Name, arm.Geometry.Solver()), Notes: append(arm.Notes(), g.look.notes(arm)...)}, nil
}

// checkTexts checks a translation with what it translates, from the same folder.
func (g *Given) checkTexts() (r Report, err error) {
	t, err := translation.Parse(g.Path, g.text)
	if err != nil {
		return r, err
	}
	var f Folder
	for _, ending := range []string{".yaml", ".yml"} {
		original := filepath.Join(filepath.Dir(g.Path), t.Of+ending)
		if _, err := os.Stat(original); err != nil {
			continue
		}
		of := g.in.File(original)
		if of.err != nil {
			return r, of.err
		}
		f = of.holds
	}
	notes, err := f.takeTexts(t, g.Path)
	count := fmt.Sprintf("names: %d", len(t.Names))
	if t.OfLesson() {
		count = fmt.Sprintf("stages: %d", len(t.Stages))
	}
	return Report{What: fmt.Sprintf("texts of %s in language %s, %s", t.Of, t.Language, count), Notes: notes}, err
}

// Report is what there is to say of a file that can be read.
type Report struct {
	What  string // what it is, in a line
	Notes []string
}

func (r *Report) add(found form.Findings) {
	for _, note := range found.Notes {
		r.Notes = append(r.Notes, note.Error())
	}
}

// Fix writes the words of the file that are of an earlier handrule as they are now, leaves all else in it as it is, and returns them.
func (g *Given) Fix() ([]form.Fix, error) {
	var fixes []form.Fix
	switch {
	case g.err != nil:
	case g.jogs:
		if f, err := jogfile.ParseFile(g.Path, g.text); err == nil {
			fixes = f.Fixes
		}
	case len(g.holds.Lessons) > 0:
		fixes = g.holds.Lessons[0].Fixes
	}
	if len(fixes) == 0 {
		return nil, nil
	}
	defer g.in.Forget(g.Path)
	if err := files.Replace(g.Path, form.Mended(g.text, fixes)); err != nil {
		return nil, fmt.Errorf("%s: cannot be written: %w", visible.Text(g.Path), form.WithoutPath(err))
	}
	return fixes, nil
}
