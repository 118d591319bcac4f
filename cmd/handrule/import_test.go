package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// An arm goes out and comes back; no file that is there is written over; without -o only the arm file is on standard output.
func TestImportAndExport(t *testing.T) {
	t.Chdir(t.TempDir())
	if status, out, errs := do("export", "plover", "-o", "plover.urdf"); status != 0 || out != "" {
		t.Fatal(status, out, errs)
	}
	if status, out, errs := do("import", "plover.urdf", "-o", "mine.yaml"); status != 0 || !strings.Contains(out, "J5: joint") || !strings.HasSuffix(out, "handrule check mine.yaml\n") {
		t.Fatal(status, out, errs)
	}
	if status, out, errs := do("check", "mine.yaml"); status != 0 || !strings.Contains(out, `mine.yaml: ok, arm "Plover"`) {
		t.Error(status, out, errs)
	}
	before, _ := os.ReadFile("mine.yaml")
	if status, _, errs := do("import", "plover.urdf", "-o", "mine.yaml"); status != exitBad || !strings.Contains(errs, "mine.yaml is there already and stays as it is") {
		t.Error(status, errs)
	}
	if status, _, errs := do("import", "plover.urdf", "-o", filepath.Join("none", "mine.yaml")); status != exitBad || !strings.Contains(errs, "cannot be written") {
		t.Error(status, errs)
	}
	status, out, errs := do("import", "plover.urdf")
	if after, _ := os.ReadFile("mine.yaml"); status != 0 || out != string(before) || string(after) != string(before) || !strings.Contains(errs, "J5: joint") {
		t.Errorf("%d\n%s\n%s", status, out, errs)
	}
	if status, _, errs := do("import", "mine.yaml"); status != exitBad || !strings.Contains(errs, "mine.yaml:") {
		t.Error(status, errs)
	}
	if status, _, errs := do("import", "none.urdf"); status != exitBad || !strings.Contains(errs, "there is no such file") {
		t.Error(status, errs)
	}
}

// A table needs its convention said; the error tells what the two are.
func TestImportOfATable(t *testing.T) {
	t.Chdir(t.TempDir())
	table := "a_mm,alpha_deg,d_mm,theta_deg\n50,-90,330,0\n410,0,0,-90\n35,-90,0,0\n0,90,385,0\n0,-90,0,0\n0,0,90,0\n"
	if err := os.WriteFile("arm.csv", []byte(table), 0o600); err != nil {
		t.Fatal(err)
	}
	if status, _, errs := do("import", "--dh", "arm.csv"); status != exitBad || !strings.Contains(errs, "--convention modified  from frame to frame: turn by alpha about X") {
		t.Error(status, errs)
	}
	if status, out, errs := do("import", "--dh", "--convention", "classic", "arm.csv", "-o", "arm.yaml"); status != 0 || !strings.Contains(out, "read as modified, not classic, the same table would put the flange at") {
		t.Error(status, out, errs)
	}
	if status, out, errs := do("check", "arm.yaml"); status != 0 || !strings.Contains(out, "spherical wrist") {
		t.Error(status, out, errs)
	}
	for _, wrong := range [][]string{{"import", "--convention", "classic", "arm.csv"}, {"import", "--dh", "--convention", "classic", "--tip", "x", "arm.csv"}, {"import", "arm.csv"}} {
		if status, _, errs := do(wrong...); status != exitBad || errs == "" {
			t.Error(wrong, status, errs)
		}
	}
}
