//go:build !js || !wasm

package main

import (
	"fmt"
	"os"
)

func main() {
	fmt.Fprintln(os.Stderr, "handrule-import runs in a page, compiled to WebAssembly (make alone); on the command line it is `handrule import`")
	os.Exit(2)
}
