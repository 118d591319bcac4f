//go:build unix

package files

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"syscall"
	"testing"
)

// pipe makes a named pipe at the path, with nobody at its other end: opening it in the ordinary way would never end.
func pipe(t *testing.T, path string) {
	t.Helper()
	if err := syscall.Mkfifo(path, 0o600); err != nil {
		t.Fatal(err)
	}
}

func TestAPipeIsRefused(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "pipe")
	pipe(t, path)
	in, err := Folder(dir)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := Open(path, 10); !errors.Is(err, ErrNotOrdinary) {
		t.Errorf("%v", err)
	}
	if _, err := OpenIn(in, "pipe", 10); !errors.Is(err, ErrNotOrdinary) {
		t.Errorf("%v", err)
	}
}

// What is put in a file's place between the look and the opening is refused too, without waiting.
func TestWhatIsOpenedIsLookedAtAgain(t *testing.T) {
	for what, replace := range map[string]struct {
		with func(t *testing.T, path string)
		is   func(err error) bool
	}{
		"a pipe": {pipe, func(err error) bool { return errors.Is(err, ErrNotOrdinary) }},
		"a folder": {func(t *testing.T, path string) {
			if err := os.Mkdir(path, 0o700); err != nil {
				t.Fatal(err)
			}
		}, func(err error) bool { return errors.Is(err, ErrNotOrdinary) }},
		"a larger file": {func(t *testing.T, path string) { write(t, path, "0123456789a") }, func(err error) bool { return errors.As(err, new(TooLarge)) }},
	} {
		dir := t.TempDir()
		path := filepath.Join(dir, "a")
		in, err := Folder(dir)
		if err != nil {
			t.Fatal(err)
		}
		for name, opens := range map[string]func() (fs.File, error){
			"at its path":   func() (fs.File, error) { return os.OpenFile(path, os.O_RDONLY|atOnce, 0) },
			"in its folder": func() (fs.File, error) { return in.Open("a") },
		} {
			os.RemoveAll(path)
			write(t, path, "0123456789")
			file, err := open(10, func() (fs.FileInfo, error) {
				defer func() {
					os.RemoveAll(path)
					replace.with(t, path)
				}()
				return os.Stat(path)
			}, opens)
			if file != nil || !replace.is(err) {
				t.Errorf("%s %s: %v", what, name, err)
			}
		}
	}
}
