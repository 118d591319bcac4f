package scenarios

import (
	"embed"
	"fmt"
	"path/filepath"
	"slices"
	"strings"
)

//go:embed arms/*.yaml cells/*.yaml lessons/*.yaml
var shippedFiles embed.FS

// loadShipped reads the embedded files of these names, which are right because the tests have read them.
func loadShipped[T any](folder string, names []string, read func(file string, text []byte) (T, error)) []T {
	all := make([]T, len(names))
	for i, name := range names {
		file := folder + "/" + name + ".yaml"
		text, err := shippedFiles.ReadFile(file)
		if err != nil {
			panic(err)
		}
		if all[i], err = read(file, text); err != nil {
			panic(err)
		}
	}
	return all
}

// open returns the shipped arm or cell, what, of that name, or reads the file at that path.
func open[T any](what, ref string, names []string, shipped func() []T, read func(file string, text []byte) (T, error)) (none T, err error) {
	if i := slices.Index(names, ref); i >= 0 {
		return shipped()[i], nil
	}
	if isName(ref) {
		return none, fmt.Errorf("no %s %s ships with handrule; %s, or the path of the file of one", what, quoted(ref), unknownWord(ref, names))
	}
	text, err := readFile(ref)
	if err != nil {
		return none, err
	}
	return read(ref, text)
}

// isName tells a bare name, such as wren, from a path.
func isName(ref string) bool { return !strings.ContainsAny(ref, `./\`) }

// fileID is a file's name without its directory and ending.
func fileID(file string) string {
	base := filepath.Base(file)
	return strings.TrimSuffix(base, filepath.Ext(base))
}
