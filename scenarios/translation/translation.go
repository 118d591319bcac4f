// Package translation reads the texts of an arm, a cell or a lesson in another language. They stand in a file of their own
// beside it, wren.es.yaml beside wren.yaml, which holds texts and no numbers: so a translation cannot change what the arm
// does, what is asked or what is right.
package translation

import (
	"bytes"
	"fmt"
	"maps"
	"path/filepath"
	"slices"
	"strings"

	"github.com/goccy/go-yaml/ast"

	"handrule/internal/pattern"
	"handrule/scenarios/form"
	"handrule/words"
)

// Texts are those of an arm, a cell or a lesson in one language.
type Texts struct {
	Of       string // the ID of what they are the texts of
	Language string // its code
	Name     string // of an arm or a cell
	About    string
	Names    map[string]string // of tools, things and task frames: what the file calls one, and what it is called in the language
	Title    string            // of a lesson, and so are the next
	Aims     []string
	Sources  []string
	Stages   []Stage
	block    form.Block
	text     []byte
}

// Stage are the texts of a stage of a lesson. What is left out is as in the lesson's file.
type Stage struct {
	form.Block
	Of       string   `field:"of,required" about:"The stage's title or its id in the lesson's file; its number where it has neither."`
	Title    string   `field:"title" about:"Its title in the language."`
	Text     Prose    `field:"text" about:"What to read, in Markdown. Pictures come from the lesson's own folder."`
	Question string   `field:"question" about:"What a choose task asks."`
	Options  []Option `field:"options" most:"8" about:"The options of a choose task, all of them in the order of the lesson's file."`
	Notice   []string `field:"notice" most:"250" about:"What there is to notice in a free task, all of it in the order of the lesson's file."`
	Hints    []string `field:"hints" most:"10" about:"The hints, all of them in the order of the lesson's file."`
	Explain  Prose    `field:"explain" about:"What to read once the task is done, in Markdown."`
}

// Option are the texts of an option to choose.
type Option struct {
	form.Block
	Text string `field:"text,required" about:"What it says."`
	Why  string `field:"why" about:"What to say when it was chosen."`
}

// Prose is Markdown of any number of lines.
type Prose string

func init() {
	form.AddLeaf(form.Object{"type": "string", "minLength": 1, "maxLength": form.LongestProse}, func(s *form.Source, n ast.Node, name string) (Prose, bool) {
		text, ok := s.Prose(n, name, form.LongestProse)
		return Prose(text), ok
	})
}

// Form is the form of a translation file.
type Form struct {
	form.Block
	Version form.Version   `field:"version" about:"Of this form: 1, which it is where nothing is said."`
	Name    form.Name      `field:"name" about:"What the arm or the cell is called in the language."`
	About   form.Paragraph `field:"about" about:"The same sentence or two as in the file, in the language."`
	Names   []nameForm     `field:"names" least:"0" most:"200" entry:"name" about:"What its tools, things and task frames are called in the language."`
	Title   string         `field:"title" about:"Of a lesson, instead of name: its title in the language."`
	Aims    []string       `field:"aims" most:"10" about:"Of a lesson: its aims, all of them in their order."`
	Sources []string       `field:"sources" most:"20" about:"Of a lesson: where its facts come from, all of it in the order of its file."`
	Stages  []Stage        `field:"stages" most:"60" about:"Of a lesson: the texts of its stages."`
}

// Schema is the JSON Schema of translation files.
func Schema() form.Object { return form.SchemaOf[Form]() }

type nameForm struct {
	form.Block
	Of form.Name `field:"of,required" about:"What the file calls it."`
	Is form.Name `field:"is,required" about:"What it is called in the language."`
}

var fileName = pattern.Of(`^(.+)\.([a-z]{2,3})\.ya?ml$`)

// Split returns what a translation's file is the texts of, and the code of their language; false for any other file.
func Split(file string) (of, language string, ok bool) {
	m := fileName.First(filepath.Base(file))
	if m == nil {
		return "", "", false
	}
	return m[1], m[2], true
}

// Parse reads the text of a translation file.
func Parse(file string, text []byte) (*Texts, error) {
	s, root, err := form.Document(file, text)
	if err != nil {
		return nil, err
	}
	return of(s, root, text)
}

// lessonFields are those of a lesson's translation, and thingFields those of an arm's or a cell's.
var lessonFields, thingFields = []string{"title", "aims", "sources", "stages"}, []string{"name", "about", "names"}

func of(s *form.Source, root ast.Node, text []byte) (*Texts, error) {
	var f Form
	s.Read(root, "translation", &f)
	t := &Texts{
		Name: string(f.Name), About: string(f.About), Names: map[string]string{}, block: f.Block,
		Title: f.Title, Aims: f.Aims, Sources: f.Sources, Stages: f.Stages, text: text,
	}
	if !f.Given("name") && !f.Given("title") {
		f.Add("", "needs a name, or a title where it is of a lesson")
	}
	for _, field := range thingFields {
		if t.OfLesson() && f.Given(field) {
			f.Add(field, "does not go with title; a lesson's texts are: %s", strings.Join(lessonFields, ", "))
		}
	}
	for _, field := range lessonFields[1:] {
		if !t.OfLesson() && f.Given(field) {
			f.Add(field, "goes with title, of a lesson")
		}
	}
	var known bool
	t.Of, t.Language, known = Split(s.File)
	switch codes := codes(); {
	case !known:
		f.Tell("name", "a translation's file is called like wren.es.yaml, by what it translates and its language")
	case !slices.Contains(codes, t.Language):
		f.Tell("name", "the file is of language %s; there is %s", form.Quoted(t.Language), strings.Join(codes, ", "))
	}
	for i := range f.Names {
		n := &f.Names[i]
		if _, twice := t.Names[string(n.Of)]; twice {
			n.Tell("of", "%s is translated twice", form.Quoted(string(n.Of)))
		}
		t.Names[string(n.Of)] = string(n.Is)
	}
	return t, s.Err()
}

func codes() (all []string) {
	for _, l := range words.Languages {
		all = append(all, l.Code)
	}
	return all
}

// Fits says what is wrong with the texts where they are of something that has these names: a name that nothing has, and
// in a note those that are not translated.
func (t *Texts) Fits(names []string) (notes []string, err error) {
	src := t.block.Source()
	for _, name := range slices.Sorted(maps.Keys(t.Names)) {
		if !slices.Contains(names, name) {
			t.block.Tell("names", "%s has nothing called %s; %s", t.Of, form.Quoted(name), form.UnknownWord(name, names))
		}
	}
	for _, name := range names {
		if t.Names[name] == "" {
			notes = append(notes, fmt.Sprintf("note: %s is not translated", form.Quoted(name)))
		}
	}
	return notes, src.Err()
}

// OfLesson reports whether these are the texts of a lesson.
func (t *Texts) OfLesson() bool { return t.block.Given("title") }

// Block is where the texts stand in their file.
func (t *Texts) Block() *form.Block { return &t.block }

// Same reports whether both come from the same text.
func (t *Texts) Same(other *Texts) bool { return bytes.Equal(t.text, other.text) }

// All are the texts of an arm, a cell or a lesson, by language.
type All map[string]*Texts

// NameIn is the name in a language, or as the file has it.
func (a All) NameIn(l *words.Language, name string) string {
	if t := a[l.Code]; t != nil {
		return t.Name
	}
	return name
}

// AboutIn is what is told of it in a language, or as the file tells it.
func (a All) AboutIn(l *words.Language, about string) string {
	if t := a[l.Code]; t != nil && t.About != "" {
		return t.About
	}
	return about
}

// Calling returns the language with the names that these have for tools, things and task frames; of two for one the later.
func Calling(l *words.Language, of ...All) *words.Language {
	names := map[string]string{}
	for _, a := range of {
		if t := a[l.Code]; t != nil {
			maps.Copy(names, t.Names)
		}
	}
	if len(names) == 0 && len(l.Names()) == 0 {
		return l
	}
	return l.Calling(names)
}
