package scenarios

import (
	"errors"
	"fmt"
	"handrule/internal/visible"
	"handrule/scenarios/armfile"
	"handrule/scenarios/cellfile"
	"handrule/scenarios/form"
	"handrule/scenarios/lesson"
	"handrule/scenarios/solve"
	"handrule/scenarios/translation"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
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

// mayBeJogs tells by its name a file that may be one of jogs.
func mayBeJogs(name string) bool {
	ending := strings.ToLower(filepath.Ext(name))
	return (ending == ".txt" || ending == ".jogs") && !strings.HasPrefix(name, ".")
}

// hiddenName says that a file's name cannot be typed; nil where it can.
func hiddenName(file string) *form.Problem {
	if name := filepath.Base(file); visible.Text(name) == name {
		return nil
	}
	return &form.Problem{File: visible.Text(file), Message: "the file's name has characters that cannot be seen; give it another"}
}

// names are those that the arms, cells and lessons of a folder have, the shipped ones among them.
type names struct{ arms, cells, lessons []string }

func namesTaken() *names {
	return &names{slices.Clone(shippedArms), slices.Clone(shippedCells), slices.Clone(shippedLessons)}
}

// take takes the name of a file that holds that, or says that another has it.
func (n *names) take(file string, f Folder) *form.Problem {
	var taken *[]string
	switch {
	case len(f.Arms) > 0:
		taken = &n.arms
	case len(f.Cells) > 0:
		taken = &n.cells
	case len(f.Lessons) > 0:
		taken = &n.lessons
	default:
		return nil
	}
	id := form.FileID(file)
	if slices.Contains(*taken, id) {
		return &form.Problem{File: file, Message: fmt.Sprintf("the name %s is taken already; give the file another", form.Quoted(id))}
	}
	*taken = append(*taken, id)
	return nil
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
	taken := namesTaken()
	for _, entry := range entries {
		if !isScenario(entry.Name()) {
			continue
		}
		file := filepath.Join(dir, entry.Name())
		if p := hiddenName(file); p != nil {
			all.Broken = append(all.Broken, Broken{ID: form.FileID(p.File), Lesson: mayBeLesson(file), Problems: form.Errors{*p}})
			continue
		}
		if _, _, is := translation.Split(file); is {
			translations = append(translations, file)
			continue
		}
		id := form.FileID(file)
		f, err := readAny(file, look)
		if err != nil {
			all.Broken = append(all.Broken, Broken{ID: id, Lesson: mayBeLesson(file), Problems: form.ProblemsOf(file, err)})
			continue
		}
		if p := taken.take(file, f); p != nil {
			all.Broken = append(all.Broken, Broken{ID: id, Lesson: len(f.Lessons) > 0, Problems: form.Errors{*p}})
			continue
		}
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
