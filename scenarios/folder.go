package scenarios

import (
	"errors"
	"fmt"
	"handrule/internal/files"
	"handrule/internal/visible"
	"handrule/scenarios/armfile"
	"handrule/scenarios/cellfile"
	"handrule/scenarios/form"
	"handrule/scenarios/jogfile"
	"handrule/scenarios/lesson"
	"handrule/scenarios/solve"
	"handrule/scenarios/translation"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"

	"github.com/goccy/go-yaml/ast"
)

// Folder is what a folder of one's own holds.
type Folder struct {
	Arms    []*armfile.Arm
	Cells   []*cellfile.Cell
	Lessons []*lesson.Lesson
	Broken  []Broken // its files that are none of these
}

// Broken is a file with what is wrong with it.
type Broken = form.Broken

// readAny reads an arm, cell or lesson file, whichever it looks like, into a folder of that one.
func readAny(path string, look *meshLooker) (f Folder, err error) {
	text, err := form.ReadFile(path)
	if err != nil {
		return f, err
	}
	return readText(path, text, look)
}

// readText does the same with the file's text.
func readText(path string, text []byte, look *meshLooker) (f Folder, err error) {
	s, root, err := form.Document(path, text)
	if err != nil {
		return f, err
	}
	switch {
	case looksLikeLesson(root):
		var l *lesson.Lesson
		if l, err = lesson.Of(s, root, text, aroundWith(look), lesson.Deal{All: true}); err == nil {
			f.Lessons = []*lesson.Lesson{l}
		}
	case looksLikeCell(root):
		var cell *cellfile.Cell
		if cell, err = cellfile.Of(s, root); err == nil {
			f.Cells = []*cellfile.Cell{cell}
		}
	default:
		var arm *armfile.Arm
		if arm, err = armfile.Of(s, root, look.arm()); err == nil {
			f.Arms = []*armfile.Arm{arm}
		}
	}
	return f, err
}

// Check reads an arm, cell or lesson file or a file of jogs, whichever it looks like, and reports what is worth knowing of
// it: of an arm, its size and what is never said to touch; of a cell, what may not be meant, and how each of the arms stands
// in it at the zero pose; of a lesson, how it is passed. The error is of a file that is not right, such as a lesson that
// cannot be passed. A search that who watches stopped is a solve.Stopped, beside what was found until then.
func Check(path string, arms []*armfile.Arm, watch solve.Watch) (r Report, err error) {
	text, err := form.ReadFile(path)
	if err != nil {
		return r, err
	}
	if jogfile.Looks(text) {
		f, err := jogfile.ParseFile(path, text)
		if err != nil {
			return r, err
		}
		r.What = fmt.Sprintf("file of jogs: %d", len(f.Steps))
		r.add(f.Findings)
		return r, nil
	}
	if _, _, is := translation.Split(path); is {
		return checkTexts(path, text)
	}
	look := lookBeside(besideFile(path))
	look.keep = true
	f, err := readText(path, text, look)
	switch {
	case err != nil:
		return r, err
	case len(f.Lessons) > 0:
		l := f.Lessons[0]
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
	case len(f.Cells) > 0:
		cell := f.Cells[0]
		r.What = fmt.Sprintf("cell %q, things: %d, task frames: %d, tools: %d", cell.Name, len(cell.Things), len(cell.Tasks), len(cell.Tools))
		r.add(form.Findings{Notes: cell.Notes})
		for _, arm := range arms {
			r.Notes = append(r.Notes, cell.Standing(arm)...)
		}
		return r, nil
	}
	arm := f.Arms[0]
	return Report{What: fmt.Sprintf("arm %q, solved by: %s", arm.Name, arm.Geometry.Solver()), Notes: append(arm.Notes(), look.notes(arm)...)}, nil
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

// OldWords are the words in a file that it would be written without now. A file that cannot be read has none.
func OldWords(path string) []form.Fix {
	text, err := form.ReadFile(path)
	if err != nil {
		return nil
	}
	if jogfile.Looks(text) {
		if f, err := jogfile.ParseFile(path, text); err == nil {
			return f.Fixes
		}
		return nil
	}
	if f, err := readText(path, text, lookBeside(besideFile(path))); err == nil && len(f.Lessons) > 0 {
		return f.Lessons[0].Fixes
	}
	return nil
}

// Fix writes the words of a file as they are now, and leaves all else in it as it is.
func Fix(path string, fixes []form.Fix) error {
	text, err := form.ReadFile(path)
	if err != nil {
		return err
	}
	return files.Replace(path, form.Mended(text, fixes))
}

// FilesOf are the files of a folder that can be checked: arms, cells, lessons, their texts in other languages, and files of jogs.
func FilesOf(dir string) (found []string, err error) {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return nil, fmt.Errorf("%s: cannot be read: %w", visible.Text(dir), form.WithoutPath(err))
	}
	for _, entry := range entries {
		if file := filepath.Join(dir, entry.Name()); isScenario(entry.Name()) || isJogs(file) {
			found = append(found, file)
		}
	}
	if len(found) == 0 {
		return nil, fmt.Errorf("%s: the folder holds no arm, cell or lesson file (.yaml), and no file of jogs (.txt, .jogs)", visible.Text(dir))
	}
	return found, nil
}

// isJogs tells a file of jogs by its ending and by what is in it.
func isJogs(file string) bool {
	ending := strings.ToLower(filepath.Ext(file))
	if ending != ".txt" && ending != ".jogs" || strings.HasPrefix(filepath.Base(file), ".") {
		return false
	}
	text, err := form.ReadFile(file)
	return err == nil && jogfile.Looks(text)
}

// ReadFolder reads every .yaml and .yml file of a folder as an arm, a cell or a lesson, in the order of their names. The
// error says that the folder itself cannot be read.
func ReadFolder(dir string) (all Folder, err error) {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return all, fmt.Errorf("%s: cannot be read: %w", dir, form.WithoutPath(err))
	}
	var translations []string
	look := lookBeside(besideFile(filepath.Join(dir, "any")))
	takenArms, takenCells, takenLessons := slices.Clone(shippedArms), slices.Clone(shippedCells), slices.Clone(shippedLessons)
	for _, entry := range entries {
		if !isScenario(entry.Name()) {
			continue
		}
		file := filepath.Join(dir, entry.Name())
		if shown := visible.Text(file); shown != file && visible.Text(entry.Name()) != entry.Name() {
			all.Broken = append(all.Broken, Broken{ID: form.FileID(shown), Lesson: mayBeLesson(file), Problems: form.Errors{{
				File: shown, Message: "the file's name has characters that cannot be seen; give it another",
			}}})
			continue
		}
		if _, _, is := translation.Split(file); is {
			translations = append(translations, file)
			continue
		}
		id, taken := form.FileID(file), &takenArms
		f, err := readAny(file, look)
		if err != nil {
			all.Broken = append(all.Broken, Broken{ID: id, Lesson: mayBeLesson(file), Problems: form.ProblemsOf(file, err)})
			continue
		}
		switch {
		case len(f.Cells) > 0:
			taken = &takenCells
		case len(f.Lessons) > 0:
			taken = &takenLessons
		}
		if slices.Contains(*taken, id) {
			all.Broken = append(all.Broken, Broken{ID: id, Lesson: len(f.Lessons) > 0, Problems: form.Errors{{
				File: file, Message: fmt.Sprintf("the name %s is taken already; give the file another", form.Quoted(id)),
			}}})
			continue
		}
		*taken = append(*taken, id)
		all.Arms = append(all.Arms, f.Arms...)
		all.Cells = append(all.Cells, f.Cells...)
		all.Lessons = append(all.Lessons, f.Lessons...)
	}
	for _, file := range translations {
		if err := all.readTexts(file); err != nil {
			all.Broken = append(all.Broken, Broken{ID: form.FileID(file), Problems: form.ProblemsOf(file, err)})
		}
	}
	return all, nil
}

// readTexts reads a translation file into the arm or cell that it is of.
func (f Folder) readTexts(file string) error {
	text, err := form.ReadFile(file)
	if err != nil {
		return err
	}
	t, err := translation.Parse(file, text)
	if err != nil {
		return err
	}
	_, err = f.takeTexts(t, file)
	return err
}

var lessonField = regexp.MustCompile(`(?m)^(title|stages|aims) *:`)

// mayBeLesson tells a lesson from an arm and a cell by its text, where it may not even be YAML.
func mayBeLesson(file string) bool {
	text, err := form.ReadFile(file)
	return err == nil && lessonField.Match(text)
}

// Keeping returns the folder with the good versions that its broken files had before.
func (f Folder) Keeping(before Folder) Folder {
	kept := Folder{Broken: f.Broken}
	kept.Arms = keeping(f, f.Arms, before.Arms, func(a *armfile.Arm) string { return a.ID })
	kept.Cells = keeping(f, f.Cells, before.Cells, func(c *cellfile.Cell) string { return c.ID })
	kept.Lessons = keeping(f, f.Lessons, before.Lessons, func(l *lesson.Lesson) string { return l.ID })
	return kept
}

// keeping returns what there is now, and of what was before the things of broken files.
func keeping[T any](f Folder, now, before []T, id func(T) string) []T {
	kept := slices.Clone(now)
	for _, old := range before {
		again := func(other T) bool { return id(other) == id(old) }
		broken := func(b Broken) bool { return b.ID == id(old) }
		if slices.ContainsFunc(f.Broken, broken) && !slices.ContainsFunc(kept, again) {
			kept = append(kept, old)
		}
	}
	return kept
}

// CheckLessons passes those lessons that are not the same as before, and returns what stands against them. Lessons that
// are the same keep what was found then. It is left off when who watches says so, and returns false then.
func (f Folder) CheckLessons(before Folder, found []Broken, watch solve.Watch) (all []Broken, done bool) {
	for _, l := range f.Lessons {
		same := slices.ContainsFunc(before.Lessons, l.Same)
		if i := slices.IndexFunc(found, func(b Broken) bool { return b.ID == l.ID }); same && i >= 0 {
			all = append(all, found[i])
		} else if !same {
			_, _, err := solve.DrawnWhile(l, lesson.Deal{All: true}, watch)
			if errors.As(err, &solve.Stopped{}) {
				return nil, false
			}
			if err != nil {
				all = append(all, Broken{ID: l.ID, Lesson: true, Readable: true, Problems: form.ProblemsOf(l.File, err)})
			}
		}
	}
	return all, true
}

// isScenario tells a file that may be an arm, a cell or a lesson from those beside it, such as what an editor leaves.
func isScenario(name string) bool {
	ending := strings.ToLower(filepath.Ext(name))
	return (ending == ".yaml" || ending == ".yml") && !strings.HasPrefix(name, ".")
}

// looksLikeCell tells a cell by the fields that only a cell has.
func looksLikeCell(root ast.Node) bool { return form.HasField(root, "things", "mount", "task_frames") }

// looksLikeLesson tells a lesson by the fields that only a lesson has.
func looksLikeLesson(root ast.Node) bool {
	return form.HasField(root, "title", "arm", "stages", "start_deg", "aims")
}
