package results

import (
	"encoding/csv"
	"fmt"
	"strings"
	"testing"
	"time"

	"handrule/scenarios/lesson"
)

// tabulated are the rows of a table, each as a map from column to cell.
func tabulated(t *testing.T, as Table, rows ...Row) (all []map[string]string) {
	t.Helper()
	var out strings.Builder
	if as.Zone == nil {
		as.Zone = time.UTC
	}
	if err := as.Write(&out, rows); err != nil {
		t.Fatal(err)
	}
	cells, err := csv.NewReader(strings.NewReader(out.String())).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, line := range cells[1:] {
		row := map[string]string{}
		for i, cell := range line {
			row[cells[0][i]] = cell
		}
		all = append(all, row)
	}
	return all
}

// graded is a result of an assessment with these points earned of two tasks, the second of which comes in shapes.
func graded(learner, number string, seed uint64, minute int, first, second float64) Result {
	return Result{
		Learner: learner, Number: number, Finished: time.Date(2026, 3, 2, 10, minute, 0, 0, time.UTC), Key: "k", Assessment: true, TriesVouched: true,
		Progress: lesson.Progress{Lesson: "a", Title: "A lesson", Seed: seed, Stages: []lesson.StageProgress{
			{ID: "text-1", Title: "Read this"},
			{ID: "reach-1", Title: "A place", Task: "reach", Done: first > 0, Tries: 1, Points: 2, Earned: first},
			{ID: fmt.Sprint("predict-", seed), Title: "Which way?", ShapeOf: "which-way", Task: "predict", Done: second > 0, Tries: 2, Points: 1, Earned: second},
		}},
	}
}

// A row without counts of an ordinary lesson, by hand: two of three tasks are done, which is a point each.
func TestARowOfPractice(t *testing.T) {
	row := tabulated(t, Table{Take: TakeBest, Zone: time.FixedZone("", 5400)}, Row{File: "a.json", Result: sample()})[0]
	for column, want := range map[string]string{
		"file": "a.json", "verified": "yes", "learner": "Ada", "number": "", "lesson": "A lesson", "finished": "2026-03-02 12:00 +01:30", "score": "2", "points": "3",
		"files": "1", "note": "", "tries_vouched": "no", "seed": "7", "tasks": "3", "done": "2", "given_up": "1", "tries": "4", "minutes": "2.0", "jogs": "5", "contacts": "1",
		"hints": "1", "first_try": "1", "answers": "1", "right": "1", "mean_error": "12.50", "error_unit": "°", "stage 1": "1", "stage 2": "1", "stage 3": "0",
	} {
		if row[column] != want {
			t.Errorf("%s is %q, want %q", column, row[column], want)
		}
	}
}

// The best, the last or every result of a learner is taken; a number counts for more than how a name was typed.
func TestARowForEveryLearner(t *testing.T) {
	rows := []Row{
		{File: "1.json", Result: graded("Ada", "7", 1, 1, 2, 0)},
		{File: "2.json", Result: graded("ada l.", "7", 2, 2, 2, 1)},
		{File: "3.json", Result: graded("Ada", "7", 3, 3, 0, 0.5)},
		{File: "4.json", Result: graded("Bob", "", 4, 1, 0, 0)},
		{File: "5.json", Err: ErrEdited},
	}
	for _, test := range []struct {
		take  Take
		files string
		score string
	}{
		{TakeBest, "2.json 4.json 5.json", "3 0 "}, {TakeLast, "3.json 4.json 5.json", "0.5 0 "}, {TakeEvery, "1.json 2.json 3.json 4.json 5.json", "2 3 0.5 0 "},
	} {
		var files, scores []string
		all := tabulated(t, Table{Take: test.take}, rows...)
		for _, row := range all {
			files, scores = append(files, row["file"]), append(scores, row["score"])
		}
		if strings.Join(files, " ") != test.files || strings.Join(scores, " ") != test.score {
			t.Errorf("%s: %v %v", test.take, files, scores)
		}
		if first := all[0]; test.take == TakeBest && (first["files"] != "3" || first["A place"] != "2" || first["which-way"] != "1" || first["points"] != "3") {
			t.Errorf("%v", first)
		}
	}
}

// How often an assessment was begun is told in every row as the latest of the learner's results tells it, and where none does, it is not known.
func TestHowOftenItWasBegunIsTold(t *testing.T) {
	times := func(r Result, n int) Result { r.Progress.Times = n; return r }
	rows := []Row{
		{File: "1.json", Result: times(graded("Ada", "7", 1, 1, 2, 1), 1)},
		{File: "2.json", Result: times(graded("Ada", "7", 2, 2, 0, 1), 4)},
		{File: "3.json", Result: graded("Bob", "", 4, 1, 0, 0)},
	}
	for take, want := range map[Take]string{TakeBest: "4 ", TakeLast: "4 ", TakeEvery: "1 4 "} {
		var begun []string
		for _, row := range tabulated(t, Table{Take: take}, rows...) {
			begun = append(begun, row["begun"])
		}
		if strings.Join(begun, " ") != want {
			t.Errorf("%s: %q", take, begun)
		}
	}
}

// What was handed in twice, and what has the numbers of another learner's, is told.
func TestSameResultsAndSameNumbersAreTold(t *testing.T) {
	ada := graded("Ada", "", 1, 1, 2, 0)
	rows := []Row{{File: "1.json", Result: ada}, {File: "2.json", Result: ada}, {File: "3.json", Result: graded("Bob", "", 1, 5, 2, 0)}}
	if same := Same(rows); len(same) != 1 || same[1] != "1.json" {
		t.Errorf("%v", same)
	}
	all := tabulated(t, Table{Take: TakeBest}, rows...)
	if len(all) != 2 || all[0]["files"] != "1" || all[0]["note"] != "the same numbers as 3.json" || all[1]["note"] != "the same numbers as 1.json" {
		t.Errorf("%v", all)
	}
	if all = tabulated(t, Table{Take: TakeEvery}, rows...); len(all) != 3 || !strings.Contains(all[1]["note"], "the same result as 1.json") {
		t.Errorf("%v", all)
	}
}

// A file in one folder that is the same as one of its name in another is left out, and that one is not.
func TestTheSameResultOfTheSameName(t *testing.T) {
	ada := graded("Ada", "", 1, 1, 2, 0)
	ada.Progress.Stages[2].Answers = []lesson.Given{{Answer: "wrong"}}
	rows := []Row{{File: "1.json", Result: ada}, {File: "1.json", Result: ada}}
	if all := tabulated(t, Table{Take: TakeBest}, rows...); len(all) != 1 || all[0]["learner"] != "Ada" {
		t.Errorf("%v", all)
	}
	var out strings.Builder
	if err := (Table{Take: TakeEvery}).WriteWrong(&out, rows); err != nil || !strings.Contains(out.String(), ",wrong,,1,1,1") {
		t.Errorf("%s %v", out.String(), err)
	}
}

// A number that two learners give, as where one mistyped it, puts their results together: the table says so, with a name only where
// names are told.
func TestTwoNamesOfOneNumber(t *testing.T) {
	rows := []Row{{File: "1.json", Result: graded("Ada", "7", 1, 1, 2, 1)}, {File: "2.json", Result: graded("Bob", "7", 2, 2, 2, 0)}, {File: "3.json", Result: graded(" ADA", "7", 3, 3, 0, 0)}}
	if all := tabulated(t, Table{Take: TakeBest}, rows...); len(all) != 1 || all[0]["note"] != "also handed in as Bob" {
		t.Errorf("%v", all)
	}
	if all := tabulated(t, Table{Take: TakeBest, Tell: []string{"number"}}, rows...); len(all) != 1 || all[0]["note"] != "also handed in as another name" {
		t.Errorf("%v", all)
	}
	if all := tabulated(t, Table{Take: TakeEvery}, rows...); len(all) != 3 || all[0]["note"]+all[1]["note"]+all[2]["note"] != "" {
		t.Errorf("%v", all)
	}
}

// Practice that nobody vouches for comes after what counts, and never in its place.
func TestPracticeIsApart(t *testing.T) {
	rows := []Row{{File: "home.json", Result: graded("Ada", "", 1, 1, 2, 1), Practice: true}, {File: "school.json", Result: graded("Ada", "", 2, 2, 0, 0.5)}}
	all := tabulated(t, Table{Take: TakeBest}, rows...)
	if len(all) != 2 || all[0]["file"] != "school.json" || all[0]["score"] != "0.5" || all[1]["verified"] != "practice" || all[1]["tries_vouched"] != "no" {
		t.Errorf("%v", all)
	}
}

// Two lessons in one table keep their stages apart. A byte order mark is there on demand: EF BB BF (RFC 3629, section 6).
func TestTwoLessonsAndAByteOrderMark(t *testing.T) {
	other := graded("Ada", "", 2, 2, 0, 0.5)
	other.Progress.Lesson, other.Progress.Title = "b", "Another"
	var out strings.Builder
	if err := (Table{Take: TakeBest, Zone: time.UTC, BOM: true}).Write(&out, []Row{{File: "1.json", Result: graded("Ada", "", 1, 1, 2, 0)}, {File: "2.json", Result: other}}); err != nil {
		t.Fatal(err)
	}
	head, _, _ := strings.Cut(out.String(), "\n")
	if !strings.HasPrefix(head, "\xef\xbb\xbffile,") || !strings.HasSuffix(head, "A lesson: A place,A lesson: which-way,Another: A place,Another: which-way") {
		t.Errorf("%q", head)
	}
}
