package form

import (
	"fmt"
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

// MostProblems is how many problems of one file are told; a file with more is best mended in turns.
const MostProblems = 40

// Source is a file's text while it is read, and the problems found in it so far.
type Source struct {
	File     string
	Lines    []string
	shown    []int // the numbers of the lines that the YAML parser was shown
	Problems Errors
	found    Findings

	FilledAt map[Place]string // the drawn numbers that stand there now, in words
}

func newSource(file, text string) *Source {
	return &Source{File: file, Lines: strings.Split(text, "\n")}
}

// Again returns the same text with no problems found.
func (s *Source) Again() *Source {
	return &Source{File: s.File, Lines: s.Lines, shown: s.shown, FilledAt: s.FilledAt}
}

// Place is a line and column of a file, both from 1.
type Place struct{ Line, Column int }

// Add adds a problem at a place.
func (s *Source) Add(at Place, format string, args ...any) {
	s.Problems = append(s.Problems, s.problem(at, format, args...))
}

func (s *Source) problem(at Place, format string, args ...any) Problem {
	return Problem{
		File: s.File, Line: at.Line, Column: at.Column,
		Message: fmt.Sprintf(format, args...) + s.FilledAt[at],
		Excerpt: s.excerpt(at),
	}
}

// AddAll adds what is wrong with another file that this one names.
func (s *Source) AddAll(err error) {
	if problems, ok := err.(Errors); ok {
		s.Problems = append(s.Problems, problems...)
	}
}

// Err returns the problems found, by line, or nil.
func (s *Source) Err() error {
	if len(s.Problems) == 0 {
		return nil
	}
	slices.SortStableFunc(s.Problems, func(a, b Problem) int {
		if a.File != b.File {
			return strings.Compare(b.File, s.File) - strings.Compare(a.File, s.File)
		}
		if a.Line != b.Line {
			return a.Line - b.Line
		}
		return a.Column - b.Column
	})
	if more := len(s.Problems) - MostProblems; more > 0 {
		s.Problems = append(s.Problems[:MostProblems],
			Problem{File: s.File, Message: fmt.Sprintf("and %d more problems; mend these first", more)})
	}
	return s.Problems
}

// excerptWidth is how many characters of a long line an excerpt shows.
const excerptWidth = 100

// excerpt shows the line and a mark under the column. Of a long line it shows the part around the column, and
// characters that would disturb a terminal are replaced.
func (s *Source) excerpt(at Place) string {
	if at.Line < 1 || at.Line > len(s.Lines) {
		return ""
	}
	line := []rune(strings.TrimSuffix(s.Lines[at.Line-1], "\r"))
	column := min(max(at.Column-1, 0), len(line))
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
	margin := fmt.Sprintf("%5d | ", at.Line)
	mark := strings.Repeat(" ", 5) + " | " + strings.Repeat(" ", len([]rune(lead))+column-from) + "^"
	return margin + lead + string(line) + trail + "\n" + mark
}

// ProblemsOf are the problems in an error of reading a file.
func ProblemsOf(file string, err error) Errors {
	if problems, ok := err.(Errors); ok {
		return problems
	}
	return Errors{{File: file, Message: err.Error()}}
}

// Broken is a file with what is wrong with it.
type Broken struct {
	ID       string // the file's name without its ending
	Lesson   bool   // it looks like a lesson
	Readable bool   // it can be used; a lesson that cannot be passed
	Problems Errors
}
