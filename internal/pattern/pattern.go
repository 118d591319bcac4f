//go:build !js

// Package pattern matches regular expressions. A program in a browser takes the browser's own for them, so that it need not bring a
// quarter of a megabyte of code and tables. Both read the same patterns alike (pattern_test.go), but for what Of refuses.
package pattern

import "regexp"

// Pattern is a regular expression.
type Pattern struct{ re *regexp.Regexp }

// Of returns a pattern. A dot stands for any character, also for the end of a line.
func Of(text string) *Pattern {
	refuse(text)
	return &Pattern{regexp.MustCompile("(?s)" + text)}
}

// String is the pattern as it was given, which a JSON Schema takes too.
func (p *Pattern) String() string { return p.re.String()[len("(?s)"):] }

// In reports whether a text matches somewhere.
func (p *Pattern) In(text string) bool { return p.re.MatchString(text) }

// First is the first match, and what its groups hold; nil where there is none.
func (p *Pattern) First(text string) []string { return p.re.FindStringSubmatch(text) }

// All are the matches, one after the other.
func (p *Pattern) All(text string) []string { return p.re.FindAllString(text, -1) }

// Replace writes something else for every match.
func (p *Pattern) Replace(text string, by func(match string) string) string {
	return p.re.ReplaceAllStringFunc(text, by)
}
