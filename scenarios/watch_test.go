package scenarios

import (
	"os"
	"path/filepath"
	"testing"
	"time"
)

func TestChangesInAFolderAreSeenWhenTheyAreDone(t *testing.T) {
	dir := t.TempDir()
	saved := time.Now()
	write := func(name, text string) {
		path := filepath.Join(dir, name)
		if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		saved = saved.Add(time.Second) // Some file systems keep whole seconds only.
		if err := os.Chtimes(path, saved, saved); err != nil {
			t.Fatal(err)
		}
	}
	write("a.yaml", "one")
	w := NewWatch(dir)
	looks := func(what string, want ...bool) {
		t.Helper()
		for i, changed := range want {
			if w.Changed() != changed {
				t.Errorf("%s: look %d should say %v", what, i+1, changed)
			}
		}
	}
	looks("nothing", false, false)
	write("a.yaml", "two")
	looks("saved with the same size", false, true, false)
	write("a.yaml", "half of ")
	looks("in the middle of saving", false)
	write("a.yaml", "half of it")
	looks("and the rest", false, true, false)
	write("pictures/wrist.png", "a picture")
	looks("added below", false, true, false)
	write(".a.yaml.swp", "what an editor leaves")
	looks("hidden", false, false)
	if err := os.Remove(filepath.Join(dir, "a.yaml")); err != nil {
		t.Fatal(err)
	}
	looks("removed", false, true, false)
	if err := os.RemoveAll(dir); err != nil {
		t.Fatal(err)
	}
	looks("all removed", false, true, false)
}

// A link is seen by where it leads: an own folder may be put together from links to files kept elsewhere.
func TestWatchedLinks(t *testing.T) {
	dir, elsewhere := t.TempDir(), t.TempDir()
	file := filepath.Join(elsewhere, "a.yaml")
	if err := os.WriteFile(file, []byte("one"), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(file, filepath.Join(dir, "a.yaml")); err != nil {
		t.Fatal(err)
	}
	w := NewWatch(dir)
	if err := os.WriteFile(file, []byte("longer"), 0o600); err != nil {
		t.Fatal(err)
	}
	if w.Changed() || !w.Changed() || w.Changed() {
		t.Error("a change where a link leads was not seen")
	}
}
