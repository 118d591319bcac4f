// Command wiregen writes the page's TypeScript types from the message types of package server.
package main

import (
	"bytes"
	"fmt"
	"os"
	"reflect"
	"slices"
	"strings"

	"handrule/kinematics/jog"
	"handrule/server"
)

func main() {
	if len(os.Args) != 2 {
		fmt.Fprintln(os.Stderr, "usage: wiregen FILE")
		os.Exit(2)
	}
	if err := os.WriteFile(os.Args[1], TypeScript(), 0o644); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

// TypeScript returns the whole file.
func TypeScript() []byte {
	w := &writer{seen: map[reflect.Type]bool{}}
	fmt.Fprintln(&w.out, "// Made from server/wire.go by `go generate ./server`. Do not edit.")
	fmt.Fprintf(&w.out, "\nexport type Frame = %s;\n", union(jog.Frames))
	fmt.Fprintf(&w.out, "\nexport type Reason = %s;\n", union(jog.Reasons))
	w.messages("Request", server.Requests)
	w.messages("Reply", server.Replies)
	return w.out.Bytes()
}

type writer struct {
	out  bytes.Buffer
	seen map[reflect.Type]bool
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

func (w *writer) structure(t reflect.Type) {
	if w.seen[t] {
		return
	}
	w.seen[t] = true
	var fields []string
	for i := range t.NumField() {
		f := t.Field(i)
		name, optional := strings.CutSuffix(f.Tag.Get("json"), ",omitempty")
		if optional {
			name += "?"
		}
		fields = append(fields, fmt.Sprintf("  %s: %s;\n", name, w.name(f.Type)))
	}
	if len(fields) == 0 {
		fmt.Fprintf(&w.out, "\nexport type %s = Record<never, never>;\n", t.Name())
		return
	}
	fmt.Fprintf(&w.out, "\nexport interface %s {\n%s}\n", t.Name(), strings.Join(fields, ""))
}

// name returns the TypeScript type for t, and writes the interfaces it needs first.
func (w *writer) name(t reflect.Type) string {
	switch t {
	case reflect.TypeFor[jog.Frame](), reflect.TypeFor[jog.Reason]():
		return t.Name()
	}
	switch t.Kind() {
	case reflect.String:
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
	panic("wire.go has a type that TypeScript has no word for: " + t.String())
}

func union[T ~string](words []T) string {
	var quoted []string
	for _, word := range words {
		quoted = append(quoted, fmt.Sprintf("%q", word))
	}
	return strings.Join(quoted, " | ")
}
