package scenarios

import (
	"fmt"
	"slices"
	"strings"
)

// nearest returns the allowed word that a mistyped one was probably meant to be, or "".
func nearest(word string, allowed []string) string {
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

// unknownWord is the tail of a message about a word that is not among the allowed ones.
func unknownWord(word string, allowed []string) string {
	list := strings.Join(allowed, ", ")
	if guess := nearest(word, allowed); guess != "" {
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

// quoted is a word from a file as a message shows it: in quotes, and not endless.
func quoted(word string) string {
	runes := []rune(word)
	if len(runes) > 40 {
		word = string(runes[:40]) + "…"
	}
	return fmt.Sprintf("%q", word)
}

// wordsOf returns words of a kind of their own as plain ones.
func wordsOf[T ~string](kind []T) (words []string) {
	for _, w := range kind {
		words = append(words, string(w))
	}
	return words
}

// sortedWords returns the words in their order, each once.
func sortedWords(words []string) []string { return slices.Compact(slices.Sorted(slices.Values(words))) }

// OneOf joins words as a sentence does: "a, b or c".
func OneOf[T ~string](words []T) string { return joined(words, " or ") }

// allOf joins them likewise: "a, b and c".
func allOf[T ~string](words []T) string { return joined(words, " and ") }

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
