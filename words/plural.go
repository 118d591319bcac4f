//go:build !js

package words

import (
	"strings"

	"golang.org/x/text/feature/plural"
	"golang.org/x/text/language"
)

var formNames = map[plural.Form]string{
	plural.Zero: "zero", plural.One: "one", plural.Two: "two", plural.Few: "few", plural.Many: "many", plural.Other: "other",
}

// pluralForm is the form that a number takes of which those digits stand before and behind the decimal sign.
func pluralForm(code, whole, decimals string) string {
	without := strings.TrimRight(decimals, "0")
	return formNames[plural.Cardinal.MatchPlural(language.Make(code), value(whole), len(decimals), len(without), value(decimals), value(without))]
}

// value is a number's, or its last nine digits': no rule looks at more.
func value(digits string) (n int) {
	for _, digit := range digits {
		n = (10*n + int(digit-'0')) % 1_000_000_000
	}
	return n
}
