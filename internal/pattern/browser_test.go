//go:build !js

package pattern_test

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"handrule/internal/reference"
)

// The same tests, and those of plural forms, in a program for a browser, which Node runs: what they ask of the browser is what Node has, too.
func TestABrowsersOwn(t *testing.T) {
	if _, err := exec.LookPath("node"); err != nil {
		reference.Skip(t, "node is not installed: patterns and plural forms of a browser's program are not tested")
	}
	root, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		t.Fatal(err)
	}
	runner := "node --stack-size=8192 " + filepath.Join(strings.TrimSpace(string(root)), "lib", "wasm", "wasm_exec_node.js")
	test := exec.Command("go", "test", "-exec", runner, "-run", "Patterns|Refused|Plural", ".", "../../words")
	test.Env = []string{"GOOS=js", "GOARCH=wasm"}
	for _, name := range []string{"PATH", "HOME", "GOCACHE", "GOMODCACHE", "GOPATH", "GOFLAGS", "GOPROXY"} { // a browser's program has room for few
		if value, there := os.LookupEnv(name); there {
			test.Env = append(test.Env, name+"="+value)
		}
	}
	if out, err := test.CombinedOutput(); err != nil {
		t.Errorf("%v\n%s", err, out)
	}
}
