//go:build unix

package server

import (
	"net/http"
	"os"
	"path/filepath"
	"testing"
	"testing/fstest"

	"handrule/internal/files"
	"handrule/scenarios"
	"handrule/server/bench"
)

// meshed is a server with one arm of a folder, mine, that is drawn with one file.
func meshed(t *testing.T) (s *Server, path string) {
	t.Helper()
	dir := t.TempDir()
	wren, err := os.ReadFile("../scenarios/arms/wren.yaml")
	if err != nil {
		t.Fatal(err)
	}
	path = filepath.Join(dir, "a.obj")
	for name, text := range map[string]string{
		"mine.yaml": string(wren) + "meshes: [{link: 2, file: a.obj}]\n", "a.obj": "mtllib a.mtl\nv 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 3\n", "a.mtl": "newmtl x\n", "b.obj": "secret",
	} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	folder, err := scenarios.ReadFolder(dir)
	if err != nil || len(folder.Arms) != 1 {
		t.Fatal(err, folder.Broken)
	}
	o := bench.Offer{Arms: folder.Arms}
	if o.Folder, err = files.Folder(dir); err != nil {
		t.Fatal(err)
	}
	return New(Options{Static: fstest.MapFS{}, Offer: o}), path
}

// The files that an arm is drawn with are served, and no others of the folder.
func TestFilesOfMeshesAreServed(t *testing.T) {
	s, _ := meshed(t)
	for path, want := range map[string]int{
		"/arms/mine/a.obj": 200, "/arms/mine/a.mtl": 200, "/arms/mine/b.obj": 404, "/arms/mine/mine.yaml": 404, "/arms/mine/": 404, "/arms/wren/a.obj": 404,
		"/arms/mine/../mine/a.obj": 404, "/arms/mine/%2e%2e/mine.yaml": 404, "/arms/mine//etc/passwd": 404,
	} {
		response := get(s, path)
		if response.Code != want {
			t.Errorf("%s is answered with %d, want %d", path, response.Code, want)
		}
	}
	if h := get(s, "/arms/mine/a.obj").Header(); h.Get("Content-Type") != "model/obj" || h.Get("X-Content-Type-Options") != "nosniff" {
		t.Errorf("%v", h)
	}
}

// A file of a mesh is looked at when it is asked for, not only when its arm was read.
func TestAMeshThatWasReplaced(t *testing.T) {
	for what, replace := range replacements(t) {
		s, path := meshed(t)
		if err := os.Remove(path); err != nil {
			t.Fatal(err)
		}
		if err := replace(path); err != nil {
			t.Fatal(err)
		}
		if response := get(s, "/arms/mine/a.obj"); response.Code != http.StatusNotFound {
			t.Errorf("%s: status %d, %d bytes", what, response.Code, response.Body.Len())
		}
	}
}
