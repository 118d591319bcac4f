package main

import (
	"strings"
	"testing"

	"handrule/static"
)

// A binary with the page prints the notices of what is linked and bundled; one without says how to make one.
func TestNoticesArePrinted(t *testing.T) {
	status, out, errs := do("notices")
	if !static.Bundled() {
		if status != exitBad || out != "" || !strings.Contains(errs, "make build") {
			t.Errorf("status %d: %q %q", status, out, errs)
		}
		return
	}
	for _, part := range []string{"The Go programming language 1.", "github.com/go-chi/chi/v5 v5.", "gonum.org/v1/gonum v", "three 0.", "uplot 1."} {
		if status != 0 || !strings.Contains(out, "\n"+part) {
			t.Errorf("status %d: nothing of %s", status, part)
		}
	}
}
