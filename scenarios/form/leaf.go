package form

import (
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"

	"github.com/goccy/go-yaml/ast"
	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
)

// The types a form's fields may have beside forms, pointers and lists. Lengths and angles are in millimetres and
// radians here, and in millimetres and degrees in the file.
type (
	Name          string  // of an arm, a joint, a thing
	Paragraph     string  // plain text of any number of lines
	Length        float64 // mm
	Tolerance     float64 // mm, more than 0
	Angle         float64 // rad
	TurnTolerance float64 // rad, more than 0 and at most π
	Number        float64 // of any unit
	Margin        float64 // of any unit, more than 0
	Factor        float64 // at least 1
	Count         int     // at least 1
	Version       int     // of a file's form
)

// leaf is how a type is read from a file and described in the JSON Schema.
type leaf struct {
	read   func(s *Source, n ast.Node, name string, into any)
	schema Object
}

// Object is a JSON object.
type Object map[string]any

// Bounds on what a file may say. They are far beyond any arm and keep slips of the pen, such as metres for
// millimetres times a thousand, out of the computation.
const (
	LargestLength = 1e5  // mm
	LargestAngle  = 3600 // degrees
	shortestAxis  = 1e-6

	longestName  = 40
	longestAbout = 2000
	LongestLine  = 200
	LongestProse = 16 << 10 // some 2,500 words; the time Markdown takes may grow with the square of its length
	largestCount = 1000
)

var leaves = map[reflect.Type]leaf{}

// AddLeaf makes a type one that a form's fields may have: with how it is described in a schema, and with how it is read. What
// read reports as wrong begins with the field's name, which it is given. It is called while the program starts.
func AddLeaf[T any](schema Object, read func(s *Source, n ast.Node, name string) (T, bool)) {
	leaves[reflect.TypeFor[T]()] = leaf{
		read: func(s *Source, n ast.Node, name string, into any) {
			if value, ok := read(s, n, name); ok {
				*into.(*T) = value
			}
		},
		schema: schema,
	}
}

// AddRange adds a type of numbers in that range, in the file's unit; unit is what one of those is in Go.
func AddRange[T ~float64](low, high, unit float64) {
	AddLeaf(Object{"type": "number", "minimum": low, "maximum": high}, func(s *Source, n ast.Node, name string) (T, bool) {
		x, ok := s.number(n, name)
		if ok && !(x >= low && x <= high) {
			s.Add(PlaceOf(n), "%s must be from %v to %v, not %v", name, low, high, x)
			return 0, false
		}
		return T(x * unit), ok
	})
}

// AddAbove adds a type of numbers more than 0, likewise.
func AddAbove[T ~float64](high, unit float64) {
	AddLeaf(Object{"type": "number", "exclusiveMinimum": 0, "maximum": high}, func(s *Source, n ast.Node, name string) (T, bool) {
		x, ok := s.number(n, name)
		if ok && !(x > 0 && x <= high) {
			s.Add(PlaceOf(n), "%s must be more than 0 and at most %v, not %v", name, high, x)
			return 0, false
		}
		return T(x * unit), ok
	})
}

// AddWhole adds a type of whole numbers. Where said is not empty it says in messages what the range is.
func AddWhole[T ~int](low, high int, said string) {
	if said == "" {
		said = fmt.Sprintf("from %d to %d", low, high)
	}
	AddLeaf(wholeSchema(low, high), func(s *Source, n ast.Node, name string) (T, bool) {
		x, ok := s.whole(n, name, low, high, said)
		return T(x), ok
	})
}

// wholeSchema describes a whole number in that range.
func wholeSchema(low, high int) Object {
	return Object{"type": "integer", "minimum": low, "maximum": high}
}

// whole reads a whole number in that range, which said tells in messages: "from 1 to 6".
func (s *Source) whole(n ast.Node, name string, low, high int, said string) (int, bool) {
	x, err := parseNumber(n)
	if err == nil && !(x == math.Trunc(x) && x >= float64(low) && x <= float64(high)) {
		err = fmt.Errorf("not %v", x)
	}
	if err != nil {
		s.Add(PlaceOf(n), "%s must be a whole number %s, %s", name, said, strings.TrimPrefix(err.Error(), suchAs))
		return 0, false
	}
	return int(x), true
}

// AddNumbers adds a type that is written as a list of numbers of these names, each within ±limit.
func AddNumbers[T any](names []string, limit float64, value func([]float64) T) {
	schema := Object{"type": "array", "minItems": len(names), "maxItems": len(names), "items": Object{"type": "number", "minimum": -limit, "maximum": limit}}
	AddLeaf(schema, func(s *Source, n ast.Node, name string) (none T, ok bool) {
		numbers, ok := s.numbers(n, name, names, limit)
		if !ok {
			return none, false
		}
		return value(numbers), true
	})
}

// addText adds a type of text of one line.
func addText[T ~string](longest int) {
	AddLeaf(Object{"type": "string", "minLength": 1, "maxLength": longest}, func(s *Source, n ast.Node, name string) (T, bool) {
		text, ok := s.Text(n, name, longest)
		return T(text), ok
	})
}

// AddWords adds a type that is one of these words.
func AddWords[T ~string](allowed ...T) { AddWordsOnce(nil, allowed...) }

// AddWordsOnce does the same for words that once were others; old says which each of those is now. They are read still,
// with a note.
func AddWordsOnce[T ~string](old map[T]T, allowed ...T) {
	words := WordsOf(allowed)
	AddLeaf(Object{"enum": words}, func(s *Source, n ast.Node, name string) (T, bool) {
		text, ok := s.Text(n, name, LongestLine)
		if now, renamed := old[T(text)]; ok && renamed {
			s.Renamed(PlaceOf(n), name, text, string(now))
			return now, true
		}
		if ok && !slices.Contains(words, text) {
			s.Add(PlaceOf(n), "%s is %s; %s", name, Quoted(text), UnknownWord(text, words))
			return "", false
		}
		return T(text), ok
	})
}

// NewestVersion is that of every form of file. A file that says none is of version 1.
const NewestVersion = 1

// UnknownVersion says what is wrong with a version that is none of those.
func UnknownVersion(version string) string {
	return fmt.Sprintf("the form's version is %s, and this handrule reads version %d; a newer one may read it", Quoted(version), NewestVersion)
}

// PerDegree is a degree in rad.
const PerDegree = math.Pi / 180

func init() {
	addText[string](LongestLine)
	addText[Name](longestName)
	AddLeaf(Object{"type": "string", "minLength": 1, "maxLength": longestAbout}, func(s *Source, n ast.Node, name string) (Paragraph, bool) {
		text, ok := s.Prose(n, name, longestAbout)
		return Paragraph(strings.TrimSpace(text)), ok
	})
	AddLeaf(Object{"type": "boolean"}, func(s *Source, n ast.Node, name string) (bool, bool) {
		if b, ok := n.(*ast.BoolNode); ok {
			return b.Value, true
		}
		s.Add(PlaceOf(n), "%s must be true or false, not %s", name, kindOf(n))
		return false, false
	})
	AddLeaf(wholeSchema(1, NewestVersion), func(s *Source, n ast.Node, name string) (Version, bool) {
		x, ok := s.number(n, name)
		if ok && !(x == math.Trunc(x) && x >= 1 && x <= NewestVersion) {
			s.Add(PlaceOf(n), "%s: %s", name, UnknownVersion(n.GetToken().Value))
			return 0, false
		}
		return Version(x), ok
	})
	AddRange[Length](-LargestLength, LargestLength, 1)
	AddRange[Number](-LargestLength, LargestLength, 1)
	AddRange[Angle](-LargestAngle, LargestAngle, PerDegree)
	AddRange[Factor](1, 100, 1)
	AddAbove[Tolerance](LargestLength, 1)
	AddAbove[Margin](LargestLength, 1)
	AddAbove[TurnTolerance](180, PerDegree)
	AddWhole[Count](1, largestCount, "")
	AddNumbers(xyz, LargestLength, func(v []float64) r3.Vec { return r3.Vec{X: v[0], Y: v[1], Z: v[2]} })
	AddNumbers(xyz, LargestAngle, func(deg []float64) kinematics.Rotation {
		return kinematics.FixedXYZ(deg[0]*PerDegree, deg[1]*PerDegree, deg[2]*PerDegree)
	})
	AddNumbers(sixJoints, LargestAngle, func(deg []float64) (q kinematics.Joints) {
		for i, angle := range deg {
			q[i] = kinematics.Radians(angle)
		}
		return q
	})
}

// RotationOrNone is what a file says of a rotation; absent is none.
func RotationOrNone(r *kinematics.Rotation) kinematics.Rotation {
	if r == nil {
		return kinematics.NoRotation
	}
	return *r
}

var sixJoints = []string{"j1", "j2", "j3", "j4", "j5", "j6"}
