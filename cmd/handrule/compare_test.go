package main

import (
	"os"
	"strings"
	"testing"
)

// What is not a table of readings is refused at its place; readings that agree are a yes.
func TestCompareReadsWhatItAskedFor(t *testing.T) {
	t.Chdir(t.TempDir())
	status, asked, errs := do("compare", "--arm", "curlew", "--poses", "4")
	if status != 0 || strings.Count(asked, ",,,\n") != 4 {
		t.Fatal(status, asked, errs)
	}
	write := func(text string) {
		if err := os.WriteFile("r.csv", []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	for text, says := range map[string]string{
		asked:                "r.csv:4:",
		compareHeader + "\n": "there are 0 poses",
		"a,b\n":              "the first row must be j1_deg",
		compareHeader + "\n1,2\n1,2,3,4,5,6,7,8,x\n": "r.csv:3:17: must be a number, not \"x\"",
	} {
		write(text)
		if status, _, errs := do("compare", "--arm", "curlew", "r.csv"); status != exitBad || !strings.Contains(errs, says) {
			t.Errorf("%q: status %d, %s", text, status, errs)
		}
	}
	// Curlew's flange at the zero pose, and with J1 at ±90°, by hand from its file: X 1070 with the bare flange, Z 1330.
	write(compareHeader + "\n0,0,0,0,0,0,1070,0,1330\n90,0,0,0,0,0,0,1070,1330\n-90,0,0,0,0,0,0,-1070,1330\n")
	if status, out, errs := do("compare", "--arm", "curlew", "--tool", "none", "r.csv"); status != 0 || !strings.Contains(out, "agrees with the arm") || !strings.Contains(out, "do not show the zero of J6") {
		t.Error(status, out, errs)
	}
	if status, _, _ := do("compare", "--arm", "curlew", "--poses", "0"); status != exitBad {
		t.Error("no poses are asked for")
	}
}
