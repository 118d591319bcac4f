package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

func folder(t *testing.T, files map[string]string) string {
	t.Helper()
	dir := t.TempDir()
	for name, text := range files {
		path := filepath.Join(dir, name)
		if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

// Every module that the linker takes has its notices, and so have Go and a bundled package. What is used for building alone
// has none.
func TestEveryPartHasItsNotices(t *testing.T) {
	var text strings.Builder
	if err := write(&text, []string{folder(t, map[string]string{"package.json": `{"name": "a-package", "version": "1.2.3"}`, "LICENSE": "Copyright A.\r\n"})}); err != nil {
		t.Fatal(err)
	}
	parts := strings.Split(text.String(), "\n"+strings.Repeat("=", 72)+"\n")[1:]
	modules, err := exec.Command("go", "list", "-deps", "-f", "{{with .Module}}{{if not .Main}}{{.Path}} {{.Version}}{{end}}{{end}}", "handrule/cmd/handrule").Output()
	if err != nil {
		t.Fatal(err)
	}
	want := map[string]bool{"a-package 1.2.3": true}
	for module := range strings.Lines(string(modules)) {
		if module = strings.TrimSpace(module); module != "" {
			want[module] = true
		}
	}
	if len(want) < 8 || len(parts) != len(want)+1 {
		t.Errorf("%d parts, want %d and Go", len(parts), len(want))
	}
	for _, part := range parts {
		name, notice, _ := strings.Cut(part, "\n")
		if !want[name] && !strings.HasPrefix(name, "The Go programming language 1.") {
			t.Errorf("%s is not linked", name)
		}
		if !strings.Contains(notice, "Copyright") || strings.Contains(notice, "\r") {
			t.Errorf("%s: %.200q", name, notice)
		}
	}
}

func TestNoticesAreFound(t *testing.T) {
	dir := folder(t, map[string]string{
		"LICENSE.txt": "one", "THIRD_PARTY_LICENSES/a/LICENSE": "two", "notice.md": "three", "used/deep/er.go": "", "used/COPYING": "four", "unused/LICENSE": "not this",
		"licenses.go": "nor this", "PATENTS": "five",
	})
	texts, err := part{name: "a", root: dir, used: []string{filepath.Join(dir, "used", "deep")}}.notices()
	if got := strings.Join(texts, " "); err != nil || got != "one five two three four" {
		t.Errorf("%q %v", got, err)
	}
	if _, err := (part{name: "a", version: "v1", root: folder(t, map[string]string{"README": ""})}).notices(); err == nil || !strings.Contains(err.Error(), "a v1 has no file with a licence") {
		t.Errorf("%v", err)
	}
}
