package files

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"testing"
)

// names are those of the files in a folder.
func names(t *testing.T, dir string) (all []string) {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, entry := range entries {
		all = append(all, entry.Name())
	}
	return all
}

func TestANewFileIsWrittenOnce(t *testing.T) {
	for how, write := range map[string]func(path string, text []byte) error{"beside": WriteNew, "in place": writeInPlace} {
		dir := t.TempDir()
		path := filepath.Join(dir, "key")
		if err := write(path, []byte("first")); err != nil {
			t.Fatal(err)
		}
		if err := write(path, []byte("second")); !errors.Is(err, fs.ErrExist) {
			t.Errorf("%s: %v", how, err)
		}
		if text, err := Read(path, 10); err != nil || string(text) != "first" {
			t.Errorf("%s: %q %v", how, text, err)
		}
		if all := names(t, dir); len(all) != 1 {
			t.Errorf("%s: %q are left", how, all)
		}
		if info, err := os.Stat(path); err != nil || info.Mode().Perm() != 0o600 {
			t.Errorf("%s: others can read it: %v %v", how, info.Mode(), err)
		}
	}
	if err := WriteNew(filepath.Join(t.TempDir(), "none", "key"), nil); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("%v", err)
	}
}

// A file that is not there yet is written, for its owner alone.
func TestReplaceMakesAFile(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "link")
	for _, text := range []string{"first", "second"} {
		if err := Replace(path, []byte(text)); err != nil {
			t.Fatal(err)
		}
		if kept, err := Read(path, 10); err != nil || string(kept) != text {
			t.Errorf("%q %v", kept, err)
		}
		if info, err := os.Stat(path); err != nil || info.Mode().Perm() != 0o600 {
			t.Errorf("others can read it: %v %v", info.Mode(), err)
		}
	}
	if all := names(t, dir); len(all) != 1 {
		t.Errorf("%q are left", all)
	}
}

// A file is replaced where it is, with its permissions, through a link too; where that fails it stays as it was.
func TestReplace(t *testing.T) {
	dir := t.TempDir()
	path, link := filepath.Join(dir, "a.yaml"), filepath.Join(dir, "link.yaml")
	if err := os.WriteFile(path, []byte("old"), 0o640); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink("a.yaml", link); err != nil {
		t.Skip("no links here: " + err.Error())
	}
	if err := Replace(link, []byte("new")); err != nil {
		t.Fatal(err)
	}
	text, _ := os.ReadFile(path)
	info, err := os.Lstat(link)
	if err != nil || string(text) != "new" || info.Mode()&os.ModeSymlink == 0 {
		t.Errorf("%q, %v, %v", text, info, err)
	}
	if info, _ := os.Stat(path); info.Mode().Perm() != 0o640 {
		t.Errorf("mode %v", info.Mode())
	}
	if entries, _ := os.ReadDir(dir); len(entries) != 2 {
		t.Errorf("left behind: %v", entries)
	}
	if err := Replace(filepath.Join(dir, "none", "a"), nil); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("in no folder: %v", err)
	}
	nowhere := filepath.Join(dir, "nowhere")
	if err := os.Symlink("gone", nowhere); err != nil {
		t.Fatal(err)
	}
	if err := Replace(nowhere, nil); err == nil {
		t.Error("a link that leads nowhere was replaced")
	}
}
