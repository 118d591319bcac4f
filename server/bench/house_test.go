package bench

import (
	"go/parser"
	"go/token"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// A bench has no transport, no clock, no file and no goroutine of its own.
func TestTheBenchImportsNoSystem(t *testing.T) {
	files, err := filepath.Glob("*.go")
	if err != nil || len(files) == 0 {
		t.Fatal("there are no files", err)
	}
	for _, name := range files {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		file, err := parser.ParseFile(token.NewFileSet(), name, text, 0)
		if err != nil {
			t.Fatal(err)
		}
		for _, i := range file.Imports {
			path, _ := strconv.Unquote(i.Path.Value)
			for _, refused := range []string{"net", "net/", "sync", "sync/", "context", "os", "os/", "crypto/", "math/rand", "log"} {
				if path == refused || strings.HasSuffix(refused, "/") && strings.HasPrefix(path, refused) || path == "math/rand/v2" {
					t.Errorf("%s imports %s", name, path)
				}
			}
		}
		for _, refused := range []string{"time.Now(", "time.Sleep(", "time.After(", "\tgo func", " go func"} {
			if strings.Contains(string(text), refused) {
				t.Errorf("%s uses %s…", name, strings.TrimSpace(refused))
			}
		}
	}
	deps, err := exec.Command("go", "list", "-deps", ".").Output()
	if err != nil {
		t.Fatal(err)
	}
	for _, path := range strings.Fields(string(deps)) {
		if path == "net/http" || path == "crypto/x509" || path == "net" {
			t.Errorf("what the bench imports leads to %s", path)
		}
	}
}

// The same bench runs in a browser, with Go's own compiler.
func TestTheBenchBuildsForABrowser(t *testing.T) {
	build := exec.Command("go", "build", "-o", filepath.Join(t.TempDir(), "bench.wasm"), "./testdata/wasm")
	build.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm")
	if out, err := build.CombinedOutput(); err != nil {
		t.Errorf("%v\n%s", err, out)
	}
}
