// Package form reads YAML files into Go structs whose tags say what a file may hold, reports everything that is wrong at
// its file, line and column, and makes the JSON Schema of the same struct. It knows nothing of arms, cells and lessons.
//
// Lengths are in millimetres and angles in degrees in files, with the unit in the field's name, and in millimetres and
// radians in Go.
package form

import (
	"fmt"
	"reflect"
	"strconv"
	"strings"
	"sync"

	"github.com/goccy/go-yaml/ast"
	"gonum.org/v1/gonum/spatial/r3"
)

// A form is a Go struct that says what a block of a file may hold. Its fields carry three tags:
//
//	field:"position_mm,required"   the name in the file, and whether it must be there
//	about:"…"                      one sentence for the person who writes the file
//	most:"20"                      of a list: how many entries it may have
//	least:"0"                      of a list: how few; one, unless told otherwise
//	exactly:"an arm has six joints" of a list with as few as many entries: what to say where there are others
//	pattern:"^[a-z]+$"             of a text: what an editor checks it by; the reader checks it by itself
//	positive:"true"                of a list of numbers: each is more than 0, likewise
//	entry:"task frame"             of a list: what an entry is called in messages; the field's name without its s, unless told otherwise
//
// What a field's type allows is said in leaf.go. The reader below and the JSON Schema (schema.go) both work from the
// form, so they can not differ.

// Block is where the fields of a form stand in the file, for problems that are found after it was read. Every form
// embeds one.
type Block struct {
	src   *Source
	what  string // what the block describes, for messages: "stage 3, reach"
	start Place
	at    map[string]ast.Node
	right map[string]bool
}

// Given reports whether the file has that field.
func (b *Block) Given(field string) bool { _, ok := b.at[field]; return ok }

// On returns the block with its problems added to another source.
func (b Block) On(src *Source) Block {
	b.src = src
	return b
}

// Source returns the text that the block is in.
func (b *Block) Source() *Source { return b.src }

// Node returns the value of a field in the file; nil where it is not there.
func (b *Block) Node(field string) ast.Node { return b.at[field] }

// Note returns what is worth telling of the block and no error, at its start.
func (b *Block) Note(format string, args ...any) Problem {
	return b.src.problem(b.start, "note: "+format, args...)
}

// Renamed notes that the word of a field is another now.
func (b *Block) Renamed(field, old, now string) {
	b.src.Renamed(b.placeOf(field), b.FieldName(field), old, now)
}

// Has reports whether the file has that field and it could be read.
func (b *Block) Has(field string) bool { return b.right[field] }

// Add adds a problem at a field, or at the start of the block where the file does not have it. The message goes on after
// the field's name: "must be a list".
func (b *Block) Add(field, format string, args ...any) {
	b.src.Add(b.placeOf(field), b.FieldName(field)+" "+format, args...)
}

// Tell does the same with a message that is a sentence of its own.
func (b *Block) Tell(field, format string, args ...any) {
	b.src.Add(b.placeOf(field), b.FieldName(field)+": "+format, args...)
}

func (b *Block) placeOf(field string) Place {
	if n, ok := b.at[field]; ok {
		return PlaceOf(n)
	}
	return b.start
}

// FieldName is a field as messages name it, or the block itself where the field is "".
func (b *Block) FieldName(field string) string {
	if field == "" {
		return b.what
	}
	return b.what + ": " + field
}

// Direction reports a field that holds a vector without a direction; what is given need not be a unit vector. It is false
// where the field has no direction for whatever reason.
func (b *Block) Direction(field string, v r3.Vec) bool {
	if b.Has(field) && r3.Norm(v) < shortestAxis {
		b.Add(field, "must have a direction, such as [0, 0, 1]; this one points nowhere")
		return false
	}
	return b.Has(field)
}

// UniqueNames remembers on which line each name was given.
type UniqueNames map[Name]int

// Check reports a block's name where an earlier thing has the same.
func (u UniqueNames) Check(b *Block, name Name) {
	if !b.Has("name") {
		return
	}
	if line, taken := u[name]; taken {
		b.Add("name", "%s is taken already, on line %d; names must differ", Quoted(string(name)), line)
	} else {
		u[name] = b.placeOf("name").Line
	}
}

// Together reports the fields given of these, and a problem where there is more than one.
func (b *Block) Together(fields ...string) (given []string) {
	for _, field := range fields {
		if b.Given(field) {
			given = append(given, field)
		}
	}
	if len(given) > 1 {
		b.Add(given[1], "does not go with %s; give one of: %s", given[0], strings.Join(fields, ", "))
	}
	return given
}

// formField is one field of a form.
type formField struct {
	name     string
	required bool
	about    string
	least    int    // entries of a list
	most     int    // 0 where nothing is said
	exactly  string // what to say where there are not as many
	pattern  string // of a text
	positive bool   // of a list of numbers
	called   string // what an entry of a list is called; "" as the field without its s
	index    []int
	kind     reflect.Type
}

// knownFields are the fields of the forms that have been read or described: lists of formField by type. To read tags takes long.
var knownFields sync.Map

// formFields returns the fields of a form in their order, those of embedded forms among them. They are not to be changed.
func formFields(form reflect.Type) []formField {
	if known, ok := knownFields.Load(form); ok {
		return known.([]formField)
	}
	all := readTags(form)
	knownFields.Store(form, all)
	return all
}

func readTags(form reflect.Type) (all []formField) {
	for _, f := range reflect.VisibleFields(form) {
		tag, ok := f.Tag.Lookup("field")
		if !ok {
			continue
		}
		name, rule, _ := strings.Cut(tag, ",")
		field := formField{
			name: name, required: rule == "required", about: f.Tag.Get("about"), exactly: f.Tag.Get("exactly"), called: f.Tag.Get("entry"),
			pattern: f.Tag.Get("pattern"), positive: f.Tag.Get("positive") == "true",
			least: tagNumber(f.Tag, "least", 1), most: tagNumber(f.Tag, "most", 0), index: f.Index, kind: f.Type,
		}
		all = append(all, field)
	}
	return all
}

// namesOf returns the names of a form's fields: those that must be there, and the others.
func namesOf(all []formField) (required, optional []string) {
	for _, f := range all {
		if f.required {
			required = append(required, f.name)
		} else {
			optional = append(optional, f.name)
		}
	}
	return required, optional
}

// tagNumber reads a tag that holds a number.
func tagNumber(tag reflect.StructTag, key string, absent int) int {
	n, err := strconv.Atoi(tag.Get(key))
	if err != nil {
		return absent
	}
	return n
}

// Read reads a whole file, such as a lesson, into the form that into points to, with every problem at its place.
func (s *Source) Read(n ast.Node, what string, into any) {
	s.readForm(n, what, "", reflect.ValueOf(into).Elem())
}

// readForm reads a block into a form. What is said of its fields begins with what, of what is below it with below.
func (s *Source) readForm(n ast.Node, what, below string, into reflect.Value) {
	all := formFields(into.Type())
	required, optional := namesOf(all)
	values := s.fields(n, what, required, optional)
	b := into.FieldByName("Block").Addr().Interface().(*Block)
	*b = Block{src: s, what: what, start: PlaceOf(n), at: values, right: map[string]bool{}}
	for _, field := range all {
		if value, ok := values[field.name]; ok {
			before := len(s.Problems)
			s.readValue(value, what, below, field, into.FieldByIndex(field.index))
			b.right[field.name] = len(s.Problems) == before
		}
	}
}

func (s *Source) readValue(n ast.Node, what, below string, field formField, into reflect.Value) {
	name := what + ": " + field.name
	kind := into.Type()
	if leaf, ok := leaves[kind]; ok {
		leaf.read(s, n, name, into.Addr().Interface())
		return
	}
	switch kind.Kind() {
	case reflect.Pointer:
		into.Set(reflect.New(kind.Elem()))
		s.readValue(n, what, below, field, into.Elem())
	case reflect.Slice:
		s.readList(n, what, below, field, into)
	case reflect.Struct:
		s.readForm(n, below+field.name, below+field.name+", ", into)
	default:
		panic("no reader for " + kind.String())
	}
}

func (s *Source) readList(n ast.Node, what, below string, field formField, into reflect.Value) {
	list, ok := n.(*ast.SequenceNode)
	name := what + ": " + field.name
	if !ok {
		advice := ""
		if strings.HasPrefix(n.GetToken().Value, "-") {
			advice = "; a space goes after the dash of an entry"
		}
		s.Add(PlaceOf(n), "%s must be a list, not %s%s", name, kindOf(n), advice)
		return
	}
	values := list.Values
	switch count := len(values); {
	case field.exactly != "" && count != field.most:
		s.Add(PlaceOf(n), "%s, not %d", field.exactly, count)
		values = values[:min(count, field.most)]
	case count == 0 && field.least > 0:
		s.Add(PlaceOf(n), "%s must not be empty; leave it out", name)
		return
	case field.most > 0 && count > field.most && field.called != "":
		s.Add(PlaceOf(n), "there are %d %ss; %d are plenty", count, field.called, field.most)
		return
	case field.most > 0 && count > field.most:
		s.Add(PlaceOf(n), "%s has %d entries; %d are plenty", name, count, field.most)
		return
	}
	into.Set(reflect.MakeSlice(into.Type(), len(values), len(values)))
	for i, value := range values {
		entry := into.Index(i)
		if leaf, ok := leaves[entry.Type()]; ok {
			leaf.read(s, value, fmt.Sprintf("%s, entry %d,", name, i+1), entry.Addr().Interface())
			continue
		}
		what := below + entryName(field, i)
		s.readForm(value, what, what+", ", entry)
	}
}

// entryName names an entry of a list: "stage 3" for the third of a lesson's stages.
func entryName(field formField, i int) string {
	called := field.called
	if called == "" {
		called = strings.TrimSuffix(field.name, "s")
	}
	return fmt.Sprintf("%s %d", called, i+1)
}
