package server

import (
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"handrule/internal/files"
)

// Of the folder that is served an address may name the jog files in jogs/, and nothing else.
func TestJogFilesOfAFolderAreSent(t *testing.T) {
	dir := t.TempDir()
	if err := os.Mkdir(filepath.Join(dir, "jogs"), 0o755); err != nil {
		t.Fatal(err)
	}
	for name, text := range map[string]string{"jogs/square.txt": "base x +30\n", "jogs/key.pem": "secret", "notes.txt": "secret", "jogs/large.txt": strings.Repeat("#", 1<<20)} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	own, err := files.Folder(dir)
	if err != nil {
		t.Fatal(err)
	}
	handler := New(Options{Jogs: own, Static: fstest.MapFS{}}).Handler(false)
	get := func(path string) *httptest.ResponseRecorder {
		w := httptest.NewRecorder()
		handler.ServeHTTP(w, httptest.NewRequest(http.MethodGet, path, nil))
		return w
	}
	if w := get("/jogs/square.txt"); w.Body.String() != "base x +30\n" || w.Header().Get("Content-Type") != "text/plain; charset=utf-8" {
		t.Errorf("the file comes as %d %q, %v", w.Code, w.Body, w.Header())
	}
	for _, path := range []string{"/jogs/key.pem", "/jogs/large.txt", "/jogs/none.txt", "/jogs/..%2fnotes.txt", "/jogs/../notes.txt", "/notes.txt", "/jogs/"} {
		if w := get(path); w.Code != http.StatusNotFound || strings.Contains(w.Body.String(), "secret") {
			t.Errorf("%s: %d %q", path, w.Code, w.Body)
		}
	}
	if w := httptest.NewRecorder(); true {
		New(Options{Static: fstest.MapFS{}}).Handler(false).ServeHTTP(w, httptest.NewRequest(http.MethodGet, "/jogs/square.txt", nil))
		if w.Code != http.StatusNotFound {
			t.Errorf("without a folder: %d", w.Code)
		}
	}
}
