package scenarios

import (
	"errors"
	"fmt"
	"path/filepath"
	"slices"
)

// Folder is what a folder of one's own holds.
type Folder struct {
	Arms    []*Arm
	Cells   []*Cell
	Lessons []*Lesson
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

// ReadFolder reads every .yaml and .yml file of a folder as an arm, a cell or a lesson, in the order of their names.
// The error holds all that is wrong with all of them.
func ReadFolder(dir string) (all Folder, err error) {
	var files []string
	for _, ending := range []string{"*.yaml", "*.yml"} {
		found, err := filepath.Glob(filepath.Join(dir, ending))
		if err != nil {
			return all, fmt.Errorf("%s: %w", dir, err)
		}
		files = append(files, found...)
	}
	if len(files) == 0 {
		return all, fmt.Errorf("%s: holds no arm, cell or lesson file (*.yaml)", dir)
	}
	slices.Sort(files)
	takenArms, takenCells, takenLessons := slices.Clone(shippedArms), slices.Clone(shippedCells), slices.Clone(shippedLessons)
	var problems []error
	for _, file := range files {
		f, err := readAny(file)
		if err != nil {
			problems = append(problems, err)
			continue
		}
		id, taken := fileID(file), &takenArms
		switch {
		case len(f.Cells) > 0:
			taken = &takenCells
		case len(f.Lessons) > 0:
			taken = &takenLessons
		}
		if slices.Contains(*taken, id) {
			problems = append(problems, fmt.Errorf("%s: the name %s is taken already; give the file another", file, quoted(id)))
			continue
		}
		*taken = append(*taken, id)
		all.Arms = append(all.Arms, f.Arms...)
		all.Cells = append(all.Cells, f.Cells...)
		all.Lessons = append(all.Lessons, f.Lessons...)
	}
	return all, errors.Join(problems...)
}
