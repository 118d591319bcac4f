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
	for _, path := range imported(t, ".") {
		if path == "net/http" || path == "crypto/x509" || path == "net" {
			t.Errorf("what the bench imports leads to %s", path)
		}
	}
}

// What a browser has itself is not brought along for it: a first visit loads all of it.
func TestABrowsersBenchIsSmall(t *testing.T) {
	for _, path := range imported(t, "../../cmd/handrule-alone", "GOOS=js", "GOARCH=wasm") {
		if path == "regexp" || path == "net" || strings.HasPrefix(path, "golang.org/x/text/") || strings.HasPrefix(path, "github.com/yuin/") {
			t.Errorf("the bench of a page without a server leads to %s", path)
		}
	}
}

// imported is all that a package leads to.
func imported(t *testing.T, path string, env ...string) []string {
	t.Helper()
	list := exec.Command("go", "list", "-deps", path)
	list.Env = append(os.Environ(), env...)
	deps, err := list.Output()
	if err != nil {
		t.Fatal(err)
	}
	return strings.Fields(string(deps))
}

// The same bench runs in a browser, with Go's own compiler.
func TestTheBenchBuildsForABrowser(t *testing.T) {
	build := exec.Command("go", "build", "-o", filepath.Join(t.TempDir(), "bench.wasm"), "./testdata/wasm")
	build.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm")
	if out, err := build.CombinedOutput(); err != nil {
		t.Errorf("%v\n%s", err, out)
	}
}
