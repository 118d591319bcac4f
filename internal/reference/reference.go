// Package reference is for tests that compare with the values under testdata: it reads them, and where the library that
// computed them is installed it computes them anew.
package reference

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
)

// Read reads a JSON file under testdata.
func Read(t testing.TB, path string, into any) {
	t.Helper()
	text, err := os.ReadFile(under(t, path))
	if err != nil {
		t.Fatal(err)
	}
	Unmarshal(t, text, into)
}

// under is the path of a file under testdata, which is in the project's root: above the package that is tested.
func under(t testing.TB, path string) string {
	t.Helper()
	for dir := ".."; ; dir = filepath.Join(dir, "..") {
		if _, err := os.Stat(filepath.Join(dir, "go.mod")); err == nil {
			return filepath.Join(dir, "testdata", filepath.FromSlash(path))
		} else if whole, _ := filepath.Abs(dir); whole == filepath.Dir(whole) {
			t.Fatal("no go.mod is above this package")
		}
	}
}

// Unmarshal reads JSON with no fields but those that are known.
func Unmarshal(t testing.TB, text []byte, into any) {
	t.Helper()
	decoder := json.NewDecoder(bytes.NewReader(text))
	decoder.DisallowUnknownFields()
	if err := decoder.Decode(into); err != nil {
		t.Fatal(err)
	}
}

// Regenerate runs a generator under testdata and returns what it writes, or skips the test where no Python here
// can import the module it needs.
func Regenerate(t *testing.T, module, debian, script string, arguments ...string) []byte {
	t.Helper()
	// The system's Python comes first, because distribution packages install for that one.
	for _, python := range []string{"/usr/bin/python3", "python3"} {
		if exec.Command(python, "-c", "import "+module).Run() != nil {
			continue
		}
		command := exec.Command(python, append([]string{under(t, script)}, arguments...)...)
		var complaint bytes.Buffer
		command.Stderr = &complaint
		out, err := command.Output()
		if err != nil {
			t.Fatalf("%s: %v\n%s", script, err, complaint.String())
		}
		return out
	}
	Skip(t, fmt.Sprintf("no python3 here can import %s, so its values were not computed anew; the package %s has it", module, debian))
	return nil
}

// Skip skips a check against the outside world and notes it where the test run is to tell of it.
func Skip(t testing.TB, why string) {
	t.Helper()
	if path := os.Getenv("HANDRULE_SKIPPED"); path != "" {
		if file, err := os.OpenFile(path, os.O_APPEND|os.O_CREATE|os.O_WRONLY, 0o644); err == nil {
			fmt.Fprintf(file, "%s: %s\n", t.Name(), why)
			file.Close()
		}
	}
	t.Skip(why)
}

// CompareNumbers reports where two decoded JSON values differ by more than the tolerance for that place in the
// file, as a share of a number above one in size and absolute below.
func CompareNumbers(t *testing.T, where string, committed, fresh any, tolerance func(where string) float64) {
	t.Helper()
	switch c := committed.(type) {
	case map[string]any:
		f, ok := fresh.(map[string]any)
		if !ok || len(f) != len(c) {
			t.Errorf("%s: fields differ", where)
			return
		}
		for key := range c {
			CompareNumbers(t, where+"."+key, c[key], f[key], tolerance)
		}
	case []any:
		f, ok := fresh.([]any)
		if !ok || len(f) != len(c) {
			t.Errorf("%s: lengths differ", where)
			return
		}
		for i := range c {
			CompareNumbers(t, fmt.Sprintf("%s[%d]", where, i), c[i], f[i], tolerance)
		}
	case float64:
		f, ok := fresh.(float64)
		if !ok || !(math.Abs(c-f) <= tolerance(where)*math.Max(1, math.Abs(c))) {
			t.Errorf("%s: committed %v, computed anew %v", where, committed, fresh)
		}
	default:
		if committed != fresh {
			t.Errorf("%s: committed %v, computed anew %v", where, committed, fresh)
		}
	}
}
