package main

import (
	"encoding/xml"
	"errors"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"handrule/scenarios"
	"handrule/scenarios/results"
)

// htmlText reads a page as a browser would begin to: every element is closed, every attribute is quoted. It returns the
// text of every element of that name, and how often each name is opened.
func htmlText(t *testing.T, page, name string) (texts []string, opened map[string]int) {
	t.Helper()
	d := xml.NewDecoder(strings.NewReader(page))
	d.Strict, d.AutoClose, d.Entity = false, xml.HTMLAutoClose, xml.HTMLEntity
	opened = map[string]int{}
	var open []string
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			t.Fatal(err)
		}
		switch token := token.(type) {
		case xml.StartElement:
			opened[token.Name.Local]++
			open = append(open, token.Name.Local)
			if token.Name.Local == name {
				texts = append(texts, "")
			}
		case xml.EndElement:
			if len(open) == 0 || open[len(open)-1] != token.Name.Local {
				t.Fatalf("</%s> closes %v", token.Name.Local, open)
			}
			open = open[:len(open)-1]
		case xml.CharData:
			if slices.Contains(open, name) {
				texts[len(texts)-1] += string(token)
			}
		}
	}
	if len(open) > 0 {
		t.Fatalf("%v are not closed", open)
	}
	return texts, opened
}

// ownKey makes the key of this user's server in a folder of the test's own.
func ownKey(t *testing.T) {
	t.Helper()
	t.Setenv("XDG_CONFIG_HOME", t.TempDir())
	path, err := keyFile()
	if err != nil {
		t.Fatal(err)
	}
	if _, err := results.OpenKey(path); err != nil {
		t.Fatal(err)
	}
}

func TestEveryShippedLessonIsPrinted(t *testing.T) {
	ownKey(t)
	for _, lesson := range scenarios.ShippedLessons() {
		status, sheet, errs := do("sheet", "--seed", "3", lesson.ID)
		if status != 0 || errs != "" {
			t.Fatalf("%s: status %d, %s", lesson.ID, status, errs)
		}
		if _, again, _ := do("sheet", "--seed", "3", lesson.ID); again != sheet {
			t.Errorf("%s: the same seed gives another sheet", lesson.ID)
		}
		status, key, errs := do("sheet", "--seed", "3", "--answers", lesson.ID)
		if status != 0 || errs != "" {
			t.Fatalf("%s: status %d, %s", lesson.ID, status, errs)
		}
		views, opened := htmlText(t, sheet, "figcaption")
		if len(views) < 3 || !slices.Equal(views[:3], []string{"from the side", "from the front", "from above"}) || opened["svg"] != len(views) {
			t.Errorf("%s: the views are %v, %d drawings", lesson.ID, views, opened["svg"])
		}
		if opened["section"] != len(lesson.Stages) || opened["script"] != 0 {
			t.Errorf("%s: %d parts for %d stages, %d scripts", lesson.ID, opened["section"], len(lesson.Stages), opened["script"])
		}
		tasks := 0
		for _, stage := range lesson.Stages {
			if stage.Task != nil {
				tasks++
			}
		}
		htmlText(t, key, "p")
		if strings.Contains(sheet, `class="answer"`) || strings.Count(key, `class="answer"`) != tasks {
			t.Errorf("%s: %d answers in the key for %d tasks; in the sheet there should be none", lesson.ID, strings.Count(key, `class="answer"`), tasks)
		}
	}
}

// An assessment's numbers and answers take the key of the server that gives it: without one there is no sheet, and with another
// one there are other numbers.
func TestASheetOfAnAssessmentTakesTheKey(t *testing.T) {
	t.Setenv("XDG_CONFIG_HOME", t.TempDir())
	for _, answers := range []string{"--answers", "--seed=1"} {
		status, out, errs := do("sheet", answers, "assessment")
		if status != exitBad || out != "" || !strings.Contains(errs, "a sheet of an assessment needs the key of the server") || !strings.Contains(errs, "--key") {
			t.Errorf("status %d, %s%s", status, errs, out)
		}
	}
	var pages []string
	for range 2 {
		key, _ := classFolder(t)
		status, out, errs := do("sheet", "--key", key, "--seed", "7", "--answers", "assessment")
		if status != 0 {
			t.Fatal(errs)
		}
		pages = append(pages, out)
	}
	if pages[0] == pages[1] {
		t.Error("two servers deal the same numbers")
	}
}

func TestSheetsOfNeighboursDiffer(t *testing.T) {
	ownKey(t)
	var sheets, keys []string
	for _, seed := range []string{"1", "2", "18446744073709551615"} {
		_, sheet, _ := do("sheet", "--seed", seed, "assessment")
		_, key, _ := do("sheet", "--seed", seed, "--answers", "assessment")
		without := func(page string) string { return strings.ReplaceAll(page, "numbers "+seed, "numbers") }
		sheets, keys = append(sheets, without(sheet)), append(keys, without(key))
	}
	for _, pages := range [][]string{sheets, keys} {
		if pages[0] == pages[1] || pages[1] == pages[2] || pages[0] == pages[2] {
			t.Error("two seeds give the same page")
		}
	}
}

// A lesson of one's own is printed from its path, with its pictures in the page; what is wrong with it is said at its place.
func TestALessonOfOnesOwnIsPrinted(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "mine.yaml")
	write := func(name, text string) {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	write("dot.png", "a picture")
	write("mine.yaml", "title: Mine & <yours>\narm: wren\nstages:\n  - text: '![a dot](dot.png)'\n    read: {measure: z, tolerance: 1}\n")
	status, out, errs := do("sheet", path)
	if status != 0 || !strings.Contains(out, `src="data:image/png;base64,YSBwaWN0dXJl"`) || !strings.Contains(out, "Mine &amp; &lt;yours&gt;") {
		t.Errorf("status %d, %s\n%s", status, errs, out)
	}
	write("mine.yaml", "title: Mine\narm: wren\nstages:\n  - text: b\n    read: {measure: zed, tolerance: 1}\n")
	status, out, errs = do("sheet", path)
	if status != exitBad || out != "" || !strings.HasPrefix(errs, path+":5:21: ") || !strings.Contains(errs, "    5 |     read: {measure: zed, tolerance: 1}\n      |                     ^") {
		t.Errorf("status %d\n%s%s", status, out, errs)
	}
	write("mine.yaml", "title: Mine\narm: wren\nstages:\n  - text: b\n    reach: {position_mm: [900, 0, 0], tolerance_mm: 1}\n")
	if status, out, errs = do("sheet", path); status != exitBad || out != "" || !strings.HasPrefix(errs, path+":5:12: ") || !strings.Contains(errs, "cannot be passed") {
		t.Errorf("status %d\n%s%s", status, out, errs)
	}
	for _, args := range [][]string{{"sheet"}, {"sheet", "asessment"}, {"sheet", filepath.Join(dir, "nothing.yaml")}, {"sheet", "--seed", "-1", "assessment"}, {"sheet", dir}} {
		if status, out, errs := do(args...); status != exitBad || out != "" || errs == "" {
			t.Errorf("%v: status %d, %s", args, status, errs)
		}
	}
	if _, _, errs := do("sheet", "asessment"); !strings.Contains(errs, `did you mean "assessment"`) {
		t.Error(errs)
	}
}
