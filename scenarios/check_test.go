package scenarios

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// A folder's files are read once, whatever is then asked of them: they may be written over meanwhile.
func TestAFoldersFilesAreReadOnce(t *testing.T) {
	dir := t.TempDir()
	wren, err := os.ReadFile("arms/wren.yaml")
	if err != nil {
		t.Fatal(err)
	}
	const lesson = "title: A\narm: wren\nstages: [{title: b, text: b}]\n"
	for name, text := range map[string]string{
		"mine.yaml": string(wren), "stand.yaml": "name: Stand\nthings: []\nmount: {at_mm: [0, 0, 0]}\n", "a.yaml": lesson, "a.yml": lesson,
		"a.es.yaml": "title: Á\nstages: [{of: b, title: b, text: b}]\n", "up.txt": "base z +20\n", "notes.txt": "buy tiles\n", "wren.yaml": string(wren),
	} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	r := NewReading()
	found, wrong, err := r.Folder(dir)
	if err != nil || len(found) != 7 {
		t.Fatalf("%v %v", found, err)
	}
	for _, name := range []string{"a.yml", "wren.yaml"} {
		if p := wrong[filepath.Join(dir, name)]; len(p) != 1 || !strings.Contains(p.Error(), "is taken already") {
			t.Errorf("%s: %v", name, p)
		}
	}
	for _, file := range found {
		if err := os.WriteFile(file, []byte("no longer: this\n"), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	for _, file := range found {
		if report, err := r.File(file).Check(ShippedArms(), nil); err != nil || report.What == "" {
			t.Errorf("%s: %+v %v", file, report, err)
		}
	}
	r.Forget(found[0])
	if _, err := r.File(found[0]).Check(nil, nil); err == nil {
		t.Error("a file that was forgotten is not read anew")
	}
}

// Whoever names another file than a lesson's is told what that is, and what would be right.
func TestWhatIsNoLesson(t *testing.T) {
	dir := t.TempDir()
	jogs := filepath.Join(dir, "up.txt")
	if err := os.WriteFile(jogs, []byte("base z +20\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	for file, says := range map[string]string{
		"arms/wren.yaml":           "arms/wren.yaml: is an arm file; a lesson's file has a title, an arm and stages, and names its arm",
		"arms/wren.es.yaml":        "arms/wren.es.yaml: holds the names and texts of an arm or a cell in language es; a lesson's file has a title, an arm and stages",
		"cells/glazing-bench.yaml": "cells/glazing-bench.yaml: is a cell file; a lesson's file has a title, an arm and stages, and names its cell",
		"lessons/two-ways.es.yaml": "lessons/two-ways.es.yaml: holds a lesson's texts in language es; name the lesson's own file, lessons/two-ways.yaml, and es as the language",
		jogs:                       jogs + ": is a file of jogs; a lesson's file has a title, an arm and stages",
	} {
		if _, err := OpenLesson(filepath.FromSlash(file), 0); err == nil || filepath.ToSlash(err.Error()) != filepath.ToSlash(says) {
			t.Errorf("%v", err)
		}
	}
}
