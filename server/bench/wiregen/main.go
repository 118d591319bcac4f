// Command wiregen writes the page's side of the wire: the TypeScript types of all messages with their comments, a union for every
// Go type that is one of some words, and the decoder of the binary frame. With -class it writes that of a class, which takes what
// both speak of from the bench's.
package main

import (
	"bytes"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"maps"
	"os"
	"path/filepath"
	"reflect"
	"runtime"
	"slices"
	"strconv"
	"strings"

	"handrule/server/bench"
	"handrule/server/class"
)

func main() {
	write, arguments := TypeScript, os.Args[1:]
	if len(arguments) == 2 && arguments[0] == "-class" {
		write, arguments = ClassTypeScript, arguments[1:]
	}
	if len(arguments) != 1 {
		fmt.Fprintln(os.Stderr, "usage: wiregen [-class] FILE")
		os.Exit(2)
	}
	text, err := write()
	if err == nil {
		err = os.WriteFile(arguments[0], text, 0o644)
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

// TypeScript returns the whole file of a bench.
func TypeScript() ([]byte, error) {
	w := ofBench()
	return w.out.Bytes(), w.err
}

// ClassTypeScript returns the whole file of a class.
func ClassTypeScript() ([]byte, error) {
	w := &writer{seen: map[reflect.Type]bool{}, sources: map[string]*source{}, there: ofBench().seen, taken: map[string]bool{}}
	w.messages("ClassRequest", class.Requests)
	w.messages("ClassReply", class.Replies)
	head := "// Made from server/class/wire.go by `go generate ./server/class`. Do not edit.\nimport type { " +
		strings.Join(slices.Sorted(maps.Keys(w.taken)), ", ") + " } from \"../wire\";\n"
	return append([]byte(head), w.out.Bytes()...), w.err
}

func ofBench() *writer {
	w := &writer{seen: map[reflect.Type]bool{}, sources: map[string]*source{}}
	fmt.Fprintln(&w.out, "// Made from server/bench/wire.go and frame.go by `go generate ./server/bench`. Do not edit.")
	fmt.Fprintf(&w.out, "\nexport const WIRE_VERSION = %d;\n", bench.WireVersion)
	w.messages("Request", bench.Requests)
	w.messages("Reply", bench.Replies)
	w.frame()
	return w
}

type writer struct {
	out     bytes.Buffer
	seen    map[reflect.Type]bool
	there   map[reflect.Type]bool // in the other file, from which they are taken
	taken   map[string]bool
	sources map[string]*source // by package path
	err     error
}

// source is what cannot be seen of a package by reflection: its comments and constants.
type source struct {
	types  map[string]string            // comment by type
	fields map[string]string            // comment by type.field
	words  map[string][]string          // constants by type, in their order
	notes  map[string]map[string]string // comment by type and constant
}

// messages writes every type of the table and then the union of them, each with its "type" word.
func (w *writer) messages(union string, table map[string]any) {
	var words []string
	for word := range table {
		words = append(words, word)
	}
	slices.Sort(words)
	var members []string
	for _, word := range words {
		t := reflect.TypeOf(table[word])
		w.structure(t)
		members = append(members, fmt.Sprintf("({ type: %q } & %s)", word, t.Name()))
	}
	fmt.Fprintf(&w.out, "\nexport type %s =\n  | %s;\n", union, strings.Join(members, "\n  | "))
}

// known reports whether the type is written already, or is taken from the other file.
func (w *writer) known(t reflect.Type) bool {
	if w.there[t] {
		w.taken[t.Name()] = true
		return true
	}
	return w.seen[t]
}

func (w *writer) structure(t reflect.Type) {
	if w.known(t) {
		return
	}
	w.seen[t] = true
	src := w.source(t.PkgPath())
	var fields strings.Builder
	for i := range t.NumField() {
		f := t.Field(i)
		name, optional := strings.CutSuffix(f.Tag.Get("json"), ",omitempty")
		if optional {
			name += "?"
		}
		if comment := src.fields[t.Name()+"."+f.Name]; comment != "" {
			fmt.Fprintf(&fields, "  /** %s */\n", comment)
		}
		fmt.Fprintf(&fields, "  %s: %s;\n", name, w.name(f.Type))
	}
	w.comment(src.types[t.Name()])
	if fields.Len() == 0 {
		fmt.Fprintf(&w.out, "export type %s = Record<never, never>;\n", t.Name())
		return
	}
	fmt.Fprintf(&w.out, "export interface %s {\n%s}\n", t.Name(), fields.String())
}

func (w *writer) comment(text string) {
	fmt.Fprintln(&w.out)
	if text != "" {
		fmt.Fprintf(&w.out, "/** %s */\n", text)
	}
}

// name returns the TypeScript type for t, and writes what it needs first.
func (w *writer) name(t reflect.Type) string {
	switch t.Kind() {
	case reflect.String:
		if t.PkgPath() != "" {
			return w.union(t)
		}
		return "string"
	case reflect.Bool:
		return "boolean"
	case reflect.Int, reflect.Int64, reflect.Float64:
		return "number"
	case reflect.Pointer:
		return w.name(t.Elem()) + " | null"
	case reflect.Slice:
		return w.name(t.Elem()) + "[]"
	case reflect.Array:
		return "[" + strings.TrimSuffix(strings.Repeat(w.name(t.Elem())+", ", t.Len()), ", ") + "]"
	case reflect.Struct:
		w.structure(t)
		return t.Name()
	}
	w.fail("the wire has a type that TypeScript has no word for: %s", t)
	return "never"
}

// union writes the words that a Go type is one of, as its package's constants have them.
func (w *writer) union(t reflect.Type) string {
	if w.known(t) {
		return t.Name()
	}
	w.seen[t] = true
	src := w.source(t.PkgPath())
	words := src.words[t.Name()]
	if len(words) == 0 {
		w.fail("%s has no constants that it is one of", t)
	}
	var members strings.Builder
	for _, word := range words {
		fmt.Fprintf(&members, "\n  | %q", word)
		if note := src.notes[t.Name()][word]; note != "" {
			fmt.Fprintf(&members, " // %s", note)
		}
	}
	w.comment(src.types[t.Name()])
	fmt.Fprintf(&w.out, "export type %s =%s;\n", t.Name(), members.String())
	return t.Name()
}

// frame writes the frame's fields and their decoder.
func (w *writer) frame() {
	readers := map[string]string{"u8": "getUint8(at", "u32": "getUint32(at", "i16": "getInt16(at", "i32": "getInt32(at", "f32": "getFloat32(at"}
	sizes := map[string]int{"u8": 1, "u32": 4, "i16": 2, "i32": 4, "f32": 4}
	w.comment("A binary frame: the pose of the arm.")
	fmt.Fprintf(&w.out, "export interface PoseFrame {\n")
	for _, f := range bench.FrameLayout {
		kind := "number"
		if f.Count > 1 {
			kind = "number[]"
		}
		fmt.Fprintf(&w.out, "  %s: %s;\n", f.Name, kind)
	}
	fmt.Fprintf(&w.out, "  /** Of the orientation, in the form that the page reads it in. */\n  orientation: number[];\n}\n")
	for _, flag := range []struct {
		name string
		bit  int
	}{{"FRAME_NEAR", bench.FrameNear}, {"FRAME_CLEAR", bench.FrameClear}, {"FRAME_WAITING", bench.FrameWaiting}} {
		fmt.Fprintf(&w.out, "\nexport const %s = %d;", flag.name, flag.bit)
	}
	fmt.Fprintf(&w.out, "\n\nexport const SINGULAR_KINDS = [%s];\n", quoted(bench.SingularKinds))
	fmt.Fprintf(&w.out, "\n/** Reads a frame. */\nexport function decodeFrame(buffer: ArrayBuffer): PoseFrame {\n")
	fmt.Fprintf(&w.out, "  const view = new DataView(buffer);\n")
	fmt.Fprintf(&w.out, "  const many = (count: number, read: (i: number) => number): number[] => Array.from({ length: count }, (_, i) => read(i));\n  return {\n")
	at := 0
	for _, f := range bench.FrameLayout {
		little := ", true"
		if sizes[f.Type] == 1 {
			little = ""
		}
		read := func(at string) string {
			text := "view." + strings.Replace(readers[f.Type], "(at", "("+at, 1) + little + ")"
			if f.Unit != 1 {
				text += " * " + strconv.FormatFloat(f.Unit, 'g', -1, 64)
			}
			return text
		}
		if f.Count == 1 {
			fmt.Fprintf(&w.out, "    %s: %s,\n", f.Name, read(strconv.Itoa(at)))
		} else {
			fmt.Fprintf(&w.out, "    %s: many(%d, (i) => %s),\n", f.Name, f.Count, read(fmt.Sprintf("%d + %d * i", at, sizes[f.Type])))
		}
		at += f.Count * sizes[f.Type]
	}
	fmt.Fprintf(&w.out, "    orientation: many((buffer.byteLength - %d) / 4, (i) => view.getInt32(%d + 4 * i, true) * %s),\n  };\n}\n", at, at, strconv.FormatFloat(bench.OrientationUnit, 'g', -1, 64))
}

func quoted(words []string) string {
	var all []string
	for _, word := range words {
		all = append(all, strconv.Quote(word))
	}
	return strings.Join(all, ", ")
}

func (w *writer) fail(format string, args ...any) {
	if w.err == nil {
		w.err = fmt.Errorf(format, args...)
	}
}

// source reads the files of a package of this module.
func (w *writer) source(path string) *source {
	if src, there := w.sources[path]; there {
		return src
	}
	src := &source{types: map[string]string{}, fields: map[string]string{}, words: map[string][]string{}, notes: map[string]map[string]string{}}
	w.sources[path] = src
	_, here, _, _ := runtime.Caller(0)
	root := filepath.Join(filepath.Dir(here), "..", "..", "..")
	files := token.NewFileSet()
	names, _ := filepath.Glob(filepath.Join(root, strings.TrimPrefix(path, "handrule/"), "*.go"))
	for _, name := range names {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		file, err := parser.ParseFile(files, name, nil, parser.ParseComments)
		if err != nil {
			w.fail("%w", err)
			continue
		}
		for _, d := range file.Decls {
			if d, is := d.(*ast.GenDecl); is {
				src.declaration(d)
			}
		}
	}
	return src
}

func (src *source) declaration(d *ast.GenDecl) {
	for _, spec := range d.Specs {
		switch spec := spec.(type) {
		case *ast.TypeSpec:
			src.types[spec.Name.Name] = oneLine(d.Doc.Text() + spec.Doc.Text())
			structure, is := spec.Type.(*ast.StructType)
			if !is {
				continue
			}
			for _, f := range structure.Fields.List {
				for _, name := range f.Names {
					src.fields[spec.Name.Name+"."+name.Name] = oneLine(f.Doc.Text() + f.Comment.Text())
				}
			}
		case *ast.ValueSpec:
			kind, is := spec.Type.(*ast.Ident)
			if !is || d.Tok != token.CONST {
				continue
			}
			for _, value := range spec.Values {
				literal, is := value.(*ast.BasicLit)
				if !is || literal.Kind != token.STRING {
					continue
				}
				word, _ := strconv.Unquote(literal.Value)
				src.words[kind.Name] = append(src.words[kind.Name], word)
				if src.notes[kind.Name] == nil {
					src.notes[kind.Name] = map[string]string{}
				}
				src.notes[kind.Name][word] = oneLine(spec.Comment.Text())
			}
		}
	}
}

// oneLine joins the lines of a comment.
func oneLine(text string) string {
	return strings.ReplaceAll(strings.Join(strings.Fields(text), " "), "*/", "* /")
}
