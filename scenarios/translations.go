package scenarios

import (
	"fmt"
	"io/fs"
	"path/filepath"
	"slices"

	"handrule/scenarios/armfile"
	"handrule/scenarios/cellfile"
	"handrule/scenarios/form"
	"handrule/scenarios/lesson"
	"handrule/scenarios/translation"
	"handrule/words"
)

// shippedTexts are the translations in a folder of what ships, by the ID of what they are of. They are right because the
// tests have read them.
func shippedTexts(folder string) map[string]translation.All {
	files, err := fs.Glob(shippedFiles, folder+"/*.yaml")
	if err != nil {
		panic(err)
	}
	all := map[string]translation.All{}
	for _, file := range files {
		if of, _, is := translation.Split(file); is {
			all[of] = with(all[of], readShippedTexts(file))
		}
	}
	return all
}

func readShippedTexts(file string) *translation.Texts {
	text, err := shippedFiles.ReadFile(file)
	if err != nil {
		panic(err)
	}
	t, err := translation.Parse(file, text)
	if err != nil {
		panic(err)
	}
	return t
}

// takeShippedTexts gives a shipped lesson its texts in every language.
func takeShippedTexts(l *lesson.Lesson) error {
	for _, in := range words.Languages {
		file := fmt.Sprintf("lessons/%s.%s.yaml", l.ID, in.Code)
		if _, err := fs.Stat(shippedFiles, file); err != nil {
			continue
		}
		if _, err := l.Take(readShippedTexts(file)); err != nil {
			return err
		}
	}
	return nil
}

// armNames are what a translation of an arm may name, and cellNames of a cell.
func armNames(a *armfile.Arm) (names []string) {
	for _, tool := range a.Tools {
		names = append(names, tool.Name)
	}
	return names
}

func cellNames(c *cellfile.Cell) (names []string) {
	for _, thing := range c.Things {
		names = append(names, thing.Name)
	}
	for _, tool := range c.Tools {
		names = append(names, tool.Name)
	}
	for _, frame := range c.Tasks {
		if !slices.Contains(names, frame.Name) { // One that is named after a thing is called as that is.
			names = append(names, frame.Name)
		}
	}
	return names
}

// takeTexts gives an arm, a cell or a lesson of the folder its translation, and says what is wrong with that.
func (f Folder) takeTexts(t *translation.Texts, file string) (notes []string, err error) {
	for _, a := range f.Arms {
		if a.ID == t.Of && !t.OfLesson() {
			a.Texts = with(a.Texts, t)
			return t.Fits(armNames(a))
		}
	}
	for _, c := range f.Cells {
		if c.ID == t.Of && !t.OfLesson() {
			c.Texts = with(c.Texts, t)
			return t.Fits(cellNames(c))
		}
	}
	for _, l := range f.Lessons {
		if l.ID == t.Of && t.OfLesson() {
			return l.Take(t)
		}
	}
	what := "arm or cell"
	if t.OfLesson() {
		what = "lesson"
	}
	return nil, form.Errors{{File: file, Message: fmt.Sprintf("there is no %s %s here to be translated", what, form.Quoted(t.Of))}}
}

func with(all translation.All, t *translation.Texts) translation.All {
	if all == nil {
		all = translation.All{}
	}
	all[t.Language] = t
	return all
}

// textsBeside reads the translations that lie beside a file into what was read from it. A wrong one is told by
// check and by serve, and left out here.
func textsBeside(file string, f Folder) {
	others, err := filepath.Glob(filepath.Join(filepath.Dir(file), "*"))
	if err != nil {
		return
	}
	for _, other := range others {
		if of, _, is := translation.Split(other); !is || of != form.FileID(file) {
			continue
		}
		if text, err := form.ReadFile(other); err == nil {
			if t, err := translation.Parse(other, text); err == nil {
				_, _ = f.takeTexts(t, other)
			}
		}
	}
}
