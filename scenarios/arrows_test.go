package scenarios

import (
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// Each room of this package knows those before it in this list and no other, and what is below all of them.
func TestTheRoomsKnowOnlyThoseBeforeThem(t *testing.T) {
	rooms := []string{"form", "translation", "armfile", "mesh", "urdf", "tabular", "dhtable", "measures", "compare", "cellfile", "jogfile", "lesson", "ask", "prose", "solve"}
	below := []string{"handrule/kinematics", "handrule/kinematics/jog", "handrule/kinematics/clearance", "handrule/words", "handrule/scenarios/spoken"}
	for i, room := range rooms {
		files, err := filepath.Glob(filepath.Join(room, "*.go"))
		if err != nil || len(files) == 0 {
			t.Fatalf("%s: %v", room, err)
		}
		for _, name := range files {
			if strings.HasSuffix(name, "_test.go") {
				continue
			}
			text, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			file, err := parser.ParseFile(token.NewFileSet(), name, text, parser.ImportsOnly)
			if err != nil {
				t.Fatal(err)
			}
			for _, spec := range file.Imports {
				path, _ := strconv.Unquote(spec.Path.Value)
				within, inProject := strings.CutPrefix(path, "handrule/scenarios/")
				switch {
				case inProject && slices.Contains(rooms[:i], within), slices.Contains(below, path), strings.HasPrefix(path, "handrule/internal/"):
				case strings.HasPrefix(path, "handrule/"):
					t.Errorf("%s imports %s", name, path)
				}
			}
		}
	}
}
