package solve_test

import (
	"strings"
	"testing"

	"handrule/scenarios"
	"handrule/scenarios/solve"
)

// A lesson that is impossible throughout, by its rules and not for its places, is found out within the ticks of motion that one lesson may take, with all its
// stages, and its numbers are not drawn over and over.
func TestTheSearchForALessonIsBounded(t *testing.T) {
	text := "title: A\narm: wren\ndraw: [{name: a, from: 300, to: 390, step: 1}]\nstages:\n" +
		strings.Repeat("  - {text: b, reach: {position_mm: [$a, 100, 50], tolerance_mm: 1, most_jogs: 1, frames: [base]}}\n", 60)
	l, err := scenarios.ReadLesson("f", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	left, err := solve.CheckWithin(l, 400_000) // in place of mostLessonSearch, so that the test is short
	if err == nil || left < -solve.MostSearch || left > 0 || !strings.Contains(err.Error(), "no way was looked for") {
		t.Errorf("%d ticks are left: %.300v", left, err)
	}
}
