package scenarios

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"handrule/kinematics"
	"handrule/scenarios/armfile"
	"handrule/scenarios/cellfile"
	"handrule/scenarios/form"
	"handrule/scenarios/jogfile"
)

// wren returns the shipped file with one piece of it replaced.
func wren(t *testing.T, old, new string) []byte {
	t.Helper()
	text, err := shippedFiles.ReadFile("arms/wren.yaml")
	if err != nil {
		t.Fatal(err)
	}
	if strings.Count(string(text), old) < 1 {
		t.Fatalf("the file has no %q", old)
	}
	return []byte(strings.Replace(string(text), old, new, 1))
}

func TestFilesThatAreNone(t *testing.T) {
	for path, says := range map[string]string{t.TempDir(): "is a directory", "./no-such.yaml": "no such file", "heron": "no arm"} {
		if _, err := OpenArm(path); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%s: %v", path, err)
		}
	}
	if _, err := armfile.Parse("big.yaml", make([]byte, form.LargestFile+1)); err == nil || !strings.Contains(err.Error(), "too large") {
		t.Errorf("%v", err)
	}
}

func TestAFolderIsReadWhole(t *testing.T) {
	dir := t.TempDir()
	write := func(name, text string) {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := ReadFolder(filepath.Join(dir, "none")); err == nil {
		t.Error("a folder that is not there was read")
	}
	write("heron.yaml", string(wren(t, "name: Wren", "name: Heron")))
	write("mine.yml", "title: Mine\narm: curlew\nstages: [{text: hello}]\n")
	write("yard.yaml", "name: Yard\nthings: []\n")
	own, err := ReadFolder(dir)
	if err != nil || len(own.Broken) > 0 || len(own.Arms) != 1 || own.Arms[0].ID != "heron" || len(own.Lessons) != 1 || own.Lessons[0].Arm.ID != "curlew" ||
		len(own.Cells) != 1 || own.Cells[0].ID != "yard" {
		t.Fatalf("%+v %v", own, err)
	}
	write("tilted-stand.yaml", "name: Mine\nthings: []\n")
	write("wren.yaml", string(wren(t, "name: Wren", "name: Wren")))
	write("bad.yaml", "name: 3")
	write("note.txt", "no scenario")
	write(".yard.yaml", "what an editor leaves")
	own, err = ReadFolder(dir)
	if err != nil || len(own.Broken) != 3 || len(own.Lessons) != 1 || own.Broken[0].ID != "bad" {
		t.Errorf("%+v %v", own, err)
	}
	err = broken(own)
	for _, says := range []string{"bad.yaml:1:1", "\"wren\" is taken already", "\"tilted-stand\" is taken already"} {
		if err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("want %q in %v", says, err)
		}
	}
}

// The readers answer whatever they are given, and never with a number that is not finite.
func FuzzReadFiles(f *testing.F) {
	for _, name := range []string{"arms/wren.yaml", "cells/wall-mount.yaml", "lessons/first-straight-line.yaml"} {
		text, err := shippedFiles.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(text)
	}
	f.Add([]byte("joint J5 +90\nbase about-x -1e3"))
	f.Add([]byte("\ufeffguard 5\r\njoint J5 +90\r# guard 5\n guard  7 # guard\nbase x +1"))
	f.Add([]byte("title: A\narm: wren\nstages:\n- text: b\n  reach: {position_mm: [1, 2, 3], tolerance_mm: 1, wrist: \"plain\", elbow: 'above'}\n- text: é\n  free: {notice: [{text: é, event: guard}]}\n"))
	f.Add([]byte("a: &a [*a]"))
	f.Add([]byte("name: [[[[[[[[[[[[[[[[[[[["))
	f.Fuzz(func(t *testing.T, text []byte) {
		if arm, err := armfile.Parse("f.yaml", text); err == nil && math.IsNaN(arm.Geometry.Forward(kinematics.Joints{}).Position.X) {
			t.Error("not a number")
		}
		if cell, err := cellfile.Parse("f.yaml", text); err == nil {
			if _, err := cell.Scene(ShippedArms()[0], kinematics.NoTool); err != nil {
				t.Error(err)
			}
		}
		if l, err := ReadLesson("f.yaml", text); err == nil && len(l.Fixes) > 0 {
			mended, err := ReadLesson("f.yaml", form.Mended(text, l.Fixes))
			if err != nil || len(mended.Fixes) > 0 || mended.Stages[0].ID != l.Stages[0].ID {
				t.Errorf("mended it is\n%s\n%v", form.Mended(text, l.Fixes), err)
			}
		}
		if f, err := jogfile.ParseFile("f", text); err == nil && len(f.Fixes) > 0 {
			if mended, err := jogfile.ParseFile("f", form.Mended(text, f.Fixes)); err != nil || len(mended.Fixes) > 0 || len(mended.Steps) != len(f.Steps) {
				t.Errorf("mended it is\n%s\n%v", form.Mended(text, f.Fixes), err)
			}
		}
	})
}

// The schema names every field that the reader knows, with an explanation, and is JSON.
func TestSchemaExplainsEveryField(t *testing.T) {
	for _, kind := range forms {
		schema, err := Schema(kind)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := json.Marshal(schema); err != nil {
			t.Error(err)
		}
		for name, field := range schema["properties"].(form.Object) {
			if about, _ := field.(form.Object)["description"].(string); about == "" {
				t.Errorf("%s: %s is not explained", kind, name)
			}
		}
	}
	if _, err := Schema("lessen"); err == nil || !strings.Contains(err.Error(), `did you mean "lesson"`) {
		t.Errorf("%v", err)
	}
}

// broken is all that is wrong with the files of a folder.
func broken(f Folder) error {
	var all form.Errors
	for _, b := range f.Broken {
		all = append(all, b.Problems...)
	}
	if all == nil {
		return nil
	}
	return all
}
