//go:build unix

package lasting

import (
	"bufio"
	"bytes"
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"handrule/internal/draws"
	"handrule/internal/reference"
	"handrule/server/store"
)

const folderVariable = "HANDRULE_TEST_FOLDER"

// TestMain lets the test be started again as a process that writes until it is killed.
func TestMain(m *testing.M) {
	if folder := os.Getenv(folderVariable); folder != "" {
		writeOn(folder)
		return
	}
	os.Exit(m.Run())
}

const writtenKeys = 5

// valueOf is what is written the nth time: of lengths from some bytes to more than a block of a disk.
func valueOf(n int) []byte {
	return fmt.Appendf(nil, "%d:%s", n, bytes.Repeat([]byte{byte('a' + n%26)}, n*37%9000))
}

// writeOn writes 0, 1, 2, … and says each that was acknowledged.
func writeOn(folder string) {
	s, err := Open(context.Background(), Options{Folder: folder})
	if err != nil {
		fmt.Println("error", err)
		return
	}
	b, err := s.Bucket("benches")
	for n := 0; err == nil; n++ {
		var old store.Entry
		key := fmt.Sprintf("k%d", n%writtenKeys)
		if old, err = b.Get(key); err == nil || errors.Is(err, store.ErrNone) {
			_, err = b.Replace(key, valueOf(n), old.Revision)
		}
		if err == nil {
			os.Stdout.WriteString(fmt.Sprintln("kept", n))
		}
	}
	fmt.Println("error", err)
}

// Killed at any moment, a process has lost nothing that was acknowledged. A round kills one process among its first writes, in a folder of
// its own. What the machine loses with its power is another matter: see TestEveryWriteIsOnTheDisk.
func TestKilledAtAnyMoment(t *testing.T) {
	kills, most := 8, 60
	if testing.Short() {
		kills = 2
	}
	if draws.Thorough() {
		kills, most = 1000, 1000
	}
	random := rand.New(rand.NewPCG(draws.Seed(), 1))
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	writes := 0
	for kill := range kills {
		folder := t.TempDir()
		command := exec.Command(self)
		command.Env = append(os.Environ(), folderVariable+"="+folder)
		out, err := command.StdoutPipe()
		if err != nil {
			t.Fatal(err)
		}
		if err := command.Start(); err != nil {
			t.Fatal(err)
		}
		until := random.IntN(most) + 1
		last := -1
		lines := bufio.NewScanner(out)
		for lines.Scan() {
			if _, err := fmt.Sscanf(lines.Text(), "kept %d", &last); err != nil {
				t.Fatal(lines.Text())
			}
			if last == until { // somewhere in the next write
				command.Process.Kill()
			}
		}
		command.Wait()
		writes += last + 1
		s, err := Open(t.Context(), Options{Folder: folder})
		if err != nil {
			t.Fatalf("kill %d: %v", kill, err)
		}
		b := benches(t, s)
		for k := range writtenKeys {
			n := last - (last-k+writtenKeys)%writtenKeys // the last that was acknowledged under this key
			if n < 0 {
				continue
			}
			e, err := b.Get(fmt.Sprintf("k%d", k))
			// The write that was under way may be there, too.
			if err != nil || !bytes.Equal(e.Value, valueOf(n)) && !(n+writtenKeys == last+1 && bytes.Equal(e.Value, valueOf(n+writtenKeys))) {
				t.Fatalf("kill %d after write %d: under k%d is %.20q, %v, want write %d", kill, last, k, e.Value, err, n)
			}
		}
		if _, err := b.Put("after", []byte("x")); err != nil {
			t.Errorf("kill %d: then nothing can be written: %v", kill, err)
		}
		s.Close()
		os.RemoveAll(folder)
	}
	t.Logf("%d kills, %d acknowledged writes, all there", kills, writes)
}

// On a full disk it is said in words what is wrong, what was acknowledged is there, and when there is room again all goes on.
func TestTheDiskIsFull(t *testing.T) {
	disk := smallDisk(t)
	s := open(t, Options{Folder: filepath.Join(disk, "data")})
	b := benches(t, s)
	told := make(chan store.Entry, 10_000)
	if _, err := b.Watch("", func(e store.Entry) { told <- e }); err != nil {
		t.Fatal(err)
	}
	ballast := filepath.Join(disk, "ballast")
	kept := map[string]int{}
	n := 0
	write := func() error {
		key := fmt.Sprintf("k%d", n%writtenKeys)
		_, err := b.Put(key, valueOf(n))
		if err == nil {
			kept[key] = n
		}
		n++
		return err
	}
	check := func(when string) {
		t.Helper()
		for key, n := range kept {
			e, err := b.Get(key)
			is := 0
			fmt.Sscanf(string(e.Value), "%d:", &is)
			// One that was not acknowledged may have been kept after it.
			if err != nil || is < n || fmt.Sprintf("k%d", is%writtenKeys) != key || !bytes.Equal(e.Value, valueOf(is)) {
				t.Errorf("%s: under %s is %.20q, %v, want write %d", when, key, e.Value, err, n)
			}
		}
	}
	for range 20 {
		if err := write(); err != nil {
			t.Fatal(err)
		}
	}
	fill(t, ballast)
	var err error
	for range 5000 {
		if err = write(); err != nil {
			break
		}
	}
	if !errors.Is(err, store.ErrAway) || !strings.Contains(err.Error(), fullWords) {
		t.Fatalf("with a full disk: %v", err)
	}
	if err := os.Remove(ballast); err != nil {
		t.Fatal(err)
	}
	for err := write(); err != nil; err = write() { // until it goes on
		if !errors.Is(err, store.ErrAway) {
			t.Fatal(err)
		}
	}
	check("when there is room again")
	last, err := b.Put("last", nil)
	if err != nil {
		t.Fatal(err)
	}
	for e := range told {
		if e.Revision == last {
			break
		}
	}
	s.Close()
	b = benches(t, open(t, Options{Folder: filepath.Join(disk, "data")}))
	check("after a restart")
}

// smallDisk is a disk of a few megabytes, where one can be made.
func smallDisk(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	if err := mountSmall(dir); err != nil {
		reference.Skip(t, fmt.Sprintf("no small disk can be made here: %v", err))
	}
	t.Cleanup(func() { unmount(dir) })
	return dir
}

// fill writes until nothing more fits.
func fill(t *testing.T, path string) {
	t.Helper()
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	for size := 64 << 10; size > 0; {
		if _, err := f.Write(make([]byte, size)); err != nil {
			size /= 2
		}
	}
	if err := f.Sync(); err != nil && !errors.Is(err, syscall.ENOSPC) {
		t.Fatal(err)
	}
}
