package main

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

var rewriteSlips = flag.Bool("rewrite-slips", false, "write testdata/slips.txt anew")

// What is said of every kind of mistake on the command line: what was wrong, and what would be right. Each is bad input.
// `go test ./cmd/handrule -run Slips -rewrite-slips` writes the file anew.
func TestSlipsOfTheCommandLine(t *testing.T) {
	const file = "testdata/slips.txt"
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	path, err := filepath.Abs(file)
	if err != nil {
		t.Fatal(err)
	}
	home := t.TempDir() // where a server's key is kept
	t.Setenv("HOME", home)
	t.Setenv("XDG_CONFIG_HOME", home)
	t.Chdir(t.TempDir())
	var anew strings.Builder
	for _, slip := range strings.Split(string(text), "\n\n") {
		command, _, _ := strings.Cut(slip, "\n")
		args := strings.Fields(strings.TrimPrefix(command, "$ handrule"))
		status, _, errs := do(args...)
		now := fmt.Sprintf("%s\n%s", command, strings.TrimRight(errs, "\n"))
		if anew.Len() > 0 {
			anew.WriteString("\n\n")
		}
		anew.WriteString(now)
		if status != exitBad {
			t.Errorf("%s: status %d", command, status)
		}
		if slip = strings.TrimRight(slip, "\n"); now != slip && !*rewriteSlips {
			t.Errorf("said is\n%s\nand not\n%s", now, slip)
		}
	}
	if *rewriteSlips {
		os.WriteFile(path, []byte(anew.String()+"\n"), 0o644)
	}
}
