package form

import "strings"

// What the YAML parser would take long over is kept from it, because it cannot be told to give up: after a block of text it
// copies the text for every blank line that follows, so that 40,000 of them take ten seconds; in a quoted text it looks to the
// end of the line for every tab; and from every < to the end of a row of them.

// tooManyLess is refused wherever it stands.
var tooManyLess = strings.Repeat("<", 41)

// mostBlankLines is how many blank lines in a row the parser is shown.
const mostBlankLines = 8

// shown returns the lines that the YAML parser is shown, and for each its number in the file, from 1. Long runs of blank
// lines are made short. A tab that does not indent is a space.
func shown(lines []string) (left []string, numbers []int) {
	blank := 0
	for i, line := range lines {
		text := strings.TrimLeft(line, " \t")
		if text == "" {
			blank++
		} else {
			blank = 0
		}
		if blank <= mostBlankLines {
			left = append(left, line[:len(line)-len(text)]+strings.ReplaceAll(text, "\t", " "))
			numbers = append(numbers, i+1)
		}
	}
	return left, numbers
}
