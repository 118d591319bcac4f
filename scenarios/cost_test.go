package scenarios

import (
	"fmt"
	"strings"
	"testing"
)

// Blank lines, however many, do not move what is told of the lines after them: of the parser's own errors, of fields, and of
// what stands further down in a block of text. A line may end in a line feed, a carriage return, or both.
func TestBlankLinesKeepTheNumbersOfLines(t *testing.T) {
	head := "title: A\narm: wren\nstages:\n  - text: |\n      One.\n"
	for name, blank := range map[string]string{"empty": "\n", "spaces": "   \n", "deeper": "           \n"} {
		for _, many := range []int{0, 1, 8, 9, 500} {
			blanks := strings.Repeat(blank, many)
			for what, test := range map[string]struct{ text, says string }{
				"a field":        {head + blanks + "    txet: two\n", fmt.Sprintf("f:%d:5: stage 1: unknown field", 6+many)},
				"the parser":     {head + blanks + "    reach: {a: [1, 2\n", fmt.Sprintf("f:%d:", 6+many)},
				"a block":        {head + blanks + "      Two.\n" + blanks + "      <b>Three</b>\n", fmt.Sprintf("f:%d:7: stage 1: text: HTML", 7+2*many)},
				"the first":      {blanks + "titel: A\n", fmt.Sprintf("f:%d:1: lesson: unknown field", 1+many)},
				"after a block":  {head + blanks + "  - text: >-\n      Two.\n" + blanks + "  - txet: a\n", fmt.Sprintf("f:%d:5: stage 3: unknown field", 8+2*many)},
				"a list's value": {head + blanks + "    reach: {tolerance_mm: 1, position_mm: [1,\n" + blanks + "      2, x]}\n", fmt.Sprintf("f:%d:10: stage 1, reach: position_mm", 7+2*many)},
			} {
				for ends, end := range map[string]string{"LF": "\n", "CRLF": "\r\n", "CR": "\r"} {
					_, err := ReadLesson("f", []byte(strings.ReplaceAll(test.text, "\n", end)))
					if err == nil || !strings.Contains(err.Error(), test.says) {
						t.Errorf("%d %s lines before %s, %s: want %q in\n%v", many, name, what, ends, test.says, err)
					}
				}
			}
		}
	}
}

// What a text says is the same with many blank lines in it as with a few.
func TestBlankLinesInATextAreAFew(t *testing.T) {
	read := func(blanks int) string {
		l, err := ReadLesson("f", []byte("title: A\narm: wren\nstages:\n  - text: |\n      One.\n"+strings.Repeat("\n", blanks)+"      Two.\n"+strings.Repeat("\n", blanks)))
		if err != nil {
			t.Fatal(err)
		}
		return l.Stages[0].HTML
	}
	if few, many := read(1), read(5000); few != many {
		t.Errorf("%q and %q", few, many)
	}
}

// Whatever a file repeats, reading four times as much of it asks for some four times the memory, and not sixteen times.
func TestReadingCostsInProportionToTheFile(t *testing.T) {
	const head = "title: A\narm: wren\nstages:\n"
	for _, test := range []struct{ name, before, again, after string }{
		{"blank lines after a block of text", head + "  - text: |\n      a\n", "\n", ""},
		{"and after a folded one", head + "  - text: >\n      a\n", "\n", ""},
		{"lines of spaces after it", head + "  - text: |\n      a\n", "      \n", ""},
		{"and of fewer spaces", head + "  - text: |\n      a\n", "    \n", ""},
		{"blank lines that end in a carriage return", head + "  - text: |\n      a\n", "\r", ""},
		{"and in both", head + "  - text: |\n      a\n", "\r\n", ""},
		{"blocks of text with blank lines", "", "a: |\n  b\n" + strings.Repeat("\n", 8), ""},
		{"documents", "# ", "|\n---\n1~", ""},
		{"ends of documents", "[[[[", "...\n,\n    ", ""},
		{"an open quote", `a: "`, "=[\t\t\t\t\t\t\t!: %", ""},
		{"an open single quote", `a: '`, "b: [\t", ""},
		{"comments", "", "# a\n", head},
		{"comments in a list", "a: [\n", "1, # a\n", "]\n"},
		{"a list on a line", "a: [", "1,", "1]\n"},
		{"a list of lines", "a: [", "1,\n", "1]\n"},
		{"lists in a list", "a: [", "[],", "[]]\n"},
		{"blocks in a list", "a: [", "{},", "{}]\n"},
		{"dashes", "a:\n", "- 1\n", ""},
		{"empty dashes", "a:\n", "-\n", ""},
		{"anchors", "a: [", "&a 1,", "1]\n"},
		{"aliases", "a: [", "*a,", "1]\n"},
		{"words", "a: ", "a ", "\n"},
		{"lines of words", "a:\n", "  b\n", ""},
		{"quoted lines", "a: \"a\n", "  a\n", "\"\n"},
		{"escaped characters", `a: "a`, `\n`, "\"\n"},
		{"brackets that close", "a: [", "]", "\n"},
		{"colons", "a", ": ", "\n"},
		{"reserved characters", "a: ", "@", "\n"},
	} {
		cost := func(size int) uint64 {
			text := test.before + strings.Repeat(test.again, size/len(test.again)) + test.after
			return allocated(func() { ReadLesson("f", []byte(text)) })
		}
		some, more := cost(60<<10), cost(240<<10)
		if more > budget(8*some) || more > budget(256<<20) {
			t.Errorf("%s: %d KiB, and four times as much %d KiB", test.name, some>>10, more>>10)
		}
	}
}
