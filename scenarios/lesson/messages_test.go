package lesson_test

import (
	"strings"
	"testing"
	"unicode/utf16"

	"handrule/kinematics"
	"handrule/scenarios"
)

// Golden messages for slips that have nothing to do with robots: what an editor, a page or a keyboard puts into a file.
func TestMessagesForSlips(t *testing.T) {
	lesson := "title: A\narm: wren\nstages:\n  - text: b\n    reach: {joint: J1, angle_deg: 20, tolerance_deg: 1}\n"
	var wide []byte
	for _, unit := range utf16.Encode([]rune("\ufeff" + lesson)) {
		wide = append(wide, byte(unit), byte(unit>>8))
	}
	for _, test := range []struct{ name, text, says string }{
		{"UTF-16 with a mark", string(wide), "own.yaml: is text in UTF-16; save it as UTF-8, which editors offer as an encoding"},
		{"UTF-16 without one", string(wide[2:]), "own.yaml: is text in UTF-16; save it as UTF-8, which editors offer as an encoding"},
		{"a field too far in", strings.Replace(lesson, "    reach", "      reach", 1),
			"own.yaml:4:11: cannot be read as YAML: mapping value is not allowed in this context; look at the indentation: the fields of a block stand in one column, and a text after | stands further in"},
		{"a field too far out", strings.Replace(lesson, "    reach", "   reach", 1),
			"look at the indentation: the fields of a block stand in one column, and a text after | stands further in"},
		{"a colon in a text", strings.Replace(lesson, "text: b", "text: Note: b", 1),
			"put a text that has a colon into quotes, or on lines of its own after text: |"},
	} {
		_, err := scenarios.ReadLesson("own.yaml", []byte(test.text))
		if err == nil || !strings.Contains(err.Error(), test.says) || strings.Contains(test.name, "a field") && strings.Contains(err.Error(), "colon") {
			t.Errorf("%s:\n got %v\nwant %s", test.name, err, test.says)
		}
	}
}

// A minus sign that was copied from the page is a minus sign.
func TestTheMinusSignOfThePageIsRead(t *testing.T) {
	text := "title: A\narm: wren\nstart_deg: [0, 0, 0, 0, 90, 0]\nstages:\n  - text: b\n    reach: {joint: J1, angle_deg: −60, tolerance_deg: 1}\n" +
		"  - text: c\n    predict: {jog: base y −60, ask: direction}\n"
	l, err := scenarios.ReadLesson("own.yaml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	if angle := kinematics.Degrees(float64(*l.Stages[0].Reach.Angle)); angle > -59.9 || angle < -60.1 || l.Stages[1].Predict.Jog[0].Sign != -1 {
		t.Errorf("%v°, %+v", angle, l.Stages[1].Predict.Jog[0])
	}
}

// Where a # cuts a text off, that is told; a comment is none.
func TestACutTextIsTold(t *testing.T) {
	text := "title: A\narm: wren # the small one\nstages:\n  - text: Look at joint #3 and say what it does. # really\n  - text: 'Look at #3.'\n"
	l, err := scenarios.ReadLesson("own.yaml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	if len(l.Notes) != 1 || !strings.HasPrefix(l.Notes[0].Error(), `own.yaml:4:25: note: the # after a space cuts the text off: "#3 and say what it does. # really" is left out; put the text into quotes`) {
		t.Errorf("%v", l.Notes)
	}
}
