package kinematics_test

import (
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// Geometry and motion know only themselves, the standard library and gonum: no texts, no files, nothing above them. Tests may
// use what they need.
func TestTheKinematicsImportNothingAboveThem(t *testing.T) {
	err := fs.WalkDir(os.DirFS("."), ".", func(path string, _ fs.DirEntry, err error) error {
		if err != nil || filepath.Ext(path) != ".go" || strings.HasSuffix(path, "_test.go") {
			return err
		}
		file, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.ImportsOnly)
		if err != nil {
			return err
		}
		for _, spec := range file.Imports {
			name, _ := strconv.Unquote(spec.Path.Value)
			first, _, _ := strings.Cut(name, "/")
			outside := strings.Contains(first, ".") && !strings.HasPrefix(name, "gonum.org/v1/gonum/")
			if outside || first == "handrule" && !strings.HasPrefix(name, "handrule/kinematics") {
				t.Errorf("%s imports %s", path, name)
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}
