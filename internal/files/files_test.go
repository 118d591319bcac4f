package files

import (
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"testing"
	"testing/fstest"
)

func write(t *testing.T, path, text string) {
	t.Helper()
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
}

func TestOrdinaryFilesAreRead(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "a")
	write(t, path, "0123456789")
	in, err := Folder(dir)
	if err != nil {
		t.Fatal(err)
	}
	for name, read := range map[string]func(most int64) ([]byte, error){
		"at its path":   func(most int64) ([]byte, error) { return Read(path, most) },
		"in its folder": func(most int64) ([]byte, error) { return ReadIn(in, "a", most) },
		"embedded":      func(most int64) ([]byte, error) { return ReadIn(embedded(t, "0123456789"), "a", most) },
	} {
		if text, err := read(10); err != nil || string(text) != "0123456789" {
			t.Errorf("%s: %q %v", name, text, err)
		}
		if _, err := read(9); !errors.Is(err, TooLarge{10, 9}) {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, err := Read(dir, 10); !errors.Is(err, ErrNotOrdinary) {
		t.Errorf("a folder: %v", err)
	}
	if _, err := Read(os.DevNull, 10); !errors.Is(err, ErrNotOrdinary) {
		t.Errorf("a device: %v", err)
	}
	if _, err := ReadIn(in, "b", 10); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("nothing: %v", err)
	}
}

// embedded is a file system as the compiler makes them, whose files can be read at any place.
func embedded(t *testing.T, text string) fs.FS {
	t.Helper()
	return fstest.MapFS{"a": &fstest.MapFile{Data: []byte(text)}}
}

// A file that grows while it is read is read as far as it went.
func TestAFileThatGrowsIsReadAsFarAsItWent(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a")
	write(t, path, "0123456789")
	file, err := Open(path, 10)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	write(t, path, "0123456789abcdef")
	if text, err := io.ReadAll(file); err != nil || string(text) != "0123456789" {
		t.Errorf("%q %v", text, err)
	}
}

func TestNoLinkLeadsOut(t *testing.T) {
	dir, outside := t.TempDir(), t.TempDir()
	write(t, filepath.Join(outside, "secret"), "secret")
	write(t, filepath.Join(dir, "own"), "own")
	for link, to := range map[string]string{"out": filepath.Join(outside, "secret"), "up": "../" + filepath.Base(outside) + "/secret", "in": "own", "folder": outside} {
		if err := os.Symlink(to, filepath.Join(dir, link)); err != nil {
			t.Fatal(err)
		}
	}
	in, err := Folder(dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"out", "up", "folder/secret", "../" + filepath.Base(outside) + "/secret", filepath.Join(outside, "secret")} {
		if text, err := ReadIn(in, name, 100); err == nil {
			t.Errorf("%s leads out: %q", name, text)
		}
	}
	if text, err := ReadIn(in, "in", 100); err != nil || string(text) != "own" {
		t.Errorf("%q %v", text, err)
	}
}
