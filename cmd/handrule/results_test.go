package main

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"handrule/scenarios/lesson"
	"handrule/scenarios/results"
	"handrule/server/single"
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

// A folder stands for the results in it, where no shell names them one by one.
func TestAFolderOfResults(t *testing.T) {
	key, named := classFolder(t, "Ada", "Bob")
	status, out, errs := do("results", "--key", key, filepath.Dir(named[0])) // The key is there too.
	if rows := gradebook(t, out); status != 0 || errs != "" || len(rows) != 2 || rows[0]["learner"]+rows[1]["learner"] != "AdaBob" {
		t.Errorf("status %d, %s%v", status, errs, rows)
	}
	if status, out, errs := do("results", "--key", key, t.TempDir()); status != exitBad || out != "" || !strings.Contains(errs, "no file in this folder ends with .json") {
		t.Errorf("status %d, %s%s", status, errs, out)
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
	if status, _, errs := do("results", "--key", other, files[0]); status != exitNo || !strings.Contains(errs, "which is not among those given") {
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
	// Where no server was ever started, it is told what makes a key.
	for _, args := range [][]string{{"results", files[0]}, {"key"}, {"sheet", "assessment"}} {
		if _, _, errs := do(args...); !strings.Contains(errs, "results.pem: there is no such file; handrule serve makes one there at its first start") {
			t.Errorf("%v: %s", args, errs)
		}
	}
}

// A mistyped path of a key makes neither a folder nor a key.
func TestAMistypedKeyMakesNothing(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "kyes", "lab.pem")
	status, _, errs := do("serve", "--listen", "127.0.0.1:0", "--key", path)
	if status != exitBad || !strings.Contains(errs, "there is no such file") || !strings.Contains(errs, "--new-key makes one there") {
		t.Errorf("status %d, %s", status, errs)
	}
	for _, args := range [][]string{{"key", "--key", path}, {"sheet", "--key", path, "assessment"}, {"results", "--key", path, "a.json"}} {
		if status, out, errs := do(args...); status != exitBad || out != "" || !strings.Contains(errs, path+": there is no such file") {
			t.Errorf("%v: status %d, %s", args, status, errs)
		}
	}
	if entries, err := os.ReadDir(dir); err != nil || len(entries) > 0 {
		t.Errorf("%v %v", entries, err)
	}
}

// Results of several servers are verified with their keys, or with a folder of them; a public half is enough.
func TestSeveralKeys(t *testing.T) {
	one, first := classFolder(t, "Ada")
	two, second := classFolder(t, "Bob")
	files := append(first, second...)
	folder := t.TempDir()
	for i, key := range []string{one, two} {
		status, out, errs := do("key", "--key", key)
		if status != 0 || !strings.Contains(out, "PUBLIC KEY") || strings.Contains(out, "PRIVATE") || !strings.Contains(errs, "signs none") {
			t.Fatalf("status %d, %s%s", status, errs, out)
		}
		if err := os.WriteFile(filepath.Join(folder, fmt.Sprint(i, ".pem")), []byte(out), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	for _, keys := range [][]string{{"--key", one, "--key", two}, {"--key", folder}} {
		status, out, errs := do(append(append([]string{"results"}, keys...), files...)...)
		if rows := gradebook(t, out); status != 0 || errs != "" || len(rows) != 2 || rows[0]["verified"]+rows[1]["verified"] != "yesyes" {
			t.Errorf("%v: status %d, %s%v", keys, status, errs, rows)
		}
	}
	// Whose key is not among those given is told as that, and not as a forgery.
	status, out, errs := do("results", "--key", one, second[0])
	if rows := gradebook(t, out); status == 0 || !strings.HasPrefix(rows[0]["verified"], "no: it was signed with the key ") || !strings.HasSuffix(rows[0]["verified"], ", which is not among those given") || !strings.Contains(errs, "which is not among those given") {
		t.Errorf("status %d, %s%v", status, errs, rows)
	}
	// With one of the keys only, the other server's result can be taken as practice.
	status, out, _ = do(append([]string{"results", "--practice", "--key", one, second[0]}, first...)...)
	if rows := gradebook(t, out); status != 0 || rows[0]["learner"] != "Ada" || rows[1]["learner"] != "Bob" || rows[1]["verified"] != "practice" {
		t.Errorf("status %d, %v", status, rows)
	}
	if status, _, errs := do("results", "--key", t.TempDir(), files[0]); status != exitBad || !strings.Contains(errs, "no file in this folder ends with .pem") {
		t.Errorf("status %d, %s", status, errs)
	}
}

// The same file handed in twice is told, and counts once.
func TestTheSameResultTwice(t *testing.T) {
	key, files := classFolder(t, "Ada")
	text, err := os.ReadFile(files[0])
	if err != nil {
		t.Fatal(err)
	}
	again := filepath.Join(t.TempDir(), "again.json")
	if err := os.WriteFile(again, text, 0o600); err != nil {
		t.Fatal(err)
	}
	status, out, errs := do("results", "--key", key, "--bom", files[0], again)
	if status != 0 || errs != "again.json: the same result as learner-1.json\n" || !strings.HasPrefix(out, "\ufefffile,") || len(gradebook(t, out)) != 1 {
		t.Errorf("status %d, %q %q", status, errs, out)
	}
}

func TestACodeForMoreTimeIsPrinted(t *testing.T) {
	key, _ := classFolder(t)
	lesson := filepath.Join(t.TempDir(), "quick.yaml")
	if err := os.WriteFile(lesson, []byte("title: Q\narm: wren\nassessment: {minutes_allowed: 5}\nstages: [{text: a}]\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	private, err := results.OpenKey(key)
	if err != nil {
		t.Fatal(err)
	}
	status, out, errs := do("extra-time", "--key", key, "--for", "Ada L.", "--minutes", "5", lesson)
	if minutes, who, err := results.ReadExtraTime("quick", out, private); status != 0 || err != nil || minutes != 5 || who != "adal" {
		t.Errorf("status %d, %s%s %v", status, errs, out, err)
	}
	for _, test := range []struct {
		says string
		args []string
	}{
		{"has no limit of time", []string{"--for", "Ada", "--minutes", "5", "the-right-hand"}}, {"1 to 600 minutes more", []string{"--for", "Ada", "--minutes", "0", lesson}},
		{"in letters or digits", []string{"--for", "-", "--minutes", "5", lesson}},
	} {
		if status, out, errs := do(append([]string{"extra-time", "--key", key}, test.args...)...); status != exitBad || out != "" || !strings.Contains(errs, test.says) {
			t.Errorf("%v: status %d, %s", test.args, status, errs)
		}
	}
}

// What a page without a server saves counts for nothing, and is tabulated apart on demand.
func TestUnsignedPracticeIsApart(t *testing.T) {
	dir := t.TempDir()
	key := filepath.Join(dir, "key.pem")
	text, err := single.Vault().Sign(lesson.Outcome{
		Learner: "Ada", Finished: time.Date(2026, 1, 1, 12, 0, 0, 0, time.UTC), Vouched: true, Assessment: true,
		Progress: lesson.Progress{Lesson: "assessment", Title: "Assessment", Stages: []lesson.StageProgress{{Title: "A joint", Task: "reach", Done: true, Tries: 1, Points: 2, Earned: 2}}},
	})
	if err != nil {
		t.Fatal(err)
	}
	home := filepath.Join(dir, "home.json")
	os.WriteFile(home, text, 0o600)
	if _, err := results.OpenKey(key); err != nil {
		t.Fatal(err)
	}
	status, out, errs := do("results", "--key", key, home)
	if status != exitNo || !strings.Contains(errs, "home.json: nobody signed it") || strings.Contains(out, "Ada") {
		t.Errorf("status %d, %s\n%s", status, errs, out)
	}
	status, out, errs = do("results", "--key", key, "--practice", home)
	if status != 0 || !strings.Contains(out, "home.json,practice,Ada,") || !strings.Contains(out, ",2,2,") {
		t.Errorf("status %d, %s\n%s", status, errs, out)
	}
	os.WriteFile(home, bytes.Replace(text, []byte(`"learner"`), []byte(`"lerner"`), 1), 0o600)
	if status, _, errs := do("results", "--key", key, "--practice", home); status != exitNo || !strings.Contains(errs, "is not a result file: unknown field") {
		t.Errorf("status %d, %s", status, errs)
	}
}
