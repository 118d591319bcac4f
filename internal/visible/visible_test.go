package visible

import (
	"testing"
	"unicode"
)

func TestHiddenCharactersAreShown(t *testing.T) {
	for text, want := range map[string]string{
		"Ada":                     "Ada",
		"Ana María Ñuñez":         "Ana María Ñuñez",
		"مريم":                    "مريم", // The letters themselves are written from the right, with no help.
		"می\u200cخواهم":           "می\u200cخواهم",
		"👩\u200d🔧":                "👩\u200d🔧",
		"a\u202egnp.exe":          `a\u202egnp.exe`,
		"a\u2066b\u2069":          `a\u2066b\u2069`,
		"\u200fa\u061cb":          `\u200fa\u061cb`,
		"a\x1b[31mb\x7f\u0085":    `a\u001b[31mb\u007f\u0085`,
		"a\tb\r\nc\u2028d":        `a\tb\u000d\nc\u2028d`,
		"\ufeffa\u200bb\u00adc":   `\ufeffa\u200bb\u00adc`,
		"a\U000e0041b\U000f0000c": `a\U000e0041b\U000f0000c`,
		"a\xffb":                  "a\ufffdb",
	} {
		if got := Text(text); got != want {
			t.Errorf("%q is shown as %q, want %q", text, got, want)
		}
	}
}

// Every character that Unicode says turns the direction of writing is escaped.
func TestNothingTurnsTheDirection(t *testing.T) {
	for _, r := range unicode.Bidi_Control.R16 {
		for c := rune(r.Lo); c <= rune(r.Hi); c += rune(r.Stride) {
			if Text(string(c)) == string(c) {
				t.Errorf("%U", c)
			}
		}
	}
}
