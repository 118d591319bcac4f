package scenarios

import (
	"fmt"
	"path/filepath"

	"github.com/goccy/go-yaml/ast"

	"handrule/internal/visible"
	"handrule/scenarios/form"
	"handrule/scenarios/jogfile"
	"handrule/scenarios/translation"
)

// This file tells what a file is by how it looks, right or wrong.

// looksLikeCell tells a cell by the fields that only a cell has.
func looksLikeCell(root ast.Node) bool { return form.HasField(root, "things", "mount", "task_frames") }

// looksLikeArm tells an arm likewise.
func looksLikeArm(root ast.Node) bool {
	return form.HasField(root, "joints", "flange", "mount_height_mm")
}

// looksLikeLesson tells a lesson likewise.
func looksLikeLesson(root ast.Node) bool {
	return form.HasField(root, "title", "arm", "stages", "start_deg", "aims")
}

// noLesson says that a file is none of a lesson, where it is another kind of file, and what to name instead; nil where it may be one.
func noLesson(file string, text []byte) error {
	shown := visible.Text(file)
	const wanted = "a lesson's file has a title, an arm and stages"
	if of, language, is := translation.Split(file); is {
		t, err := translation.Parse(file, text)
		switch original := filepath.Join(filepath.Dir(shown), visible.Text(of)+".yaml"); {
		case err == nil && t.OfLesson():
			return fmt.Errorf("%s: holds a lesson's texts in language %s; name the lesson's own file, %s, and %s as the language", shown, language, original, language)
		case err == nil:
			return fmt.Errorf("%s: holds the names and texts of an arm or a cell in language %s; %s", shown, language, wanted)
		}
	}
	if jogfile.Looks(text) {
		return fmt.Errorf("%s: is a file of jogs; %s", shown, wanted)
	}
	_, root, err := form.Document(file, text)
	switch {
	case err != nil || looksLikeLesson(root):
		return nil
	case looksLikeCell(root):
		return fmt.Errorf("%s: is a cell file; %s, and names its cell", shown, wanted)
	case looksLikeArm(root):
		return fmt.Errorf("%s: is an arm file; %s, and names its arm", shown, wanted)
	}
	return nil
}
