package form

import (
	"strings"
	"testing"
)

// The parser is shown no long run of blank lines, and no tab but those that indent; columns stay where they are. It is asked
// for nothing after the first thing that it cannot read.
func TestTheParserIsShownNothingThatTakesLong(t *testing.T) {
	lines := strings.Split("a: \"b\t\t\tc\n\t\td\te\n\"\n"+strings.Repeat(" \t\n", 1000)+"f:\tg", "\n")
	left, numbers := shown(lines)
	if len(left) != len(numbers) || len(left) != 4+mostBlankLines || numbers[len(numbers)-1] != len(lines) {
		t.Fatalf("%d lines, %d numbers: %v", len(left), len(numbers), numbers)
	}
	for i, line := range left {
		if len(line) != len(lines[numbers[i]-1]) || strings.Contains(strings.TrimLeft(line, " \t"), "\t") {
			t.Errorf("%q is shown as %q", lines[numbers[i]-1], line)
		}
	}
	if left[1] != "\t\td e" {
		t.Errorf("%q does not indent", left[1])
	}
	s, err := PlainText("f", []byte("a: "+strings.Repeat("@", 1000)))
	if err != nil {
		t.Fatal(err)
	}
	if tokens := s.tokens(); len(tokens) != 3 {
		t.Errorf("%d tokens", len(tokens))
	}
}
