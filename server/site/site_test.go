package site_test

import (
	"bytes"
	"compress/gzip"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"handrule/internal/files"
	"handrule/internal/reference"
	"handrule/scenarios"
	"handrule/server/bench"
	"handrule/server/site"
	"handrule/static"
)

// built is a page and a bench as the build makes them, in their place.
var built = fstest.MapFS{
	"icon.svg": {Data: []byte("<svg/>")}, "dist/page.js": {Data: []byte("page")}, "dist/page.js.br": {Data: []byte("packed")}, "dist/style.css": {Data: []byte("style")},
	"dist/worker.js": {Data: []byte("worker")}, "dist/offline.js": {Data: []byte("offline")}, "dist/offline.js.gz": {Data: []byte("offline")}, "dist/importer.js": {Data: []byte("importer")}, "dist/notices.txt": {Data: []byte("notices")},
}

// packed is a program, packed.
func packed(string) ([]byte, error) {
	var text bytes.Buffer
	zip := gzip.NewWriter(&text)
	zip.Write([]byte("program"))
	zip.Close()
	return text.Bytes(), nil
}

func options() site.Options {
	return site.Options{
		Offer:  bench.Offer{Arms: scenarios.ShippedArms(), Cells: scenarios.ShippedCells(), Lessons: scenarios.ShippedLessons()},
		Bundle: built, Alone: packed,
	}
}

func read(t *testing.T, parts ...string) string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(parts...))
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// All addresses of a site are relative, so that it may lie below any path, and lead to a file of it; the pages of every language have
// the strictest policy that lets a bench run, and everything that is put away for later is there.
func TestASiteIsWhole(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "site")
	version, err := site.Write(dir, options())
	if err != nil {
		t.Fatal(err)
	}
	address := regexp.MustCompile(`(?:src|href|data-own)="([^"#]*)"`)
	for _, page := range []string{"index.html", "en.html", "es.html"} {
		html := read(t, dir, page)
		for _, m := range address.FindAllStringSubmatch(html, -1) {
			if m[1] == "" {
				continue
			}
			if strings.HasPrefix(m[1], "/") || strings.Contains(m[1], ":") {
				t.Errorf("%s: the address %s is not relative", page, m[1])
			} else if _, err := os.Stat(filepath.Join(dir, m[1])); err != nil && m[1] != version+"/entry.js" { // which is built beside the page
				t.Errorf("%s: %v", page, err)
			}
		}
		policy := regexp.MustCompile(`http-equiv="Content-Security-Policy" content="([^"]*)"`).FindStringSubmatch(html)
		if policy == nil || !strings.Contains(policy[1], "default-src &#39;none&#39;") || !strings.Contains(policy[1], "wasm-unsafe-eval") || strings.Contains(policy[1], "unsafe-inline") {
			t.Errorf("%s: the policy is %q", page, policy)
		}
		if strings.Contains(html, "entry.js") != (page == "index.html") {
			t.Errorf("%s: only the first page leads on to another language", page)
		}
	}
	offline := read(t, dir, "offline.js")
	list := regexp.MustCompile(`const SITE_FILES = (.*);`).FindStringSubmatch(offline)
	var kept []string
	if list == nil || json.Unmarshal([]byte(list[1]), &kept) != nil || len(kept) < 20 {
		t.Fatalf("the files to put away are %.200q", list)
	}
	for _, name := range kept {
		if _, err := os.Stat(filepath.Join(dir, name)); err != nil || strings.HasSuffix(name, ".gz") || strings.HasSuffix(name, ".br") {
			t.Errorf("put away is %s: %v", name, err)
		}
	}
	for _, program := range []string{"bench.wasm", "import.wasm"} {
		if got := read(t, dir, version, program); got != "program" {
			t.Errorf("%s is %q", program, got)
		}
	}
	later := regexp.MustCompile(`const SITE_LATER = (.*);`).FindStringSubmatch(offline)
	if want := fmt.Sprintf(`["%[1]s/importer.js","%[1]s/import.wasm"]`, version); later == nil || later[1] != want || slices.Contains(kept, version+"/import.wasm") {
		t.Errorf("put away at last are %q, not %s", later, want)
	}
}

// A first visit loads at most 2.0 MB packed. The page may take a quarter of a MB of it (web/tests/plot.spec.ts); `make site-size` prints all of it.
func TestAFirstVisitIsSmall(t *testing.T) {
	program, err := static.Alone(static.BenchProgram + ".br")
	if err != nil {
		reference.Skip(t, "the bench is not compiled for a site: its size is not tested; make alone")
	}
	if len(program) > 1_740_000 {
		t.Errorf("the bench takes %d bytes packed; what is new in it? (go list -deps ./cmd/handrule-alone, with GOOS=js GOARCH=wasm)", len(program))
	}
}

// The same makes the same, byte for byte; another version lies beside the one before, whose pages may be open, and the one before that goes.
func TestAnUpdateMixesNoVersions(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "site")
	o := options()
	first, err := site.Write(dir, o)
	if err != nil {
		t.Fatal(err)
	}
	if again, err := site.Write(dir, o); err != nil || again != first {
		t.Fatalf("the same is another version: %s, %s, %v", first, again, err)
	}
	o.Offer.Lessons = o.Offer.Lessons[:3]
	second, err := site.Write(dir, o)
	if err != nil || second == first {
		t.Fatalf("fewer lessons are no other version: %v", err)
	}
	if _, err := os.Stat(filepath.Join(dir, first, "page.js")); err != nil {
		t.Errorf("pages that are open lose their files: %v", err)
	}
	o.Offer.Lessons = o.Offer.Lessons[:2]
	third, err := site.Write(dir, o)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(filepath.Join(dir, first)); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("the version before the last one stays: %v", err)
	}
	if html := read(t, dir, "index.html"); strings.Contains(html, second) || !strings.Contains(html, third) {
		t.Error("a page names files of another version")
	}
}

// A folder in which something else lies is left alone, and a program without the page says what makes one with it.
func TestASiteIsWrittenOverNothingElse(t *testing.T) {
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "thesis.txt"), []byte("mine"), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := site.Write(dir, options()); err == nil || !strings.Contains(err.Error(), "not empty") {
		t.Errorf("a folder with something in it: %v", err)
	}
	o := options()
	o.Bundle = fstest.MapFS{}
	if _, err := site.Write(filepath.Join(t.TempDir(), "site"), o); !errors.Is(err, site.ErrNotBuilt) {
		t.Errorf("without a page: %v", err)
	}
}

// An instructor's own arm with the meshes it is drawn with, cell, lesson and picture are in the site, and the lesson can be read there with the files beside it.
func TestASiteHoldsOnesOwn(t *testing.T) {
	own := t.TempDir()
	arm, err := fs.ReadFile(scenarios.ShippedFiles(), "arms/wren.yaml")
	if err != nil {
		t.Fatal(err)
	}
	picture, surface := "\x89PNG\r\n\x1a\n", "v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 3\n"
	for name, text := range map[string]string{
		"my-arm.yaml": string(arm) + "meshes: [{link: 2, file: meshes/two.obj}]\n", "meshes/two.obj": surface, "pictures/a.png": picture,
		"mine.yaml": "title: Mine\narm: my-arm.yaml\nstages:\n  - title: One\n    text: |\n      See ![the arm](pictures/a.png).\n",
	} {
		file := filepath.Join(own, name)
		if err := os.MkdirAll(filepath.Dir(file), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	folder, err := scenarios.ReadFolder(own)
	if err != nil || len(folder.Broken) > 0 {
		t.Fatal(err, folder.Broken)
	}
	o := options()
	if o.Own, err = files.Folder(own); err != nil {
		t.Fatal(err)
	}
	o.Offer.Arms, o.Offer.Lessons = append(o.Offer.Arms, folder.Arms...), append(o.Offer.Lessons, folder.Lessons...)
	dir := filepath.Join(t.TempDir(), "site")
	version, err := site.Write(dir, o)
	if err != nil {
		t.Fatal(err)
	}
	if got := read(t, dir, "lessons/mine/pictures/a.png"); got != picture {
		t.Errorf("the picture is %q", got)
	}
	if got := read(t, dir, "arms/my-arm/meshes/two.obj"); got != surface {
		t.Errorf("the mesh is %q", got)
	}
	if strings.Contains(read(t, dir, "offline.js"), "two.obj") {
		t.Error("a mesh is put away before anybody has seen it")
	}
	lesson := read(t, dir, version, "lessons/mine.json")
	for _, holds := range []string{"my-arm.yaml", `lessons/mine/pictures/a.png`} {
		if !strings.Contains(lesson, holds) {
			t.Errorf("the lesson holds no %s: %.300s", holds, lesson)
		}
	}
	if !strings.Contains(read(t, dir, version, "catalog.json"), "my-arm") {
		t.Error("the arm is not offered")
	}
}

// Jog files that addresses may name lie beside the pages, and are put away for later. Another file is another version. One with an error is not written.
func TestJogFilesOfOnesOwn(t *testing.T) {
	own := t.TempDir()
	save := func(name, text string) {
		t.Helper()
		file := filepath.Join(own, name)
		if err := os.MkdirAll(filepath.Dir(file), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(file, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	save("jogs/square.txt", "base x +30\n")
	save("jogs/notes.md", "not for learners")
	save("notes.txt", "not for learners")
	o := options()
	var err error
	if o.Own, err = files.Folder(own); err != nil {
		t.Fatal(err)
	}
	dir := filepath.Join(t.TempDir(), "site")
	first, err := site.Write(dir, o)
	if err != nil {
		t.Fatal(err)
	}
	if got := read(t, dir, "jogs", "square.txt"); got != "base x +30\n" {
		t.Errorf("the file is %q", got)
	}
	if !strings.Contains(read(t, dir, "offline.js"), `"jogs/square.txt"`) {
		t.Error("the file is not put away for later")
	}
	for _, name := range []string{"jogs/notes.md", "notes.txt", "jogs/notes.txt"} {
		if _, err := os.Stat(filepath.Join(dir, name)); err == nil {
			t.Errorf("%s is written too", name)
		}
	}
	save("jogs/square.txt", "base x +40\n")
	if second, err := site.Write(dir, o); err != nil || second == first {
		t.Errorf("with another file it is the version %s again, %v", second, err)
	}
	save("jogs/square.txt", "base x +40\nbase w 3\n")
	if _, err := site.Write(dir, o); err == nil || !strings.Contains(err.Error(), "jogs/square.txt:2:6") {
		t.Errorf("of an error in it is said: %v", err)
	}
}
