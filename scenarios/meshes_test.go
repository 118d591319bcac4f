package scenarios

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// tetrahedron has a corner at the origin and edges of 20, 10 and 10 along the axes, as an OBJ file with colours.
const tetrahedron = "mtllib paint.mtl\nv 0 0 0\nv 20 0 0\nv 0 10 0\nv 0 0 10\nf 1 2 3\nf 1 2 4\nf 1 3 4\nf 2 3 4\n"

// surfaced writes an arm file with a mesh into a folder with these files, and returns its path.
func surfaced(t *testing.T, mesh string, files map[string]string) string {
	t.Helper()
	dir := t.TempDir()
	wren, err := shippedFiles.ReadFile("arms/wren.yaml")
	if err != nil {
		t.Fatal(err)
	}
	for name, text := range files {
		path := filepath.Join(dir, name)
		if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	path := filepath.Join(dir, "mine.yaml")
	if err := os.WriteFile(path, append(wren, "meshes:\n  - "+mesh+"\n"...), 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

// An arm of a folder knows the files that it is drawn with: those that meshes name as well, where they are there.
func TestAnArmIsDrawnWithFilesBesideIt(t *testing.T) {
	path := surfaced(t, "{link: 4, file: m/a.obj, at_mm: [150, 0, 300]}", map[string]string{"m/a.obj": tetrahedron, "m/paint.mtl": "newmtl x\n", "m/other.stl": ""})
	all, err := ReadFolder(filepath.Dir(path))
	if err != nil || len(all.Broken) > 0 || len(all.Arms) != 1 {
		t.Fatalf("%v %v", all, err)
	}
	if got := all.Arms[0].Files; !slices.Equal(got, []string{"m/a.obj", "m/paint.mtl"}) {
		t.Errorf("%q", got)
	}
	report, err := Check(path, nil, nil)
	if err != nil || !slices.Contains(report.Notes, "meshes: 1, of 4 triangles") {
		t.Errorf("%q %v", report.Notes, err)
	}
	if slices.ContainsFunc(report.Notes, func(n string) bool { return strings.Contains(n, "beyond") }) {
		t.Errorf("it is within its body: %q", report.Notes)
	}
}

// By hand: link 4 has a body of radius 30 about the line at Y 0, Z 300. A corner at Y 10, 60 over it, is √(10² + 60²) − 30 = 30.8 mm beyond.
func TestWhatIsDrawnBeyondTheBodyIsTold(t *testing.T) {
	flat := "v 0 10 0\nv 20 10 0\nv 0 10 10\nf 1 2 3\n"
	report, err := Check(surfaced(t, "{link: 4, file: a.obj, at_mm: [200, 0, 350]}", map[string]string{"a.obj": flat}), nil, nil)
	if err != nil || !slices.Contains(report.Notes, `note: what is drawn of link 4, "a.obj", reaches up to 30.8 mm beyond the body that can touch`) {
		t.Errorf("%q %v", report.Notes, err)
	}
	// And one on the floor of the base frame is 300 − 30 mm beyond.
	report, err = Check(surfaced(t, "{link: 4, file: a.obj, at_mm: [200, 0, 350]}", map[string]string{"a.obj": "v 0 0 0\nv 0 0 -350\nv 1 0 0\nf 1 2 3\n"}), nil, nil)
	if err != nil || !slices.ContainsFunc(report.Notes, func(n string) bool { return strings.Contains(n, "reaches up to 270 mm beyond") }) {
		t.Errorf("%q %v", report.Notes, err)
	}
}

// What is wrong with a file of a mesh is told at its place in the arm file, and nothing outside the folder is read.
func TestWrongFilesOfMeshesAreTold(t *testing.T) {
	outside := filepath.Join(t.TempDir(), "secret.obj")
	if err := os.WriteFile(outside, []byte(tetrahedron), 0o600); err != nil {
		t.Fatal(err)
	}
	for name, test := range map[string]struct {
		file string
		text string
		says string
	}{
		"not there": {"b.obj", "", `the mesh "b.obj" is not in the arm file's folder`},
		"cut off":   {"a.stl", "solid x\nfacet normal 0 0 1\nouter loop\nvertex 0 0 0\n", `the mesh "a.stl" ends within a facet`},
		"a folder":  {"m/.stl", "", "is not an ordinary file"},
		"a link":    {"link.obj", "", `the mesh "link.obj" cannot be read`},
		"too large": {"large.stl", "", "is too large"},
		"a name of another": {"a.gltf", `{"asset":{"version":"2.0"},"buffers":[{"uri":"link.obj","byteLength":1}]}`,
			`the mesh "a.gltf" has a buffer 0 that lies in "link.obj", which cannot be read`},
	} {
		path := surfaced(t, "{link: 4, file: "+test.file+"}", map[string]string{"a.stl": test.text, "a.gltf": test.text})
		dir := filepath.Dir(path)
		if err := os.Mkdir(filepath.Join(dir, "m"), 0o700); err != nil {
			t.Fatal(err)
		}
		if err := os.Mkdir(filepath.Join(dir, "m", ".stl"), 0o700); err != nil {
			t.Fatal(err)
		}
		if err := os.Symlink(outside, filepath.Join(dir, "link.obj")); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, "large.stl"), nil, 0o600); err != nil {
			t.Fatal(err)
		}
		if err := os.Truncate(filepath.Join(dir, "large.stl"), 1<<30); err != nil {
			t.Fatal(err)
		}
		all, err := ReadFolder(dir)
		if err != nil || len(all.Arms) > 0 || len(all.Broken) != 1 {
			t.Fatalf("%s: %+v %v", name, all, err)
		}
		if text := all.Broken[0].Problems.Error(); !strings.Contains(text, test.says) || !strings.Contains(text, "mine.yaml:33:") {
			t.Errorf("%s: %s", name, text)
		}
	}
}
