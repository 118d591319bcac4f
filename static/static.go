// Package static is what is served as it is: style sheet, icons, and the page's bundle once it is built.
package static

import (
	"embed"
	"encoding/json"
	"io/fs"
	"sync"
)

// Files holds this folder. dist/page.js is there only in a binary built after the bundle.
//
//go:embed *
var Files embed.FS

// Notices are those that the parts of others in this binary ask for. A binary built without the page has none.
func Notices() ([]byte, error) { return Files.ReadFile(NoticesFile) }

// NoticesFile is where they are in Files.
const NoticesFile = "dist/notices.txt"

// Bundled reports whether the page's bundle is in this binary.
func Bundled() bool {
	_, err := fs.Stat(Files, "dist/page.js")
	return err == nil
}

// Said returns the keys of the texts that the bundle's scripts say. A binary built without it has no scripts.
var Said = sync.OnceValue(func() []string {
	var keys []string
	if text, err := Files.ReadFile("dist/said.json"); err == nil {
		if err := json.Unmarshal(text, &keys); err != nil {
			panic("dist/said.json: " + err.Error()) // which the build of the bundle wrote
		}
	}
	return keys
})

// The programs that pages run themselves, in WebAssembly: the bench of a page of its own, and what reads URDF files on every page.
const (
	BenchProgram  = "bench.wasm"
	ImportProgram = "import.wasm"
)

// Alone returns a program that pages run, packed as the file's ending says (".br", ".gz"). A binary built without it has none.
func Alone(file string) ([]byte, error) { return Files.ReadFile(AloneFolder + file) }

// AloneFolder is where they are in Files.
const AloneFolder = "alone/"
