// Package visible makes the characters of a name visible that would not be seen or would change how what stands around them
// is read.
package visible

import (
	"fmt"
	"strings"
	"unicode"
)

// Text returns a text in which control characters, ends of lines, those that turn the direction of writing (Unicode
// Standard Annex 9) and others without a shape of their own are written as escapes, such as \u202e. The joiners stay with
// which some scripts write words.
func Text(s string) string {
	s = strings.ToValidUTF8(s, "\uFFFD")
	if !strings.ContainsFunc(s, hidden) {
		return s
	}
	var b strings.Builder
	for _, r := range s {
		switch {
		case !hidden(r):
			b.WriteRune(r)
		case r == '\n':
			b.WriteString(`\n`)
		case r == '\t':
			b.WriteString(`\t`)
		case r > 0xffff:
			fmt.Fprintf(&b, `\U%08x`, r)
		default:
			fmt.Fprintf(&b, `\u%04x`, r)
		}
	}
	return b.String()
}

const nonJoiner, joiner = '\u200c', '\u200d'

func hidden(r rune) bool {
	if r == nonJoiner || r == joiner {
		return false
	}
	return unicode.In(r, unicode.Cc, unicode.Zl, unicode.Zp, unicode.Co, unicode.Noncharacter_Code_Point) ||
		unicode.Is(unicode.Cf, r) && !unicode.Is(unicode.Prepended_Concatenation_Mark, r)
}
