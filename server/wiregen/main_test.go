package main

import (
	"os"
	"testing"
)

func TestPageTypesMatchTheWire(t *testing.T) {
	committed, err := os.ReadFile("../../web/src/wire.ts")
	if err != nil {
		t.Fatal(err)
	}
	if string(committed) != string(TypeScript()) {
		t.Error("web/src/wire.ts differs from server/wire.go; run go generate ./server and commit the result")
	}
}
