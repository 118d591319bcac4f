package scenarios

import (
	"fmt"
	"reflect"
	"strconv"
	"strings"

	"github.com/goccy/go-yaml/ast"
)

// A form is a Go struct that says what a block of a file may hold. Its fields carry three tags:
//
//	field:"position_mm,required"   the name in the file, and whether it must be there
//	about:"…"                      one sentence for the person who writes the file
//	most:"20"                      of a list: how many entries it may have
//
// What a field's type allows is said in leaf.go. The reader below and the JSON Schema (schema.go) both work from the
// form, so they can not differ.

// Block is where the fields of a form stand in the file, for problems that are found after it was read. Every form
// embeds one.
type Block struct {
	src   *source
	what  string // what the block describes, for messages: "stage 3, reach"
	start place
	at    map[string]ast.Node
}

// Given reports whether the file has that field.
func (b *Block) Given(field string) bool { _, ok := b.at[field]; return ok }

// add adds a problem at a field, or at the start of the block where the file does not have it. The message goes on after
// the field's name: "must be a list".
func (b *Block) add(field, format string, args ...any) {
	b.src.add(b.placeOf(field), b.name(field)+" "+format, args...)
}

// tell does the same with a message that is a sentence of its own.
func (b *Block) tell(field, format string, args ...any) {
	b.src.add(b.placeOf(field), b.name(field)+": "+format, args...)
}

func (b *Block) placeOf(field string) place {
	if n, ok := b.at[field]; ok {
		return nodePlace(n)
	}
	return b.start
}

func (b *Block) name(field string) string {
	if field == "" {
		return b.what
	}
	return b.what + ": " + field
}

// together reports the fields given of these, and a problem where there is more than one.
func (b *Block) together(fields ...string) (given []string) {
	for _, field := range fields {
		if b.Given(field) {
			given = append(given, field)
		}
	}
	if len(given) > 1 {
		b.add(given[1], "does not go with %s; give one of: %s", given[0], strings.Join(fields, ", "))
	}
	return given
}

// formField is one field of a form.
type formField struct {
	name     string
	required bool
	about    string
	least    int // entries of a list; 0 where nothing is said
	most     int
	index    []int
	kind     reflect.Type
}

// formFields returns the fields of a form in their order, those of embedded forms among them.
func formFields(form reflect.Type) (all []formField) {
	for _, f := range reflect.VisibleFields(form) {
		tag, ok := f.Tag.Lookup("field")
		if !ok {
			continue
		}
		name, rule, _ := strings.Cut(tag, ",")
		field := formField{name: name, required: rule == "required", about: f.Tag.Get("about"), index: f.Index, kind: f.Type}
		field.least, field.most = tagNumber(f.Tag, "least"), tagNumber(f.Tag, "most")
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

// formNames does the same for a form.
func formNames[T any]() (required, optional []string) {
	return namesOf(formFields(reflect.TypeFor[T]()))
}

// tagNumber reads a tag that holds a number; absent is 0.
func tagNumber(tag reflect.StructTag, key string) int {
	n, _ := strconv.Atoi(tag.Get(key))
	return n
}

// read reads a block of a file into the form that into points to, with every problem at its place.
func (s *source) read(n ast.Node, what string, into any) {
	s.readForm(n, what, reflect.ValueOf(into).Elem())
}

func (s *source) readForm(n ast.Node, what string, into reflect.Value) {
	all := formFields(into.Type())
	required, optional := namesOf(all)
	f := s.fields(n, what, required, optional)
	b := into.FieldByName("Block").Addr().Interface().(*Block)
	*b = Block{src: s, what: what, start: nodePlace(n), at: f.values}
	for _, field := range all {
		if value, ok := f.values[field.name]; ok {
			s.readValue(value, what, field, into.FieldByIndex(field.index))
		}
	}
}

func (s *source) readValue(n ast.Node, what string, field formField, into reflect.Value) {
	name := what + ": " + field.name
	kind := into.Type()
	if leaf, ok := leaves[kind]; ok {
		leaf.read(s, n, name, into.Addr().Interface())
		return
	}
	switch kind.Kind() {
	case reflect.Pointer:
		into.Set(reflect.New(kind.Elem()))
		s.readValue(n, what, field, into.Elem())
	case reflect.Slice:
		s.readList(n, what, field, into)
	case reflect.Struct:
		s.readForm(n, what+", "+field.name, into)
	default:
		panic("no reader for " + kind.String())
	}
}

func (s *source) readList(n ast.Node, what string, field formField, into reflect.Value) {
	list, ok := n.(*ast.SequenceNode)
	name := what + ": " + field.name
	switch {
	case !ok && strings.HasPrefix(n.GetToken().Value, "-"):
		s.add(nodePlace(n), "%s must be a list, not %s; a space goes after the dash of an entry", name, kindOf(n))
		return
	case !ok:
		s.add(nodePlace(n), "%s must be a list, not %s", name, kindOf(n))
		return
	case len(list.Values) == 0:
		s.add(nodePlace(n), "%s must not be empty; leave it out", name)
		return
	case field.most > 0 && len(list.Values) > field.most:
		s.add(nodePlace(n), "%s has %d entries; %d are plenty", name, len(list.Values), field.most)
		return
	}
	into.Set(reflect.MakeSlice(into.Type(), len(list.Values), len(list.Values)))
	for i, value := range list.Values {
		entry := into.Index(i)
		if leaf, ok := leaves[entry.Type()]; ok {
			leaf.read(s, value, fmt.Sprintf("%s, entry %d,", name, i+1), entry.Addr().Interface())
			continue
		}
		s.readForm(value, entryName(what, field.name, i), entry)
	}
}

// entryName names an entry of a list: "stage 3" for the third of a lesson's stages.
func entryName(what, field string, i int) string {
	name := fmt.Sprintf("%s %d", strings.TrimSuffix(field, "s"), i+1)
	if what == "lesson" {
		return name
	}
	return what + ", " + name
}
