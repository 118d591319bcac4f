//go:build unix

package scenarios

import (
	"handrule/scenarios/jogfile"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

// A pipe in the place of any file that is read is refused, and nothing waits for its other end.
func TestPipesAreNotWaitedFor(t *testing.T) {
	dir := t.TempDir()
	for name, text := range map[string]string{
		"picture.yaml": "title: A\narm: wren\nstages: [{text: '![x](pipe.png)'}]\n",
		"arm.yaml":     "title: A\narm: pipe.yaml\nstages: [{text: b}]\n",
		"cell.yaml":    "title: A\narm: wren\ncell: pipe.yaml\nstages: [{text: b}]\n",
	} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	for _, name := range []string{"pipe.png", "pipe.yaml"} {
		if err := syscall.Mkfifo(filepath.Join(dir, name), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	all, err := ReadFolder(dir)
	if err != nil || len(all.Broken) != 4 {
		t.Errorf("%+v %v", all.Broken, err)
	}
	for _, name := range []string{"picture.yaml", "arm.yaml", "cell.yaml", "pipe.yaml"} {
		if _, err := Check(filepath.Join(dir, name), ShippedArms(), nil); err == nil || !strings.Contains(err.Error(), "is not an ordinary file") {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, err := jogfile.Open(filepath.Join(dir, "pipe.yaml")); err == nil {
		t.Error("jogs were read from a pipe")
	}
}
