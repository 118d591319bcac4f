package scenarios

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// Folder is what a folder of one's own holds.
type Folder struct {
	Arms    []*Arm
	Cells   []*Cell
	Lessons []*Lesson
	Broken  []Broken // its files that are none of these
}

// Broken is a file that cannot be used, and all that is wrong with it.
type Broken struct {
	ID       string // the file's name without its ending
	Problems Errors
}

// readAny reads an arm, cell or lesson file, whichever it looks like, into a folder of that one.
func readAny(path string) (f Folder, err error) {
	text, err := readFile(path)
	if err != nil {
		return f, err
	}
	s, root, err := document(path, text)
	if err != nil {
		return f, err
	}
	switch {
	case looksLikeLesson(root):
		var lesson *Lesson
		s.beside = besideFile(path)
		if lesson, err = s.lesson(root, text, 0, 0); err == nil {
			f.Lessons = []*Lesson{lesson}
		}
	case looksLikeCell(root):
		var cell *Cell
		if cell, err = s.cell(root); err == nil {
			f.Cells = []*Cell{cell}
		}
	default:
		var arm *Arm
		if arm, err = s.arm(root); err == nil {
			f.Arms = []*Arm{arm}
		}
	}
	return f, err
}

// Check reads an arm, cell or lesson file, whichever it looks like. It returns a line that says what it is, and what
// else is worth knowing of it: of a cell, what may not be meant, and how each of the arms stands in it at the zero pose.
func Check(path string, arms []*Arm) (what string, notes []string, err error) {
	f, err := readAny(path)
	switch {
	case err != nil:
		return "", nil, err
	case len(f.Lessons) > 0:
		lesson := f.Lessons[0]
		_, solutions, err := lesson.Drawn(0)
		for _, solution := range solutions {
			notes = append(notes, solution.String())
		}
		return fmt.Sprintf("lesson %q for %s, passed by:", lesson.Title, lesson.Arm.Name), notes, err
	case len(f.Cells) > 0:
		cell := f.Cells[0]
		for _, note := range cell.Notes {
			notes = append(notes, note.Error())
		}
		for _, arm := range arms {
			notes = append(notes, cell.stands(arm)...)
		}
		return fmt.Sprintf("cell %q, things: %d, task frames: %d, tools: %d", cell.Name, len(cell.Things), len(cell.Tasks), len(cell.Tools)), notes, nil
	}
	return fmt.Sprintf("arm %q, solved by: %s", f.Arms[0].Name, f.Arms[0].Geometry.Solver()), nil, nil
}

// ReadFolder reads every .yaml and .yml file of a folder as an arm, a cell or a lesson, in the order of their names. The
// error says that the folder itself cannot be read.
func ReadFolder(dir string) (all Folder, err error) {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return all, fmt.Errorf("%s: cannot be read: %w", dir, withoutPath(err))
	}
	takenArms, takenCells, takenLessons := slices.Clone(shippedArms), slices.Clone(shippedCells), slices.Clone(shippedLessons)
	for _, entry := range entries {
		if !isScenario(entry.Name()) {
			continue
		}
		file := filepath.Join(dir, entry.Name())
		id, taken := fileID(file), &takenArms
		f, err := readAny(file)
		if err != nil {
			all.Broken = append(all.Broken, Broken{id, problemsOf(file, err)})
			continue
		}
		switch {
		case len(f.Cells) > 0:
			taken = &takenCells
		case len(f.Lessons) > 0:
			taken = &takenLessons
		}
		if slices.Contains(*taken, id) {
			all.Broken = append(all.Broken, Broken{id, Errors{{File: file, Message: fmt.Sprintf("the name %s is taken already; give the file another", quoted(id))}}})
			continue
		}
		*taken = append(*taken, id)
		all.Arms = append(all.Arms, f.Arms...)
		all.Cells = append(all.Cells, f.Cells...)
		all.Lessons = append(all.Lessons, f.Lessons...)
	}
	return all, nil
}

// problemsOf are the problems in an error of reading a file.
func problemsOf(file string, err error) Errors {
	if problems, ok := err.(Errors); ok {
		return problems
	}
	return Errors{{File: file, Message: err.Error()}}
}

// Err is all that is wrong with the files of the folder, or nil.
func (f Folder) Err() error {
	var all Errors
	for _, b := range f.Broken {
		all = append(all, b.Problems...)
	}
	if len(all) == 0 {
		return nil
	}
	return all
}

// isScenario tells a file that may be an arm, a cell or a lesson from those beside it, such as what an editor leaves.
func isScenario(name string) bool {
	ending := strings.ToLower(filepath.Ext(name))
	return (ending == ".yaml" || ending == ".yml") && !strings.HasPrefix(name, ".")
}
