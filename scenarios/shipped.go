package scenarios

import (
	"embed"
	"fmt"
	"handrule/internal/files"
	"handrule/scenarios/armfile"
	"handrule/scenarios/cellfile"
	"handrule/scenarios/form"
	"handrule/scenarios/lesson"
	"handrule/scenarios/prose"
	"io/fs"
	"path/filepath"
	"slices"
	"sync"
)

//go:embed arms/*.yaml cells/*.yaml lessons/*.yaml
var shippedFiles embed.FS

// shippedIn is the language of the files that ship. Those of a folder do not say theirs.
const shippedIn = "en"

// ShippedFiles are the files that ship, in the folders arms, cells and lessons.
func ShippedFiles() fs.FS { return shippedFiles }

// loadShipped reads the embedded files of these names, which are right because the tests have read them.
func loadShipped[T any](folder string, names []string, read func(file string, text []byte) (T, error)) []T {
	all := make([]T, len(names))
	for i, name := range names {
		file := folder + "/" + name + ".yaml"
		text, err := shippedFiles.ReadFile(file)
		if err != nil {
			panic(err)
		}
		if all[i], err = read(file, text); err != nil {
			panic(err)
		}
	}
	return all
}

// open returns the shipped arm or cell, what, of that name, or reads the file at that path.
func open[T any](what, ref string, names []string, shipped func() []T, read func(file string, text []byte) (T, error)) (none T, err error) {
	if i := slices.Index(names, ref); i >= 0 {
		return shipped()[i], nil
	}
	if form.IsName(ref) {
		return none, fmt.Errorf("no %s %s ships with handrule; %s, or the path of the file of one", what, form.Quoted(ref), form.UnknownWord(ref, names))
	}
	text, err := form.ReadFile(ref)
	if err != nil {
		return none, err
	}
	return read(ref, text)
}

// shippedArms are the names of the arms that ship; the first is the default.
var shippedArms = []string{"wren", "curlew", "plover"}

var loadArms = sync.OnceValue(func() []*armfile.Arm {
	arms, texts := loadShipped("arms", shippedArms, armfile.Parse), shippedTexts("arms")
	for _, a := range arms {
		a.Texts = texts[a.ID]
	}
	return arms
})

// ShippedArms returns the arms that come with handrule, the default first. They are shared and not to be changed.
func ShippedArms() []*armfile.Arm { return slices.Clone(loadArms()) }

// OpenArm returns the shipped arm of that name, or reads the arm file at that path.
func OpenArm(ref string) (*armfile.Arm, error) {
	arm, err := open("arm", ref, shippedArms, loadArms, armfile.Parse)
	if err == nil && !slices.Contains(shippedArms, ref) {
		textsBeside(ref, Folder{Arms: []*armfile.Arm{arm}})
	}
	return arm, err
}

// shippedCells are the names of the cells that ship; the first is the default.
var shippedCells = []string{"glazing-bench", "wall-mount", "ceiling-mount", "tilted-stand", "bench-rail"}

var loadCells = sync.OnceValue(func() []*cellfile.Cell {
	cells, texts := loadShipped("cells", shippedCells, cellfile.Parse), shippedTexts("cells")
	for _, c := range cells {
		c.Texts, c.Lang = texts[c.ID], shippedIn
	}
	return cells
})

// ShippedCells returns the cells that come with handrule, the default first. They are shared and not to be changed.
func ShippedCells() []*cellfile.Cell { return slices.Clone(loadCells()) }

// OpenCell returns the shipped cell of that name, or reads the cell file at that path.
func OpenCell(ref string) (*cellfile.Cell, error) {
	cell, err := open("cell", ref, shippedCells, loadCells, cellfile.Parse)
	if err == nil && !slices.Contains(shippedCells, ref) {
		textsBeside(ref, Folder{Cells: []*cellfile.Cell{cell}})
	}
	return cell, err
}

// shippedLessons are the names of the lessons that ship, in their order; the last draws its numbers for every learner.
var shippedLessons = []string{
	"joints-one-at-a-time", "where-the-numbers-start", "enabling-device", "the-right-hand", "straight-lines", "first-straight-line",
	"turning-about-the-tip", "base-tool-task", "which-frame", "limits-and-room", "when-it-will-not-go-on", "not-touching-things",
	"up-to-the-fixture", "two-ways", "the-origin-with-a-tape", "an-arm-askew", "finding-a-tcp", "teaching-a-frame", "assessment",
}

func openShippedLesson(id string, seed uint64) (*lesson.Lesson, error) {
	file := "lessons/" + id + ".yaml"
	text, err := shippedFiles.ReadFile(file)
	if err != nil {
		return nil, err
	}
	beside, err := fs.Sub(shippedFiles, "lessons")
	if err != nil {
		return nil, err
	}
	l, err := lesson.Parse(file, text, around(beside), lesson.Deal{Seed: seed, All: true})
	if err != nil {
		return nil, err
	}
	l.Lang = shippedIn
	return l, takeShippedTexts(l)
}

var loadLessons = sync.OnceValue(func() []*lesson.Lesson {
	lessons := make([]*lesson.Lesson, len(shippedLessons))
	for i, id := range shippedLessons {
		lesson, err := openShippedLesson(id, 0)
		if err != nil {
			panic(err) // The tests have read them.
		}
		lessons[i] = lesson
	}
	return lessons
})

// ShippedLessons returns the lessons that come with handrule, in their order. They are shared and not to be changed.
func ShippedLessons() []*lesson.Lesson { return slices.Clone(loadLessons()) }

// OpenLesson reads a lesson with every shape of its questions, its numbers drawn from the seed: the shipped one of that name, or the file at that path with
// what it names from the same folder.
func OpenLesson(ref string, seed uint64) (*lesson.Lesson, error) {
	if slices.Contains(shippedLessons, ref) {
		return openShippedLesson(ref, seed)
	}
	if form.IsName(ref) {
		return nil, fmt.Errorf("no lesson %s ships with handrule; %s, or the path of a lesson file", form.Quoted(ref), form.UnknownWord(ref, shippedLessons))
	}
	text, err := form.ReadFile(ref)
	if err != nil {
		return nil, err
	}
	if err := noLesson(ref, text); err != nil {
		return nil, err
	}
	l, err := lesson.Parse(ref, text, around(besideFile(ref)), lesson.Deal{Seed: seed, All: true})
	if err == nil {
		textsBeside(ref, Folder{Lessons: []*lesson.Lesson{l}})
	}
	return l, err
}

// besideFile is the folder of a file, from which nothing leads out; nil where it cannot be opened.
func besideFile(file string) fs.FS {
	beside, err := files.Folder(filepath.Dir(file))
	if err != nil {
		return nil
	}
	return beside
}

// ReadLesson reads the text of a lesson file that has no files beside it. The file's name is used for messages and for
// the lesson's ID. The error is an Errors with everything that is wrong.
func ReadLesson(file string, text []byte) (*lesson.Lesson, error) {
	return lesson.Parse(file, text, around(nil), lesson.Deal{All: true})
}

// around is a folder with the shipped arms and cells.
func around(beside fs.FS) lesson.Around { return aroundWith(lookBeside(beside)) }

// aroundWith is the folder in which meshes are looked at, likewise.
func aroundWith(look *meshLooker) lesson.Around {
	return lesson.Around{Beside: look.beside, Arm: OpenArm, Cell: OpenCell, Look: look.arm(), Prose: prose.Markdown{}}
}
