// Package translation reads the texts of an arm or a cell in another language. They stand in a file of their own beside it,
// wren.es.yaml beside wren.yaml, which holds texts and no numbers: so a translation cannot change what the arm does.
package translation

import (
	"fmt"
	"maps"
	"path/filepath"
	"regexp"
	"slices"
	"strings"

	"github.com/goccy/go-yaml/ast"

	"handrule/scenarios/form"
	"handrule/words"
)

// Texts are those of an arm or a cell in one language.
type Texts struct {
	Of       string // the ID of what they are the texts of
	Language string // its code
	Name     string
	About    string
	Names    map[string]string // of tools and things: what the file calls one, and what it is called in the language
	block    form.Block
}

// Form is the form of a translation file.
type Form struct {
	form.Block
	Version form.Version   `field:"version" about:"Of this form: 1, which it is where nothing is said."`
	Name    form.Name      `field:"name,required" about:"What the arm or the cell is called in the language."`
	About   form.Paragraph `field:"about" about:"The same sentence or two as in the file, in the language."`
	Names   []nameForm     `field:"names" least:"0" most:"200" entry:"name" about:"What its tools and things are called in the language."`
}

// Schema is the JSON Schema of translation files.
func Schema() form.Object { return form.SchemaOf[Form]() }

type nameForm struct {
	form.Block
	Of form.Name `field:"of,required" about:"What the file calls it."`
	Is form.Name `field:"is,required" about:"What it is called in the language."`
}

var fileName = regexp.MustCompile(`^(.+)\.([a-z]{2,3})\.ya?ml$`)

// Split returns what a translation's file is the texts of, and the code of their language; false for any other file.
func Split(file string) (of, language string, ok bool) {
	m := fileName.FindStringSubmatch(filepath.Base(file))
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
	return of(s, root)
}

func of(s *form.Source, root ast.Node) (*Texts, error) {
	var f Form
	s.Read(root, "translation", &f)
	t := &Texts{Name: string(f.Name), About: string(f.About), Names: map[string]string{}, block: f.Block}
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

// All are the texts of an arm or a cell, by language.
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

// Calling returns the language with the names that these have for tools and things; of two for one the later.
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
