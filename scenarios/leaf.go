package scenarios

import (
	"math"
	"reflect"
	"slices"
	"strings"

	"github.com/goccy/go-yaml/ast"
	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/kinematics/jog"
)

// The types a form's fields may have beside forms, pointers and lists. Lengths and angles are in millimetres and
// radians here, and in millimetres and degrees in the file.
type (
	Prose         string  // Markdown of any number of lines
	Length        float64 // mm
	Tolerance     float64 // mm, more than 0
	Angle         float64 // rad
	TurnTolerance float64 // rad, more than 0 and at most π
	Number        float64 // of any unit
	Margin        float64 // of any unit, more than 0
	Factor        float64 // at least 1
	Count         int     // at least 1
	Whole         int     // any whole number
	JointIndex    int     // 0…5, written J1…J6
	Jogs          []jog.Jog
	FrameName     string // "base", "world" or "task NAME"
)

// leaf is how a type is read from a file and described in the JSON Schema.
type leaf struct {
	read   func(s *source, n ast.Node, name string, into any)
	schema object
}

// object is a JSON object.
type object map[string]any

const (
	longestLine  = 200
	largestCount = 1000
	mostInRow    = 40 // jogs of one field
)

var leaves = map[reflect.Type]leaf{}

func addLeaf[T any](schema object, read func(s *source, n ast.Node, name string) (T, bool)) {
	leaves[reflect.TypeFor[T]()] = leaf{
		read: func(s *source, n ast.Node, name string, into any) {
			if value, ok := read(s, n, name); ok {
				*into.(*T) = value
			}
		},
		schema: schema,
	}
}

// one is the fields of a value that stands alone, for the readers that want a field.
func (s *source) one(n ast.Node, name string) (f fields, field string) {
	what, field := name, ""
	if at := strings.LastIndex(name, ": "); at >= 0 {
		what, field = name[:at], name[at+2:]
	}
	return fields{source: s, what: what, values: map[string]ast.Node{field: n}}, field
}

// numberBetween returns a reader of numbers in that range.
func numberBetween[T ~float64](low, high float64, unit float64) func(s *source, n ast.Node, name string) (T, bool) {
	return func(s *source, n ast.Node, name string) (T, bool) {
		x, ok := s.number(n, name)
		if ok && !(x >= low && x <= high) {
			s.add(nodePlace(n), "%s must be from %v to %v, not %v", name, low, high, x)
			return 0, false
		}
		return T(x * unit), ok
	}
}

// numberAbove returns a reader of numbers more than 0.
func numberAbove[T ~float64](high float64, unit float64) func(s *source, n ast.Node, name string) (T, bool) {
	return func(s *source, n ast.Node, name string) (T, bool) {
		f, field := s.one(n, name)
		x, ok := f.positive(field, high)
		return T(x * unit), ok
	}
}

func whole[T ~int](low, high float64) func(s *source, n ast.Node, name string) (T, bool) {
	return func(s *source, n ast.Node, name string) (T, bool) {
		x, ok := s.number(n, name)
		if ok && !(x == math.Trunc(x) && x >= low && x <= high) {
			s.add(nodePlace(n), "%s must be a whole number from %v to %v, not %v", name, low, high, x)
			return 0, false
		}
		return T(x), ok
	}
}

// word returns a reader of one of these words.
func wordOf[T ~string](allowed ...T) (object, func(s *source, n ast.Node, name string) (T, bool)) {
	var words []string
	for _, w := range allowed {
		words = append(words, string(w))
	}
	return object{"enum": words}, func(s *source, n ast.Node, name string) (T, bool) {
		f, field := s.one(n, name)
		text, ok := f.text(field, longestLine)
		if ok && !slices.Contains(words, text) {
			s.add(nodePlace(n), "%s is %s; %s", name, quoted(text), unknownWord(text, words))
			return "", false
		}
		return T(text), ok
	}
}

func addWords[T ~string](allowed ...T) { addLeaf(wordOf(allowed...)) }

func numbersSchema(n int, limit float64) object {
	return object{"type": "array", "minItems": n, "maxItems": n, "items": object{"type": "number", "minimum": -limit, "maximum": limit}}
}

// number schemas
func rangeSchema(low, high float64) object {
	return object{"type": "number", "minimum": low, "maximum": high}
}

func aboveSchema(high float64) object {
	return object{"type": "number", "exclusiveMinimum": 0, "maximum": high}
}

func wholeSchema(low, high int) object {
	return object{"type": "integer", "minimum": low, "maximum": high}
}

const perDegree = math.Pi / 180

func init() {
	addLeaf(object{"type": "string", "minLength": 1, "maxLength": longestLine}, func(s *source, n ast.Node, name string) (string, bool) {
		f, field := s.one(n, name)
		return f.text(field, longestLine)
	})
	addLeaf(object{"type": "string", "minLength": 1, "maxLength": longestText}, func(s *source, n ast.Node, name string) (Prose, bool) {
		f, field := s.one(n, name)
		text, ok := f.prose(field, longestText)
		if ok {
			s.checkMarkdown(n, name, text)
		}
		return Prose(text), ok
	})
	addLeaf(object{"type": "boolean"}, func(s *source, n ast.Node, name string) (bool, bool) {
		if b, ok := n.(*ast.BoolNode); ok {
			return b.Value, true
		}
		s.add(nodePlace(n), "%s must be true or false, not %s", name, kindOf(n))
		return false, false
	})
	addLeaf(rangeSchema(-largestLength, largestLength), numberBetween[Length](-largestLength, largestLength, 1))
	addLeaf(rangeSchema(-largestAngle, largestAngle), numberBetween[Angle](-largestAngle, largestAngle, perDegree))
	addLeaf(rangeSchema(-largestLength, largestLength), numberBetween[Number](-largestLength, largestLength, 1))
	addLeaf(rangeSchema(1, 100), numberBetween[Factor](1, 100, 1))
	addLeaf(aboveSchema(largestLength), numberAbove[Tolerance](largestLength, 1))
	addLeaf(aboveSchema(largestLength), numberAbove[Margin](largestLength, 1))
	addLeaf(aboveSchema(180), numberAbove[TurnTolerance](180, perDegree))
	addLeaf(wholeSchema(1, largestCount), whole[Count](1, largestCount))
	addLeaf(wholeSchema(-largestCount, largestCount), whole[Whole](-largestCount, largestCount))
	addLeaf(numbersSchema(3, largestLength), func(s *source, n ast.Node, name string) (r3.Vec, bool) {
		f, field := s.one(n, name)
		return f.vector(field, largestLength)
	})
	addLeaf(numbersSchema(3, largestAngle), func(s *source, n ast.Node, name string) (kinematics.Rotation, bool) {
		f, field := s.one(n, name)
		v, ok := f.vector(field, largestAngle)
		return kinematics.FixedXYZ(v.X*perDegree, v.Y*perDegree, v.Z*perDegree), ok
	})
	addLeaf(numbersSchema(6, largestAngle), func(s *source, n ast.Node, name string) (q kinematics.Joints, ok bool) {
		f, field := s.one(n, name)
		degrees, ok := f.numbers(field, sixJoints, largestAngle)
		for i, angle := range degrees {
			q[i] = kinematics.Radians(angle)
		}
		return q, ok
	})
	addLeaf(object{"enum": jogJoint}, func(s *source, n ast.Node, name string) (JointIndex, bool) {
		f, field := s.one(n, name)
		text, ok := f.text(field, longestLine)
		joint := slices.Index(jogJoint, text)
		if ok && joint < 0 {
			s.add(nodePlace(n), "%s is %s; %s", name, quoted(text), unknownWord(text, jogJoint))
		}
		return JointIndex(max(joint, 0)), ok && joint >= 0
	})
	oneJog := object{"type": "string", "description": "A line of a jog file, such as: base x +100"}
	addLeaf(object{"anyOf": []object{oneJog, {"type": "array", "items": oneJog, "minItems": 1, "maxItems": mostInRow}}}, readJogField)
	addLeaf(object{"type": "string", "pattern": "^(" + strings.Join(framePhrases(" .+"), "|") + ")$"}, readFrameName)
	addLeaf(object{"type": "string", "description": "A direction, such as: base y +"}, readDirection)
	hint := object{"type": "string", "minLength": 1, "maxLength": longestLine}
	addLeaf(object{"anyOf": []object{hint, {
		"type": "object", "properties": object{"after": wholeSchema(1, largestCount), "text": hint},
		"required": []string{"after", "text"}, "additionalProperties": false,
	}}}, readHint)
	addLeaf(object{"anyOf": []object{{"type": "string"}, {"type": "object"}}}, func(_ *source, n ast.Node, _ string) (CellField, bool) {
		return CellField{n}, true
	})
	addWords(jog.Frames...)
	addWords(Overlays...)
	addWords(Measures...)
	addWords(Asks...)
	addWords(Points...)
	addWords(Units...)
	addWords(Events...)
	addWords(shoulderWords...)
	addWords(elbowWords...)
	addWords(wristWords...)
}

// readJogField reads one jog, or a list of them, written as in a jog file.
func readJogField(s *source, n ast.Node, name string) (Jogs, bool) {
	nodes := []ast.Node{n}
	if list, ok := n.(*ast.SequenceNode); ok {
		nodes = list.Values
	}
	if len(nodes) == 0 || len(nodes) > mostInRow {
		s.add(nodePlace(n), "%s must be 1 to %d jogs, not %d", name, mostInRow, len(nodes))
		return nil, false
	}
	var jogs Jogs
	for _, n := range nodes {
		f, field := s.one(n, name)
		text, ok := f.text(field, longestJogLine)
		if !ok {
			return nil, false
		}
		read, err := ReadJogs("", []byte(text))
		if problems, bad := err.(Errors); bad {
			s.add(nodePlace(n), "%s: %s", name, problems[0].Message)
			return nil, false
		}
		for _, step := range read {
			if step.Held() || step.LetGo > 0 || step.Until {
				s.add(nodePlace(n), "%s must be steps with their amounts, such as base y +60, not %s", name, quoted(text))
				return nil, false
			}
			jogs = append(jogs, step.Jog)
		}
	}
	return jogs, true
}

// framePhrases are what names a frame that positions can be read in; name stands for the name of one that has its own.
func framePhrases(name string) (phrases []string) {
	for _, f := range jog.FramesWith(func(f jog.FrameTraits) bool { return f.Fixed }) {
		phrase := string(f)
		if f.Traits().Named {
			phrase += name
		}
		phrases = append(phrases, phrase)
	}
	return phrases
}

func readFrameName(s *source, n ast.Node, name string) (FrameName, bool) {
	f, field := s.one(n, name)
	text, ok := f.text(field, longestLine)
	if !ok {
		return "", false
	}
	word, task, _ := strings.Cut(text, " ")
	frame := jog.Frame(word).Traits()
	switch {
	case frame.Fixed && (frame.Named && isWord(task) || !frame.Named && text == word):
		return FrameName(text), true
	case isWord(text) && !frame.Fixed && nearest(text, framePhrases("")) == "":
		s.add(nodePlace(n), "%s is %s; it is %s or, for a task frame of that name: task %s", name, quoted(text),
			strings.Join(wordsOf(jog.FramesWith(func(f jog.FrameTraits) bool { return f.Fixed && !f.Named })), ", "), text)
	default:
		s.add(nodePlace(n), "%s is %s; %s", name, quoted(text), unknownWord(text, framePhrases(" NAME")))
	}
	return "", false
}

// readDirection reads a direction, such as "base y +" or "joint J3 -", which is a jog without an amount.
func readDirection(s *source, n ast.Node, name string) (jog.Direction, bool) {
	f, field := s.one(n, name)
	text, ok := f.text(field, longestJogLine)
	if !ok {
		return jog.Direction{}, false
	}
	jogs, err := ReadJogs("", []byte(text+"1"))
	sign := strings.TrimSpace(text)
	if err != nil || len(jogs) != 1 || !strings.HasSuffix(sign, "+") && !strings.HasSuffix(sign, "-") {
		s.add(nodePlace(n), "%s must be a direction such as base y + or joint J3 -, not %s", name, quoted(text))
		return jog.Direction{}, false
	}
	return jogs[0].Direction, true
}

// readHint reads a hint: its text alone, or with the number of failed tries after which it appears.
func readHint(s *source, n ast.Node, name string) (h Hint, ok bool) {
	if _, block := mapping(n); !block {
		f, field := s.one(n, name)
		h.Text, ok = f.text(field, longestLine)
		return h, ok
	}
	if !hasField(n, "after", "text") {
		s.add(nodePlace(n), "%s must be text, or after and text; %s", name, quoteColon)
		return h, false
	}
	name = strings.TrimSuffix(name, ",")
	f := s.fields(n, name, []string{"after", "text"}, nil)
	h.Text, ok = f.text("text", longestLine)
	if after, given := f.values["after"]; given {
		h.After, ok = whole[int](1, largestCount)(s, after, name+": after")
	}
	return h, ok
}
