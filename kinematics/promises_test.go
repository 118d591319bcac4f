package kinematics_test

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// What the package docs promise names, in brackets, the tests that try to break it: those are there.
func TestPromisesNameTestsThatAreThere(t *testing.T) {
	for _, folder := range []string{".", "jog", "clearance"} {
		doc, err := os.ReadFile(filepath.Join(folder, "doc.go"))
		if err != nil {
			t.Fatal(err)
		}
		named := 0
		text := strings.ReplaceAll(string(doc), "\n//", "")
		for _, bracket := range regexp.MustCompile(`\[(?:(\w+): )?([^\[\]]+)\]`).FindAllStringSubmatch(text, -1) {
			in := folder
			if bracket[1] != "" {
				in = filepath.Join("..", bracket[1])
			}
			for _, name := range regexp.MustCompile(`(?:Test|Fuzz|Benchmark)\w+|\w+_test\.go`).FindAllString(bracket[2], -1) {
				named++
				if !hasTest(t, in, name) {
					t.Errorf("%s/doc.go names %s, which is not in %s", folder, name, in)
				}
			}
		}
		if named < 8 {
			t.Errorf("%s/doc.go names %d tests only", folder, named)
		}
	}
}

// hasTest reports whether a folder has a test of that name, or a file of tests.
func hasTest(t *testing.T, folder, name string) bool {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(folder, "*_test.go"))
	if err != nil {
		t.Fatal(err)
	}
	for _, file := range files {
		code, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if filepath.Base(file) == name || strings.Contains(string(code), "\nfunc "+name+"(") {
			return true
		}
	}
	return false
}
