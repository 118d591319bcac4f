package main

import (
	"encoding/csv"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"handrule/scenarios/lesson"
	"handrule/scenarios/results"
)

// classFolder holds a server's key and a result file for each learner, signed with it.
func classFolder(t *testing.T, learners ...string) (key string, files []string) {
	t.Helper()
	dir := t.TempDir()
	key = filepath.Join(dir, "results.pem")
	private, err := results.OpenKey(key)
	if err != nil {
		t.Fatal(err)
	}
	off := 12.5
	for i, learner := range learners {
		text, err := results.Sign(results.Result{
			Learner: learner, Finished: time.Date(2026, 3, 2, 10, 30+i, 0, 0, time.UTC),
			Progress: lesson.Progress{Lesson: "the-right-hand", Title: `The "right" hand, again`, Arm: "wren", Seed: uint64(i), Stages: []lesson.StageProgress{
				{Task: "predict", Done: true, Tries: 2, Seconds: 90, Answers: []lesson.Given{{Answer: "x +", Error: &off, Unit: "°"}, {Answer: "y -", Good: true, Unit: "°"}}},
				{Task: "reach", Tries: 1, Seconds: 30, Jogs: 4, Contacts: 1},
			}},
		}, private)
		if err != nil {
			t.Fatal(err)
		}
		file := filepath.Join(dir, fmt.Sprintf("learner-%d.json", i+1))
		if err := os.WriteFile(file, text, 0o600); err != nil {
			t.Fatal(err)
		}
		files = append(files, file)
	}
	return key, files
}

// gradebook reads what results printed, as a gradebook does: a map from column to cell for every file.
func gradebook(t *testing.T, text string) (rows []map[string]string) {
	t.Helper()
	cells, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, line := range cells[1:] {
		row := map[string]string{}
		for i, cell := range line {
			row[cells[0][i]] = cell
		}
		rows = append(rows, row)
	}
	return rows
}

func TestAClassIsTabulated(t *testing.T) {
	key, files := classFolder(t, "Ada", "Bob, the younger", "=1+2")
	status, out, errs := do(append([]string{"results", "--key", key}, files...)...)
	if status != 0 || errs != "" {
		t.Fatalf("status %d, %s", status, errs)
	}
	rows := gradebook(t, out)
	if len(rows) != 3 {
		t.Fatalf("%d rows", len(rows))
	}
	for i, learner := range []string{"Ada", "Bob, the younger", "'=1+2"} {
		for column, want := range map[string]string{
			"file": filepath.Base(files[i]), "verified": "yes", "learner": learner, "lesson": `The "right" hand, again`,
			"tasks": "2", "done": "1", "tries": "3", "minutes": "2.0", "jogs": "4", "contacts": "1", "answers": "2", "right": "1",
			"first_try": "0", "mean_error": "12.50", "error_unit": "°",
		} {
			if rows[i][column] != want {
				t.Errorf("%s: %s is %q, want %q", learner, column, rows[i][column], want)
			}
		}
	}
}

// An edited file is named, its numbers are not in the table, the others are, and the answer is no.
func TestAnEditedFileIsNamed(t *testing.T) {
	key, files := classFolder(t, "Ada", "Bob", "Eve")
	text, err := os.ReadFile(files[1])
	if err != nil {
		t.Fatal(err)
	}
	edited := strings.Replace(string(text), `"contacts": 1`, `"contacts": 0`, 1)
	if edited == string(text) {
		t.Fatal("nothing was edited")
	}
	if err := os.WriteFile(files[1], []byte(edited), 0o600); err != nil {
		t.Fatal(err)
	}
	status, out, errs := do(append([]string{"results", "--key", key}, files...)...)
	if status != exitNo || !strings.Contains(errs, files[1]+": ") || !strings.Contains(errs, "was edited") || strings.Contains(errs, files[0]) {
		t.Errorf("status %d, %s", status, errs)
	}
	rows := gradebook(t, out)
	if len(rows) != 3 || rows[0]["verified"] != "yes" || rows[2]["contacts"] != "1" ||
		!strings.HasPrefix(rows[1]["verified"], "no: ") || rows[1]["file"] != "learner-2.json" || rows[1]["learner"]+rows[1]["contacts"] != "" {
		t.Errorf("%v", rows)
	}
	// So is one that another server signed, and a file that is none.
	other, _ := classFolder(t, "Ada")
	if status, _, errs := do("results", "--key", other, files[0]); status != exitNo || !strings.Contains(errs, "another server") {
		t.Errorf("status %d, %s", status, errs)
	}
	if status, out, errs := do("results", "--key", key, "results_test.go", files[0]); status != exitNo || !strings.Contains(errs, "results_test.go: is not a result file") || len(gradebook(t, out)) != 2 {
		t.Errorf("status %d, %s", status, errs)
	}
}

func TestResultsNeedAKey(t *testing.T) {
	t.Setenv("XDG_CONFIG_HOME", t.TempDir())
	key, files := classFolder(t, "Ada")
	for _, args := range [][]string{{"results", files[0]}, {"results", "--key", files[0], files[0]}, {"results", "--key", key}} {
		if status, out, errs := do(args...); status != exitBad || out != "" || errs == "" {
			t.Errorf("%v: status %d, %s", args, status, errs)
		}
	}
}
