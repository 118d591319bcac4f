package form

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"unicode"
)

// Nearest returns the allowed word that a mistyped one was probably meant to be, or "".
func Nearest(word string, allowed []string) string {
	best, bestDistance := "", 1+max(2, len(word)/3)
	for _, candidate := range allowed {
		if strings.HasPrefix(candidate, strings.ToLower(word)+"_") { // its unit was left out
			return candidate
		}
		if len(word) > 2*len(candidate)+4 {
			continue
		}
		if d := editDistance(strings.ToLower(word), strings.ToLower(candidate)); d < bestDistance {
			best, bestDistance = candidate, d
		}
	}
	return best
}

// UnknownWord is the tail of a message about a word that is not among the allowed ones.
func UnknownWord(word string, allowed []string) string {
	list := strings.Join(allowed, ", ")
	if guess := Nearest(word, allowed); guess != "" {
		return fmt.Sprintf("did you mean %q? It is one of: %s", guess, list)
	}
	return "it is one of: " + list
}

// editDistance is the number of single-character insertions, deletions and replacements between two words
// (Levenshtein's distance).
func editDistance(a, b string) int {
	s, t := []rune(a), []rune(b)
	row := make([]int, len(t)+1)
	for j := range row {
		row[j] = j
	}
	for i := range s {
		diagonal := row[0]
		row[0] = i + 1
		for j := range t {
			cost := diagonal
			if s[i] != t[j] {
				cost++
			}
			diagonal = row[j+1]
			row[j+1] = min(row[j+1]+1, row[j]+1, cost)
		}
	}
	return row[len(t)]
}

// Quoted is a word from a file as a message shows it: in quotes, and not endless.
func Quoted(word string) string {
	runes := []rune(word)
	if len(runes) > 40 {
		word = string(runes[:40]) + "…"
	}
	return fmt.Sprintf("%q", word)
}

// WordsOf returns words of a kind of their own as plain ones.
func WordsOf[T ~string](kind []T) (words []string) {
	for _, w := range kind {
		words = append(words, string(w))
	}
	return words
}

// SortedWords returns the words in their order, each once.
func SortedWords(words []string) []string { return slices.Compact(slices.Sorted(slices.Values(words))) }

// OneOf joins words as a sentence does: "a, b or c".
func OneOf[T ~string](words []T) string { return joined(words, " or ") }

// AllOf joins them likewise: "a, b and c".
func AllOf[T ~string](words []T) string { return joined(words, " and ") }

func joined[T ~string](words []T, last string) string {
	var text strings.Builder
	for i, w := range words {
		switch {
		case i > 0 && i == len(words)-1:
			text.WriteString(last)
		case i > 0:
			text.WriteString(", ")
		}
		text.WriteString(string(w))
	}
	return text.String()
}

// Decimal writes a number as a person reads it: to three decimals, never as −0.
func Decimal(x float64) string {
	text := strings.TrimRight(strings.TrimRight(fmt.Sprintf("%.3f", math.Abs(x)), "0"), ".")
	if text != "0" && x < 0 {
		return "−" + text
	}
	return text
}

// Round rounds to so many decimals, never to −0.
func Round(x float64, digits int) float64 {
	scale := math.Pow(10, float64(digits))
	return math.Round(x*scale)/scale + 0
}

// IsWord tells a word of letters, digits and hyphens.
func IsWord(name string) bool {
	return !strings.ContainsFunc(name, func(c rune) bool { return !unicode.IsLetter(c) && !unicode.IsDigit(c) && c != '-' })
}
