package lesson_test

import (
	"strings"
	"testing"

	"handrule/scenarios"
	"handrule/scenarios/lesson"
	"handrule/scenarios/prose"
)

// Drawn numbers are written into the HTML of a text, whose Markdown is read before they are drawn.
func TestDrawnNumbersAreWrittenIntoTheHTML(t *testing.T) {
	text := `title: Far
arm: wren
draw:
  - {name: far, one_of: [-7, 5]}
stages:
  - title: One
    text: |
      Go **$far** mm, or +$far, or -$far.
`
	for seed := range uint64(8) {
		l, err := lesson.Parse("far.yaml", []byte(text), lesson.Around{Arm: scenarios.OpenArm, Cell: scenarios.OpenCell, Prose: prose.Markdown{}}, lesson.Deal{Seed: seed})
		if err != nil {
			t.Fatal(err)
		}
		five, seven := "<p>Go <strong>5</strong> mm, or +5, or −5.</p>\n", "<p>Go <strong>−7</strong> mm, or −7, or 7.</p>\n"
		if got := l.Stages[0].HTML; got != five && got != seven {
			t.Errorf("seed %d: %q", seed, got)
		}
		if got := l.Stages[0].Text; !strings.Contains(string(got), "**5**") && !strings.Contains(string(got), "**−7**") {
			t.Errorf("seed %d: the text is %q", seed, got)
		}
	}
}
