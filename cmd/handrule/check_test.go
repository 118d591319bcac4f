package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// A lesson and a file of jogs as an earlier handrule took them, with comments and a layout of their own.
const (
	oldLesson = "# Mine.\r\ntitle: Old words   # as they were\r\narm: wren\r\ncell: glazing-bench\r\nstart_deg: [0, 0, 0, 0, 90, 0]\r\nstages:\r\n" +
		"  - text: The wrist is plain or flipped, the elbow above or below.\r\n" +
		"    reach: {joint: J5, angle_deg: -60,  tolerance_deg: 1}   # no word here\r\n" +
		"  - text: b\r\n    start_deg: [0, 0, 0, 0, 90, 0]\r\n" +
		"    reach: {position_mm: [330, 0, 110], tolerance_mm: 1, elbow: above, wrist: \"plain\"}\r\n" +
		"  - text: c\r\n    choose:\r\n      question: How is it?\r\n      options:\r\n" +
		"        - {text: plain,   when: {measure: wrist, is: plain}}\r\n        - {text: flipped, when: {measure: wrist, is: 'flipped'}}\r\n" +
		"        - {text: below,   when: {is: below, measure: elbow}}  # the other one\r\n" +
		"  - text: d\r\n    free: {notice: [{text: e, event: guard}, {text: f, when: {measure: wrist, is: flipped}}], enough: 1}\r\n"
	oldJogs = "# Down, and no nearer than 5 mm.\njoint J5 +90\n  guard   5   # mm\nbase z -10\n"
)

// Old words are read as those of now and noted, and check --fix writes those of now and changes nothing else.
func TestOldWordsAreReadAndMended(t *testing.T) {
	dir := t.TempDir()
	lesson, jogs := filepath.Join(dir, "old.yaml"), filepath.Join(dir, "old.jogs")
	for file, text := range map[string]string{lesson: oldLesson, jogs: oldJogs} {
		if err := os.WriteFile(file, []byte(text), 0o640); err != nil {
			t.Fatal(err)
		}
	}
	status, out, errs := do("check", lesson, jogs)
	if status != 0 {
		t.Fatalf("status %d, %s", status, errs)
	}
	for _, says := range []string{
		`old.yaml:11:65: note: stage 2, reach: elbow: "above" is an old word; it is "up" now`,
		`old.yaml:11:79: note: stage 2, reach: wrist: "plain" is an old word; it is "plus" now`,
		`old.yaml:16:54: note: stage 3, choose, option 1, when: is: "plain" is an old word; it is "plus" now`,
		`old.yaml:17:54: note: stage 3, choose, option 2, when: is: "flipped" is an old word; it is "minus" now`,
		`old.yaml:18:38: note: stage 3, choose, option 3, when: is: "below" is an old word; it is "down" now`,
		`old.yaml:20:38: note: stage 4, free, notice 1: event: "guard" is an old word; it is "set distance" now`,
		`old.jogs:3:3: note: "guard" is an old word; it is "set-distance" now`,
		"file of jogs: 2",
	} {
		if !strings.Contains(out, says) {
			t.Errorf("want %q in\n%s", says, out)
		}
	}
	if status, out, errs := do("trace", "--arm", "wren", "--start", "0,0,0,0,0,0", jogs); status != 0 || !strings.Contains(errs, `"guard" is an old word`) || out == "" {
		t.Errorf("status %d, %s", status, errs)
	}
	if status, out, errs := do("check", "--fix", lesson, jogs); status != 0 || !strings.Contains(out, "old.jogs:3:3: guard is set-distance now, and is written so") ||
		strings.Contains(out, "an old word") {
		t.Errorf("status %d, %s\n%s", status, errs, out)
	}
	now := strings.NewReplacer("elbow: above", "elbow: up", `wrist: "plain"`, `wrist: "plus"`, "is: plain", "is: plus", "'flipped'", "'minus'", "is: below", "is: down",
		"event: guard", "event: set distance", "is: flipped", "is: minus")
	for file, want := range map[string]string{lesson: now.Replace(oldLesson), jogs: strings.Replace(oldJogs, "guard", "set-distance", 1)} {
		if text, err := os.ReadFile(file); err != nil || string(text) != want {
			t.Errorf("%s is now\n%s", file, text)
		}
		if info, err := os.Stat(file); err != nil || info.Mode().Perm() != 0o640 {
			t.Errorf("%s: %v", file, info.Mode())
		}
	}
	if entries, _ := os.ReadDir(dir); len(entries) != 2 {
		t.Errorf("files were left behind: %v", entries)
	}
	before, _ := os.Stat(lesson)
	if status, out, _ := do("check", "--fix", lesson); status != 0 || strings.Contains(out, "written") {
		t.Errorf("status %d, %s", status, out)
	}
	if after, _ := os.Stat(lesson); !os.SameFile(before, after) {
		t.Error("a file without old words was written anew")
	}
}

// A file of a newer form is told as one, and not by what else is unknown in it alone.
func TestVersionsOfFiles(t *testing.T) {
	arm := func(version string) string {
		text, err := os.ReadFile("../../scenarios/arms/wren.yaml")
		if err != nil {
			t.Fatal(err)
		}
		return version + string(text)
	}
	for _, test := range []struct{ text, says string }{
		{arm("version: 1\n"), ""},
		{arm("version: 2\n"), `:1:10: arm: version: the form's version is "2", and this handrule reads version 1`},
		{arm("version: x\n"), "version must be a number"},
		{"name: A\nversion: 1\nthings: []\n", ""},
		{"name: A\nversion: 7\nthings: []\n", `cell: version: the form's version is "7"`},
		{"version: 1\ntitle: A\narm: wren\nstages: [{text: a}]\n", ""},
		{"version: 1.5\ntitle: A\narm: wren\nstages: [{text: a}]\n", `lesson: version: the form's version is "1.5"`},
		{"# jogs\nversion 1\nbase x +1\n", ""},
		{"version 2\nbase x +1\n", `:1:9: the form's version is "2"`},
		{"base x +1\nversion 1\n", ":2:1: the version stands before everything else"},
		{"version\nbase x +1\n", "something is missing; write it like: version 1"},
	} {
		file := filepath.Join(t.TempDir(), "a.yaml")
		if err := os.WriteFile(file, []byte(test.text), 0o600); err != nil {
			t.Fatal(err)
		}
		if status, _, errs := do("check", file); (status == 0) != (test.says == "") || !strings.Contains(errs, test.says) {
			t.Errorf("want %q, status %d in\n%s", test.says, status, errs)
		}
	}
}

// What is wrong with a cell is told once, though the lesson beside it names it, and not what follows from it for the lesson.
func TestAnErrorIsToldOnce(t *testing.T) {
	dir := t.TempDir()
	cell, lesson := filepath.Join(dir, "corner.yaml"), filepath.Join(dir, "visit.yaml")
	for file, text := range map[string]string{
		cell:   "name: Corner\nthings: []\nframes: []\n",
		lesson: "title: A\narm: wren\ncell: corner.yaml\nstages:\n  - text: b\n    reach: {frame: task top, position_mm: [1, 2, 3], tolerance_mm: 1}\n",
	} {
		if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	status, _, errs := do("check", cell, lesson)
	if want := "visit.yaml: names a file that is wrong, as told above"; status == 0 || !strings.Contains(errs, want) || strings.Count(errs, `unknown field "frames"`) != 1 || strings.Contains(errs, "task frame \"top\"") {
		t.Errorf("status %d, %s", status, errs)
	}
	if status, _, errs := do("check", lesson); status == 0 || !strings.Contains(errs, `unknown field "frames"`) {
		t.Errorf("status %d, %s", status, errs)
	}
	if err := os.WriteFile(cell, []byte("name: Corner\nthings: []\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	if status, _, errs := do("check", cell, lesson); status == 0 || !strings.Contains(errs, `names the task frame "top", but the lesson's cell has none`) {
		t.Errorf("status %d, %s", status, errs)
	}
}

// Where neither arm nor tool has a body, that nothing may be touched is a rule that means nothing, and standing clear says nothing.
func TestWhatNothingCanTouchIsTold(t *testing.T) {
	wren, err := os.ReadFile("../../scenarios/arms/wren.yaml")
	if err != nil {
		t.Fatal(err)
	}
	bare, _, _ := strings.Cut(string(wren), "body:\n")
	dir := t.TempDir()
	arm, cell, lesson := filepath.Join(dir, "bare.yaml"), filepath.Join(dir, "bench.yaml"), filepath.Join(dir, "visit.yaml")
	for file, text := range map[string]string{
		arm: bare, cell: "name: Bench\nthings: []\n",
		lesson: "title: A\narm: bare.yaml\nstart_deg: [0, 0, 0, 0, 90, 0]\nstages:\n  - text: b\n    reach: {joint: J5, angle_deg: 60, tolerance_deg: 1, no_contact: true}\n",
	} {
		if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	status, out, errs := do("check", "--arm", arm, cell, lesson)
	for _, says := range []string{
		"Wren with tool none: neither has a body, so nothing can touch",
		"visit.yaml:6:12: note: stage 1: no_contact means nothing, because neither Wren nor its tool has a body that could touch",
	} {
		if status != 0 || !strings.Contains(out, says) {
			t.Errorf("status %d, want %q in\n%s%s", status, says, out, errs)
		}
	}
}

// A folder is checked file by file, as serve takes it, and its summary names what is wrong, also what only shows beside the rest.
func TestAFolderIsChecked(t *testing.T) {
	dir := t.TempDir()
	write := func(name, text string) {
		t.Helper()
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o640); err != nil {
			t.Fatal(err)
		}
	}
	if status, _, errs := do("check", dir); status != 2 || !strings.Contains(errs, "holds no arm, cell or lesson file (.yaml)") {
		t.Errorf("an empty folder: status %d, %s", status, errs)
	}
	arm, err := os.ReadFile("../../scenarios/arms/wren.yaml")
	if err != nil {
		t.Fatal(err)
	}
	write("siskin.yaml", string(arm))
	write("shelf.yaml", "name: Shelf\nthings:\n  - {name: board, box_mm: [100, 100, 20], at_mm: [900, 0, -300]}\n")
	write("bend.yaml", "title: Bend\narm: siskin.yaml\ncell: shelf.yaml\nstages:\n  - text: Bend J5.\n    reach: {joint: J5, angle_deg: 60, tolerance_deg: 2}\n")
	write("down.jogs", "joint J5 +90\n")
	write("notes.txt", "Ask about the tape measure.\n")
	write(".hidden.yaml", "nothing: here\n")
	status, out, errs := do("check", dir)
	if status != 0 {
		t.Fatalf("status %d, %s", status, errs)
	}
	for _, says := range []string{"siskin.yaml: ok, arm", "shelf.yaml: ok, cell", "bend.yaml: ok, lesson", "down.jogs: ok, file of jogs: 1", "files: 4, all right"} {
		if !strings.Contains(out, says) {
			t.Errorf("want %q in\n%s", says, out)
		}
	}
	write("wren.yaml", string(arm))
	write("bent.yaml", "title: Bent\narm: siskin.yaml\nstages:\n  - text: Bend J5.\n    reach: {joint: J5, angle_deg: 600, tolerance_deg: 2}\n")
	status, out, errs = do("check", dir)
	if want := "files: 6, right: 4, wrong: 2 (" + filepath.Join(dir, "bent.yaml") + ", " + filepath.Join(dir, "wren.yaml") + ")"; status != 2 || !strings.Contains(out, want) {
		t.Errorf("status %d; want %q in\n%s", status, want, out)
	}
	if !strings.Contains(errs, `the name "wren" is taken already`) {
		t.Errorf("what is wrong with a name is not told:\n%s", errs)
	}
}
