package main

import "testing"

// A new link is made where there is none yet as well as in the place of another, and is the one that counts from then on.
func TestANewLink(t *testing.T) {
	t.Setenv("XDG_CONFIG_HOME", t.TempDir())
	t.Setenv("HOME", t.TempDir())
	seen := map[string]bool{}
	for range 2 {
		made, err := instructorLink(true)
		if err != nil {
			t.Fatal(err)
		}
		if kept, err := instructorLink(false); err != nil || kept != made || seen[kept] {
			t.Errorf("%q was made, and %q is kept, %v", made, kept, err)
		}
		seen[made] = true
	}
}
