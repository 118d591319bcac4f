package main

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"errors"
	"handrule/scenarios"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

func do(args ...string) (status int, out, errs string) {
	var stdout, stderr bytes.Buffer
	status = run(args, &stdout, &stderr)
	return status, stdout.String(), stderr.String()
}

func TestPoseAndReachAgree(t *testing.T) {
	status, out, errs := do("pose", "--arm", "wren", "--joints", "-10,20,-30,40,50,-60", "--json")
	if status != 0 {
		t.Fatal(errs)
	}
	var pose struct {
		TCP struct {
			Position []float64   `json:"position_mm"`
			Rotation [][]float64 `json:"rotation"`
			Wxyz     []float64   `json:"quaternion_wxyz"`
			Angles   []float64   `json:"fixed_xyz_deg"`
		} `json:"tcp"`
		Jacobian    [][]float64    `json:"jacobian"`
		Singularity map[string]any `json:"singularity"`
	}
	if err := json.Unmarshal([]byte(out), &pose); err != nil {
		t.Fatal(err)
	}
	if len(pose.Jacobian) != 6 || len(pose.TCP.Wxyz) != 4 || len(pose.TCP.Rotation) != 3 || pose.Singularity["condition"] == nil {
		t.Fatalf("fields are missing in\n%s", out)
	}
	list := func(xs []float64) string {
		text, _ := json.Marshal(xs)
		return strings.Trim(string(text), "[]")
	}
	status, out, errs = do("reach", "--arm", "wren", "--position", list(pose.TCP.Position), "--rotation", list(pose.TCP.Angles), "--json")
	if status != 0 {
		t.Fatal(errs)
	}
	var reach struct {
		Solutions []struct {
			Joints [6]float64 `json:"joints_deg"`
		} `json:"solutions"`
		Solver string `json:"solver"`
	}
	if err := json.Unmarshal([]byte(out), &reach); err != nil {
		t.Fatal(err)
	}
	want := [6]float64{-10, 20, -30, 40, 50, -60}
	found := false
	for _, s := range reach.Solutions {
		off := 0.0
		for i := range want {
			off = max(off, want[i]-s.Joints[i], s.Joints[i]-want[i])
		}
		found = found || off < 1e-6
	}
	if !found || reach.Solver == "" {
		t.Errorf("the joints asked from are not among\n%s", out)
	}
}

func TestOutOfReachIsANo(t *testing.T) {
	status, out, _ := do("reach", "--arm", "wren", "--position", "5000,0,0", "--rotation", "0,0,0", "--json")
	if status != exitNo || !strings.Contains(out, `"solutions": []`) {
		t.Errorf("status %d:\n%s", status, out)
	}
}

func jogFile(t *testing.T, text string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "jogs")
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

func TestTraceTellsEveryTickAndTheStop(t *testing.T) {
	args := []string{"trace", "--arm", "wren", "--start", "0,0,0,0,0,0", jogFile(t, "joint J5 +90\nbase y +100\nbase x +900\n")}
	status, out, errs := do(args...)
	if status != exitNo || !strings.Contains(errs, "out of reach") {
		t.Errorf("status %d, %s", status, errs)
	}
	rows, err := csv.NewReader(strings.NewReader(out)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if strings.Join(rows[0], ",") != "t_s,j1_deg,j2_deg,j3_deg,j4_deg,j5_deg,j6_deg,x_mm,y_mm,z_mm,about_x_deg,about_y_deg,about_z_deg,event" {
		t.Errorf("columns %v", rows[0])
	}
	if last := rows[len(rows)-1][13]; !strings.HasPrefix(last, "out of reach: ") {
		t.Errorf("ends with %q", last)
	}
	if _, again, _ := do(args...); again != out {
		t.Error("the same jogs gave another trace")
	}
}

func TestBadInputIsRefused(t *testing.T) {
	for _, args := range [][]string{
		{"pose", "--arm", "wren", "--joints", "1,2,3"},
		{"pose", "--arm", "wren", "--joints", "1,2,3,4,5,NaN"},
		{"pose", "--arm", "heron", "--joints", "0,0,0,0,0,0"},
		{"pose", "--arm", "wren", "--tool", "hammer", "--joints", "0,0,0,0,0,0"},
		{"trace", "--arm", "wren", "--start", "0,200,0,0,0,0", jogFile(t, "base x +1")},
		{"trace", "--arm", "wren", "--start", "0,0,0,0,0,0", jogFile(t, "bsae x +1")},
		{"check", jogFile(t, "not: an arm")},
		{"check", t.TempDir()},
		{"dance"},
		{},
	} {
		if status, _, errs := do(args...); status != exitBad || errs == "" {
			t.Errorf("%v: status %d, %q", args, status, errs)
		}
	}
}

// full takes nothing, like a disk without room.
type full struct{}

func (full) Write([]byte) (int, error) { return 0, errors.New("no space left") }

func TestOutputThatIsLostIsNoSuccess(t *testing.T) {
	for _, args := range [][]string{
		{"pose", "--arm", "wren", "--joints", "0,0,0,0,0,0"},
		{"pose", "--arm", "wren", "--joints", "0,0,0,0,0,0", "--json"},
		{"trace", "--arm", "wren", "--start", "0,0,0,0,0,0", jogFile(t, "joint J5 +90")},
	} {
		var stderr bytes.Buffer
		if status := run(args, full{}, &stderr); status != exitBad || !strings.Contains(stderr.String(), "not complete: no space left") {
			t.Errorf("%v: status %d, %q", args, status, stderr.String())
		}
	}
}

func TestShippedFilesAreRight(t *testing.T) {
	arms, _ := filepath.Glob("../../scenarios/arms/*.yaml")
	lessons, _ := filepath.Glob("../../scenarios/lessons/*.yaml")
	if len(arms) != 6 || len(lessons) == 0 {
		t.Fatalf("found %v and %v", arms, lessons)
	}
	cells, _ := filepath.Glob("../../scenarios/cells/*.yaml")
	files := slices.Concat(arms, cells, lessons)
	status, out, errs := do(append([]string{"check"}, files...)...)
	if status != 0 || strings.Count(out, ": ok") != len(files) || !strings.Contains(out, "at the zero pose, Wren with tool pen: clear") {
		t.Errorf("status %d\n%s%s", status, out, errs)
	}
}

// An arm that is checked together with a cell is stood in it.
func TestCheckStandsTheGivenArmInTheCell(t *testing.T) {
	text, err := os.ReadFile("../../scenarios/arms/wren.yaml")
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	arm, cell := filepath.Join(dir, "heron.yaml"), filepath.Join(dir, "yard.yaml")
	os.WriteFile(arm, bytes.Replace(text, []byte("name: Wren"), []byte("name: Heron"), 1), 0o644)
	os.WriteFile(cell, []byte("name: Yard\nthings: []\ntools: [{name: pen, tcp_mm: [0, 0, 9]}]\n"), 0o644)
	status, out, errs := do("check", cell, arm)
	if status != 0 || !strings.Contains(out, "Heron with tool brush: clear") || !strings.Contains(out, "the cell's tool pen takes the place of the one that Heron has") {
		t.Errorf("status %d\n%s%s", status, out, errs)
	}
}

// A rehearsal in a cell: its tools, its frames, the set distance, and the contact that it would have come to.
func TestTraceInACell(t *testing.T) {
	file := filepath.Join(t.TempDir(), "jogs")
	write := func(text string) {
		if err := os.WriteFile(file, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	args := []string{"trace", "--arm", "wren", "--cell", "glazing-bench", "--start", "0,0,0,0,90,0", file}
	write("set-distance 5\nworld z +20\nmount-tool brush\nset-distance 0\ntask tile about-z +5\nbase x +3 y -4\n")
	if status, out, errs := do(args...); status != 0 || strings.Count(out, ",done\n") != 3 {
		t.Errorf("status %d: %s", status, errs)
	}
	write("world z -450\n")
	if status, out, errs := do(args...); status != 1 || !strings.Contains(out, "contact: ") || !strings.Contains(errs, "touches") || !strings.Contains(errs, "would have been a crash") {
		t.Errorf("status %d: %s", status, errs)
	}
	write("world z -450 until-stopped\nworld z + let-go 0.5\n")
	if status, out, errs := do(args...); status != 0 || !strings.Contains(out, "contact: ") || !strings.HasSuffix(out, ",released\n") {
		t.Errorf("status %d: %s", status, errs)
	}
	write("world z -1 until-stopped\n")
	if status, _, errs := do(args...); status != 1 || !strings.Contains(errs, "jogs:1:1: nothing stopped the arm") {
		t.Errorf("status %d: %s", status, errs)
	}
	write("set-distance 20\nworld z -400\n")
	if status, _, errs := do(args...); status != 1 || !strings.Contains(errs, "the set distance is 20 mm") {
		t.Errorf("status %d: %s", status, errs)
	}
	write("task moon x +1\n")
	if status, _, errs := do(args...); status != 2 || !strings.Contains(errs, "there is no task frame \"moon\"") {
		t.Errorf("status %d: %s", status, errs)
	}
	write("mount-tool hammer\nbase x +1\n")
	if status, _, errs := do(args...); status != 2 || !strings.Contains(errs, "hammer") {
		t.Errorf("status %d: %s", status, errs)
	}
}

// Neither a file's name nor what is told of it turns the direction of writing or speaks to the terminal.
func TestNamesAreShownAsTheyAre(t *testing.T) {
	dir := t.TempDir()
	odd := filepath.Join(dir, "a\u202elmay.\x1b[31m.yaml")
	if err := os.WriteFile(odd, []byte("name: \"\u202ex\"\nbad: \x1b[0m\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	good := filepath.Join(dir, "b\u2066.yaml")
	if err := os.WriteFile(good, []byte("name: Yard\nthings: []\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	status, out, errs := do("check", odd, good)
	if status != exitBad || strings.ContainsAny(out+errs, "\u202e\u2066\x1b") || !strings.Contains(errs, `a\u202elmay.\u001b[31m.yaml:2:6: `) || !strings.Contains(out, `b\u2066.yaml: ok`) {
		t.Errorf("status %d: %q %q", status, out, errs)
	}
	own, err := scenarios.ReadFolder(dir)
	if err != nil || len(own.Cells) != 0 || len(own.Broken) != 2 || strings.ContainsAny(own.Broken[0].ID+own.Broken[0].Problems.Error(), "\u202e\x1b") || !strings.Contains(own.Broken[1].Problems.Error(), "cannot be seen") {
		t.Errorf("%+v %v", own, err)
	}
}

// What a thing in the cell is called is no formula in the trace, also where cells are parted at semicolons.
func TestTheTraceIsNoSpreadsheetProgram(t *testing.T) {
	cell := filepath.Join(t.TempDir(), "yard.yaml")
	if err := os.WriteFile(cell, []byte("name: Yard\nthings: [{name: 'ball;=1+2', at_mm: [320, 0, 340], radius_mm: 20}]\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	_, out, _ := do("trace", "--arm", "wren", "--cell", cell, "--start", "0,0,0,0,90,0", jogFile(t, "base z -100\n"))
	if !strings.Contains(out, "contact: ") || !strings.Contains(out, "ball;'=1+2") || strings.Contains(out, ";=") {
		t.Errorf("%.2000s", out[max(0, len(out)-2000):])
	}
}
