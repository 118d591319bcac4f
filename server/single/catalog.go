package single

import (
	"encoding/json"
	"fmt"
	"io/fs"
	"testing/fstest"

	"handrule/scenarios/armfile"
	"handrule/scenarios/cellfile"
	"handrule/scenarios/lesson"
	"handrule/scenarios/translation"
	"handrule/server/bench"
	"handrule/words"
)

// Catalog is what a site offers: arms and cells whole, and of the lessons what their list shows.
type Catalog struct {
	Arms    []Source                         `json:"arms"` // the first is on the bench at the start
	Cells   []Source                         `json:"cells"`
	Lessons map[string][]bench.LessonListing `json:"lessons"` // by language

	ProgramBytes int `json:"program_bytes"` // of the bench's program, unpacked
}

// Source is a file as it was written, with its translations.
type Source struct {
	File
	Lang  string `json:"lang,omitempty"` // of its texts; "" where nobody said
	Texts []File `json:"texts,omitempty"`
}

// File is the text of a file.
type File struct {
	Name string `json:"name"`
	Text string `json:"text"`
}

// LessonSource is a lesson file with what is read together with it.
type LessonSource struct {
	Source
	Beside   []File     `json:"beside,omitempty"` // arm and cell files that it names
	Rendered []Rendered `json:"rendered"`         // its Markdown, in every language
}

// Rendered is a text of a lesson before numbers are drawn, and its HTML.
type Rendered struct {
	Text string `json:"text"`
	HTML string `json:"html"`
}

// shelf is what a catalog offers, read.
type shelf struct {
	arms  []*armfile.Arm
	cells []*cellfile.Cell
}

// read reads the arms and cells of a catalog.
func (c *Catalog) read() (s shelf, err error) {
	for _, source := range c.Arms {
		arm, err := armfile.Parse(source.Name, []byte(source.Text))
		if err != nil {
			return s, err
		}
		if arm.Texts, err = source.texts(); err != nil {
			return s, err
		}
		s.arms = append(s.arms, arm)
	}
	for _, source := range c.Cells {
		cell, err := cellfile.Parse(source.Name, []byte(source.Text))
		if err != nil {
			return s, err
		}
		cell.Lang = source.Lang
		if cell.Texts, err = source.texts(); err != nil {
			return s, err
		}
		s.cells = append(s.cells, cell)
	}
	if len(s.arms) == 0 {
		return s, fmt.Errorf("the catalog offers no arm")
	}
	return s, nil
}

func (s *Source) texts() (translation.All, error) {
	all := translation.All{}
	for _, file := range s.Texts {
		t, err := translation.Parse(file.Name, []byte(file.Text))
		if err != nil {
			return nil, err
		}
		all[t.Language] = t
	}
	return all, nil
}

// readLesson reads a lesson with the arms and cells of the shelf.
func (s shelf) readLesson(text []byte) (*lesson.Lesson, error) {
	var source LessonSource
	if err := json.Unmarshal(text, &source); err != nil {
		return nil, fmt.Errorf("this is no lesson of this site: %w", err)
	}
	around := lesson.Around{
		Beside: source.folder(),
		Arm: func(name string) (*armfile.Arm, error) {
			return called(name, s.arms, func(a *armfile.Arm) string { return a.ID })
		},
		Cell: func(name string) (*cellfile.Cell, error) {
			return called(name, s.cells, func(c *cellfile.Cell) string { return c.ID })
		},
		Prose: source.prose(),
	}
	l, err := lesson.Parse(source.Name, []byte(source.Text), around, lesson.Deal{})
	if err != nil {
		return nil, err
	}
	l.Lang = source.Lang
	for _, file := range source.Texts {
		t, err := translation.Parse(file.Name, []byte(file.Text))
		if err != nil {
			return nil, err
		}
		if _, err := l.Take(t); err != nil {
			return nil, err
		}
	}
	return l, nil
}

// called returns the one of that name.
func called[T any](name string, all []T, id func(T) string) (none T, err error) {
	for _, one := range all {
		if id(one) == name {
			return one, nil
		}
	}
	return none, fmt.Errorf("this site has no %s", name)
}

// folder holds the files beside the lesson.
func (s *LessonSource) folder() fs.FS {
	beside := fstest.MapFS{}
	for _, file := range s.Beside {
		beside[file.Name] = &fstest.MapFile{Data: []byte(file.Text)}
	}
	return beside
}

// rendered is Markdown that was read when the site was written; all of it has been looked at then.
type rendered map[lesson.Prose]string

func (s *LessonSource) prose() rendered {
	r := rendered{}
	for _, text := range s.Rendered {
		r[lesson.Prose(text.Text)] = text.HTML
	}
	return r
}

func (r rendered) HTML(text lesson.Prose, _ string) string { return r[text] }

func (r rendered) Parts(lesson.Prose) []lesson.Part { return nil }

// offer is what the bench offers a page that speaks a language, with the lessons that have been read.
func (c *Catalog) offer(s shelf, in *words.Language, read []*lesson.Lesson) *bench.Offer {
	return &bench.Offer{Arms: s.arms, Cells: s.cells, Lessons: read, Listed: append([]bench.LessonListing{}, c.Lessons[in.Code]...)}
}
