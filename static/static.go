// Package static is what is served as it is: style sheet, icons, and the page's bundle once it is built.
package static

import (
	"embed"
	"io/fs"
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

// Alone returns the bench for a page of its own, WebAssembly packed as its ending says (".br", ".gz"). A binary built without it
// has none.
func Alone(ending string) ([]byte, error) { return Files.ReadFile("alone/bench.wasm" + ending) }
