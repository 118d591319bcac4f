package main

import (
	"os"
	"testing"
)

func TestPageTypesMatchTheWire(t *testing.T) {
	for _, made := range []struct {
		file, generate string
		write          func() ([]byte, error)
	}{
		{"web/src/wire.ts", "./server/bench", TypeScript},
		{"web/src/class/wire.ts", "./server/class", ClassTypeScript},
	} {
		committed, err := os.ReadFile("../../../" + made.file)
		if err != nil {
			t.Fatal(err)
		}
		text, err := made.write()
		if err != nil {
			t.Fatal(err)
		}
		if string(committed) != string(text) {
			t.Errorf("%s differs from the wire; run go generate %s and commit the result", made.file, made.generate)
		}
	}
}
