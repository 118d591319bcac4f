package scenarios

import (
	"fmt"
	"io/fs"
	"slices"
	"strings"
	"unicode"
)

// Problem is one thing that is wrong with a file.
type Problem struct {
	File    string
	Line    int // from 1; 0 where the file as a whole is meant
	Column  int // in characters, from 1
	Message string
	Excerpt string // the line and a mark under the column, or empty
}

func (p Problem) Error() string {
	if p.Line == 0 {
		return p.File + ": " + p.Message
	}
	s := fmt.Sprintf("%s:%d:%d: %s", p.File, p.Line, p.Column, p.Message)
	if p.Excerpt != "" {
		s += "\n" + p.Excerpt
	}
	return s
}

// Errors are all the problems of one file, in the order of its lines. There is at least one.
type Errors []Problem

func (e Errors) Error() string {
	parts := make([]string, len(e))
	for i, p := range e {
		parts[i] = p.Error()
	}
	return strings.Join(parts, "\n")
}

// mostProblems is how many problems of one file are told; a file with more is best mended in turns.
const mostProblems = 40

// source is a file's text while it is read, and the problems found in it so far.
type source struct {
	file     string
	lines    []string
	problems Errors

	beside   fs.FS    // the file's folder, for what a lesson names there; nil where it has none
	pictures []string // found in its prose

	filledAt map[place]string // the drawn numbers that stand there now, in words
}

func newSource(file, text string) *source {
	return &source{file: file, lines: strings.Split(text, "\n")}
}

// place is a line and column of a file, both from 1.
type place struct{ line, column int }

func (s *source) add(at place, format string, args ...any) {
	s.problems = append(s.problems, s.problem(at, format, args...))
}

func (s *source) problem(at place, format string, args ...any) Problem {
	return Problem{
		File: s.file, Line: at.line, Column: at.column,
		Message: fmt.Sprintf(format, args...) + s.filledAt[at],
		Excerpt: s.excerpt(at),
	}
}

// addAll adds what is wrong with another file that this one names.
func (s *source) addAll(err error) {
	if problems, ok := err.(Errors); ok {
		s.problems = append(s.problems, problems...)
	}
}

// err returns the problems found, by line, or nil.
func (s *source) err() error {
	if len(s.problems) == 0 {
		return nil
	}
	slices.SortStableFunc(s.problems, func(a, b Problem) int {
		if a.File != b.File {
			return strings.Compare(b.File, s.file) - strings.Compare(a.File, s.file)
		}
		if a.Line != b.Line {
			return a.Line - b.Line
		}
		return a.Column - b.Column
	})
	if more := len(s.problems) - mostProblems; more > 0 {
		s.problems = append(s.problems[:mostProblems],
			Problem{File: s.file, Message: fmt.Sprintf("and %d more problems; mend these first", more)})
	}
	return s.problems
}

// excerptWidth is how many characters of a long line an excerpt shows.
const excerptWidth = 100

// excerpt shows the line and a mark under the column. Of a long line it shows the part around the column, and
// characters that would disturb a terminal are replaced.
func (s *source) excerpt(at place) string {
	if at.line < 1 || at.line > len(s.lines) {
		return ""
	}
	line := []rune(strings.TrimSuffix(s.lines[at.line-1], "\r"))
	column := min(max(at.column-1, 0), len(line))
	from, lead, trail := 0, "", ""
	if len(line) > excerptWidth {
		from = min(max(column-excerptWidth/2, 0), len(line)-excerptWidth)
		if from > 0 {
			lead = "…"
		}
		if from+excerptWidth < len(line) {
			trail = "…"
		}
		line = line[from : from+excerptWidth]
	}
	for i, c := range line {
		switch {
		case c == '\t':
			line[i] = ' '
		case !unicode.IsGraphic(c):
			line[i] = '·'
		}
	}
	margin := fmt.Sprintf("%5d | ", at.line)
	mark := strings.Repeat(" ", 5) + " | " + strings.Repeat(" ", len([]rune(lead))+column-from) + "^"
	return margin + lead + string(line) + trail + "\n" + mark
}
