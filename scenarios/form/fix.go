package form

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"
)

// Fix is a word of a file that is written otherwise now. The old one is still read.
type Fix struct {
	At       Place
	Old, New string
}

// Findings are what is worth telling of a file that can be used: notes, and the words to be written otherwise.
type Findings struct {
	Notes []Problem
	Fixes []Fix
}

// Renamed notes that a word of the file is another now. what is said of where it stands, such as "stage 2, reach: wrist".
func (s *Source) Renamed(at Place, what, old, now string) {
	if what != "" {
		what += ": "
	}
	note := s.problem(at, "note: %s%s is an old word; it is %s now (check --fix writes it so)", what, Quoted(old), Quoted(now))
	if len(s.found.Notes) < MostProblems {
		s.found.Notes = append(s.found.Notes, note)
	}
	s.found.Fixes = append(s.found.Fixes, Fix{at, old, now})
}

// Findings returns what was found of a file that is right, in the order of its lines.
func (s *Source) Findings() Findings {
	slices.SortStableFunc(s.found.Notes, func(a, b Problem) int { return cmp.Or(a.Line-b.Line, a.Column-b.Column) })
	return s.found
}

// Mended returns the text of a file with the fixes made. All else stays as it is, its layout and its comments too. A fix
// whose old word does not stand at its place is left out.
func Mended(text []byte, fixes []Fix) []byte {
	starts := lineStarts(text)
	type edit struct {
		from, to int
		now      string
	}
	var edits []edit
	for _, f := range fixes {
		if f.At.Line < 1 || f.At.Line > len(starts) {
			continue
		}
		at := starts[f.At.Line-1]
		for range f.At.Column - 1 {
			_, size := utf8.DecodeRune(text[at:])
			at += size
		}
		rest := string(text[at:])
		if mark := strings.TrimLeft(rest, `"'`); len(rest)-len(mark) <= 1 { // a quoted word stands at its quotation mark
			at, rest = at+len(rest)-len(mark), mark
		}
		if strings.HasPrefix(rest, f.Old) {
			edits = append(edits, edit{at, at + len(f.Old), f.New})
		}
	}
	slices.SortFunc(edits, func(a, b edit) int { return b.from - a.from })
	mended := slices.Clone(text)
	last := len(text) + 1
	for _, e := range edits {
		if e.from < last { // each place once
			mended = slices.Concat(mended[:e.from], []byte(e.now), mended[e.to:])
		}
		last = e.from
	}
	return mended
}

// lineStarts are where the lines of a text begin, counted as PlainText does: without the byte order mark, and with any
// line end.
func lineStarts(text []byte) []int {
	at := 0
	if strings.HasPrefix(string(text), "\ufeff") {
		at = len("\ufeff")
	}
	starts := []int{at}
	for i := at; i < len(text); i++ {
		switch {
		case text[i] == '\r' && i+1 < len(text) && text[i+1] == '\n':
		case text[i] == '\n', text[i] == '\r':
			starts = append(starts, i+1)
		}
	}
	return starts
}

// String tells a fix in a line.
func (f Fix) String() string {
	return fmt.Sprintf("%d:%d: %s is %s now", f.At.Line, f.At.Column, f.Old, f.New)
}
