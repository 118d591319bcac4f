package urdf

import (
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"unicode/utf8"

	"handrule/scenarios/form"
)

// What a file may hold: far beyond any arm, and read in a blink.
const (
	LargestFile  = 4 << 20
	mostElements = 50_000
	deepest      = 60
)

// element is an element of the file with what is in it.
type element struct {
	name     string
	at       form.Place
	given    map[string]string
	children []*element
}

// reader reads elements and adds what is wrong with them at their places.
type reader struct{ src *form.Source }

// add adds a problem at an element. More than are told are not kept.
func (r *reader) add(e *element, format string, args ...any) {
	if len(r.src.Problems) <= form.MostProblems {
		r.src.Add(e.at, "<%s>: "+format, append([]any{e.name}, args...)...)
	}
}

// read returns the root of the file. Entities are not expanded, and nothing that the file names is opened.
func (r *reader) read() *element {
	text := strings.Join(r.src.Lines, "\n")
	decoder := xml.NewDecoder(strings.NewReader(text))
	at := cursor{text: text, place: form.Place{Line: 1, Column: 1}}
	var root *element
	var open []*element
	for count := 0; ; {
		start := int(decoder.InputOffset())
		token, err := decoder.RawToken()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			r.src.Add(at.to(int(decoder.InputOffset())), "is not XML that can be read: %s", xmlReason(err))
			return nil
		}
		switch token := token.(type) {
		case xml.Directive:
			if strings.Contains(string(token), "ENTITY") {
				r.src.Add(at.to(start), "declares an entity; none is read. Write what it stands for where it is used")
				return nil
			}
		case xml.StartElement:
			count++
			e := &element{name: fullName(token.Name), at: at.to(start), given: make(map[string]string, len(token.Attr))}
			switch {
			case strings.HasPrefix(e.name, "xacro:"):
				r.add(e, "is a macro that was not expanded. Expand the macros into a plain file first, and import that one")
				return nil
			case count > mostElements:
				r.add(e, "is one of more than %d elements, which is more than any arm needs", mostElements)
				return nil
			case len(open) >= deepest:
				r.add(e, "is in %d other elements, which is deeper than any arm needs", deepest)
				return nil
			case root != nil && len(open) == 0:
				r.add(e, "stands after the end of <%s>; a file has one outermost element", root.name)
				return nil
			}
			for _, a := range token.Attr {
				name := fullName(a.Name)
				if _, twice := e.given[name]; twice {
					r.add(e, "%s is given twice", name)
					return nil
				}
				e.given[name] = a.Value
				if strings.Contains(a.Value, "${") {
					r.add(e, "%s is %s, a macro's formula that was not worked out. Expand the macros into a plain file first, and import that one", name, form.Quoted(a.Value))
					return nil
				}
			}
			if root == nil {
				root = e
			} else {
				parent := open[len(open)-1]
				parent.children = append(parent.children, e)
			}
			open = append(open, e)
		case xml.EndElement:
			if len(open) == 0 || open[len(open)-1].name != fullName(token.Name) {
				r.src.Add(at.to(start), "is not XML that can be read: </%s> ends an element that is not open", fullName(token.Name))
				return nil
			}
			open = open[:len(open)-1]
		}
	}
	switch {
	case root == nil:
		r.src.Add(form.Place{Line: 1, Column: 1}, "holds no element; a URDF file has a <robot>")
		return nil
	case len(open) > 0:
		r.add(open[len(open)-1], "does not end: the file stops before </%s>", open[len(open)-1].name)
		return nil
	}
	return root
}

func fullName(n xml.Name) string {
	if n.Space == "" {
		return n.Local
	}
	return n.Space + ":" + n.Local
}

// xmlReason is what the XML reader says, without its own count of lines.
func xmlReason(err error) string {
	var syntax *xml.SyntaxError
	switch {
	case errors.As(err, &syntax):
		return syntax.Msg
	case strings.Contains(err.Error(), "encoding"):
		return "it declares another encoding than UTF-8; save it as UTF-8"
	}
	return err.Error()
}

// cursor finds lines and columns of offsets that only grow.
type cursor struct {
	text   string
	offset int
	place  form.Place
}

func (c *cursor) to(offset int) form.Place {
	passed := c.text[c.offset:max(c.offset, min(offset, len(c.text)))]
	c.offset += len(passed)
	if n := strings.Count(passed, "\n"); n > 0 {
		c.place.Line += n
		c.place.Column = 1
		passed = passed[strings.LastIndexByte(passed, '\n')+1:]
	}
	c.place.Column += utf8.RuneCountInString(passed)
	return c.place
}

// child returns the first element of that name in e, or nil.
func (e *element) child(name string) *element {
	for _, c := range e.children {
		if c.name == name {
			return c
		}
	}
	return nil
}

// text returns an attribute that must be there and not be empty.
func (r *reader) text(e *element, name string) string {
	value := strings.TrimSpace(e.given[name])
	if value == "" {
		r.add(e, "has no %s", name)
	}
	return value
}

// numbers returns the numbers of an attribute, each times unit and at most limit in size; ok is false where it is not there or not right.
func (r *reader) numbers(e *element, name string, count int, unit, limit float64) (values []float64, ok bool) {
	given, there := e.given[name]
	if !there {
		return nil, false
	}
	words := strings.Fields(given)
	if len(words) != count {
		r.add(e, "%s must be %s, not %s", name, wanted(count), form.Quoted(given))
		return nil, false
	}
	for _, word := range words {
		x, err := strconv.ParseFloat(word, 64)
		if err != nil || math.IsNaN(x) || math.IsInf(x, 0) {
			r.add(e, "%s must be %s, not %s", name, wanted(count), form.Quoted(given))
			return nil, false
		}
		if !(math.Abs(x*unit) <= limit) {
			r.add(e, "%s is %s, which is more than any arm has; lengths are metres and angles radians here", name, form.Quoted(given))
			return nil, false
		}
		values = append(values, x*unit)
	}
	return values, true
}

func wanted(count int) string {
	if count == 1 {
		return "a number"
	}
	return fmt.Sprintf("%d numbers with spaces between them", count)
}
