//go:build unix

package files

import (
	"errors"
	"os/signal"
	"path/filepath"
	"syscall"
	"testing"
)

// A file that does not fit on the disk leaves nothing behind. A limit on the size of files stands in for the full disk: the
// first bytes are taken, and no more.
func TestAFullDiskLeavesNothing(t *testing.T) {
	for how, write := range map[string]func(path string, text []byte) error{"beside": WriteNew, "in place": writeInPlace} {
		dir := t.TempDir()
		path := filepath.Join(dir, "key")
		limited(t, 10, func() {
			if err := write(path, []byte("more than ten bytes")); !errors.Is(err, syscall.EFBIG) {
				t.Errorf("%s: %v", how, err)
			}
		})
		if all := names(t, dir); len(all) != 0 {
			t.Errorf("%s: %q are left", how, all)
		}
		if err := write(path, []byte("more than ten bytes")); err != nil {
			t.Errorf("%s, with room: %v", how, err)
		}
	}
}

// limited runs do while no file can be written beyond so many bytes.
func limited(t *testing.T, bytes uint64, do func()) {
	t.Helper()
	var before syscall.Rlimit
	if err := syscall.Getrlimit(syscall.RLIMIT_FSIZE, &before); err != nil {
		t.Fatal(err)
	}
	signal.Ignore(syscall.SIGXFSZ)
	defer signal.Reset(syscall.SIGXFSZ)
	limit := before
	limit.Cur = bytes
	if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &limit); err != nil {
		t.Fatal(err)
	}
	defer syscall.Setrlimit(syscall.RLIMIT_FSIZE, &before)
	do()
}
