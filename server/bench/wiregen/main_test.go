package main

import (
	"os"
	"testing"
)

func TestPageTypesMatchTheWire(t *testing.T) {
	committed, err := os.ReadFile("../../../web/src/wire.ts")
	if err != nil {
		t.Fatal(err)
	}
	made, err := TypeScript()
	if err != nil {
		t.Fatal(err)
	}
	if string(committed) != string(made) {
		t.Error("web/src/wire.ts differs from the wire; run go generate ./server/bench and commit the result")
	}
}
