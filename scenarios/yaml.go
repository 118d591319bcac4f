package scenarios

import (
	"errors"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/lexer"
	"github.com/goccy/go-yaml/parser"
	"github.com/goccy/go-yaml/token"
	"gonum.org/v1/gonum/spatial/r3"
)

// Bounds on what is handed to the YAML parser, whose time and memory grow with the square of these.
const (
	deepest    = 16   // brackets inside brackets, dashes after dashes
	mostFields = 4000 // "name: value" pairs in a file
)

// document returns the text of a file as a source, and the one document in it.
func document(file string, text []byte) (*source, ast.Node, error) {
	s, err := plainText(file, text)
	if err != nil {
		return nil, nil, err
	}
	root := s.parseYAML()
	if root == nil {
		return nil, nil, s.err()
	}
	return s, root, nil
}

// What to do with texts that YAML takes for something else.
const (
	quoteColon = "put a text that has a colon into quotes, or on lines of its own after text: |"
	quoteComma = "a text that has a comma goes into quotes, and several values into [ ]"
)

var (
	noSpaceAfterColon = regexp.MustCompile(`^\s*(?:- )*[a-z_]+:[^\s]`)
	textAfterBracket  = regexp.MustCompile(`: +[\[{][^\]}]*[\]}] +[^#,\]}\s]`)
	startOfValue      = regexp.MustCompile(`^\s*(?:- +)*(?:[A-Za-z_]+: +)?(\S)`)
)

// marks are those that mean something to YAML where a text begins.
const marks = "'\"*&!|>?@`%-"

// quoteMark is the advice on a text that begins with one of those.
func quoteMark(mark string) string {
	if mark == "'" || mark == `"` {
		return fmt.Sprintf("a text that begins with %s ends at the next one; put all of it between quotes of the other kind, or on lines of its own after text: |", mark)
	}
	return fmt.Sprintf("a text that begins with %s goes into quotes as a whole, or on lines of its own after text: |", mark)
}

// yamlAdvice is what to look for after the parser's message, which speaks to programmers, about a line of the file.
func yamlAdvice(message, line string) string {
	start := startOfValue.FindStringSubmatch(line)
	switch {
	case strings.Contains(message, "\t"), strings.Contains(message, "a tab character"):
		return "; indent with spaces and not with tabs"
	case noSpaceAfterColon.MatchString(line):
		return "; a space goes after a field's colon"
	case textAfterBracket.MatchString(line):
		return "; " + quoteMark("[ or {")
	case start != nil && strings.Contains(marks, start[1]):
		return "; " + quoteMark(start[1])
	case strings.Contains(message, "mapping value is not allowed"):
		return "; " + quoteColon
	case strings.Contains(message, "not allowed in this context"), strings.Contains(message, "non-map value"):
		return "; look at the indentation: the fields of a block stand in one column, and a text after | stands further in"
	}
	return ""
}

// fieldAdvice is what to do about an unknown field of a block. Within { } one without a value is what comes after a comma.
func (s *source) fieldAdvice(block ast.Node, entry *ast.MappingValueNode, allowed []string) string {
	name := entry.Key.GetToken().Value
	_, empty := entry.Value.(*ast.NullNode)
	inside, ok := block.(*ast.MappingNode)
	switch {
	case name != "" && strings.Trim(name, "0123456789") == "":
		return "a decimal number is written with a point, such as 0.5"
	case ok && inside.IsFlowStyle && empty:
		return quoteComma
	}
	return unknownWord(name, allowed)
}

// line is the text of the line at that place.
func (s *source) line(at place) string {
	if at.line < 1 || at.line > len(s.lines) {
		return ""
	}
	return s.lines[at.line-1]
}

// parseYAML returns the one document of the file, or nil after adding a problem. Anchors, aliases, tags and merge keys are
// refused, so nothing in a file stands for more than what is written there.
func (s *source) parseYAML() ast.Node {
	tokens := lexer.Tokenize(strings.Join(s.lines, "\n"))
	if !s.acceptTokens(tokens) {
		return nil
	}
	file, err := parser.Parse(tokens, 0, parser.AllowDuplicateMapKey())
	if err != nil {
		// The parser's own error text may be as long as the file squared, so only its message is used.
		var syntax yaml.Error
		if errors.As(err, &syntax) && syntax.GetToken() != nil {
			s.add(tokenPlace(syntax.GetToken()), "cannot be read as YAML: %s%s", syntax.GetMessage(), yamlAdvice(syntax.GetMessage(), s.line(tokenPlace(syntax.GetToken()))))
		} else {
			s.add(place{1, 1}, "cannot be read as YAML")
		}
		return nil
	}
	var body ast.Node
	for _, doc := range file.Docs {
		switch {
		case doc.Body == nil:
		case body != nil:
			s.add(nodePlace(doc.Body), "a second document starts here; a file holds one")
			return nil
		default:
			body = doc.Body
		}
	}
	if body == nil {
		s.add(place{1, 1}, "holds nothing but comments")
	}
	return body
}

func (s *source) acceptTokens(tokens token.Tokens) bool {
	depth, dashes, fields := 0, 0, 0
	for _, t := range tokens {
		refused := ""
		switch t.Type {
		case token.AnchorType, token.AliasType, token.MergeKeyType:
			refused = "anchors, aliases and merge keys (&, *, <<) are not used here; write the value out, and " + quoteMark("* or &")
		case token.TagType:
			refused = "tags (!) are not used here; write the plain value, and " + quoteMark("!")
		case token.DirectiveType:
			refused = "directives (%) are not used here; leave the line out"
		case token.MappingKeyType:
			refused = "keys marked with ? are not used here; write name: value, and " + quoteMark("?")
		case token.SequenceStartType, token.MappingStartType:
			depth++
		case token.SequenceEndType, token.MappingEndType:
			depth--
		case token.MappingValueType:
			fields++
		}
		if t.Type == token.SequenceEntryType {
			dashes++
		} else {
			dashes = 0
		}
		if depth > deepest || dashes > deepest {
			refused = "is nested too deep"
		}
		if fields > mostFields {
			refused = fmt.Sprintf("has too many fields; %d are plenty", mostFields)
		}
		if refused != "" {
			s.add(tokenPlace(t), "%s", refused)
			return false
		}
	}
	return true
}

func tokenPlace(t *token.Token) place { return place{t.Position.Line, t.Position.Column} }

// nodePlace is where a node starts; for a block of fields that is its first key.
func nodePlace(n ast.Node) place {
	switch n := n.(type) {
	case *ast.MappingNode:
		if !n.IsFlowStyle && len(n.Values) > 0 {
			return nodePlace(n.Values[0].Key)
		}
	case *ast.MappingValueNode:
		return nodePlace(n.Key)
	}
	if t := n.GetToken(); t != nil {
		return tokenPlace(t)
	}
	return place{1, 1}
}

// kindOf says in plain words what a node is.
func kindOf(n ast.Node) string {
	switch n := n.(type) {
	case nil, *ast.NullNode:
		return "nothing"
	case *ast.MappingNode, *ast.MappingValueNode:
		return "a block of fields"
	case *ast.SequenceNode:
		return "a list"
	case *ast.NanNode, *ast.InfinityNode:
		return n.GetToken().Value
	case *ast.LiteralNode:
		return "a block of text"
	default:
		return quoted(n.GetToken().Value)
	}
}

// fields are the named values of a mapping.
type fields struct {
	*source
	what   string // what the mapping describes, for messages: "joint 3"
	start  place  // where it starts
	values map[string]ast.Node
}

// mapping returns the "name: value" pairs of a mapping, or false where n is none.
func mapping(n ast.Node) ([]*ast.MappingValueNode, bool) {
	switch n := n.(type) {
	case *ast.MappingNode:
		return n.Values, true
	case *ast.MappingValueNode:
		return []*ast.MappingValueNode{n}, true
	}
	return nil, false
}

// hasField reports whether n is a mapping with one of these fields.
func hasField(n ast.Node, names ...string) bool {
	entries, _ := mapping(n)
	return slices.ContainsFunc(entries, func(e *ast.MappingValueNode) bool {
		return slices.Contains(names, e.Key.GetToken().Value)
	})
}

// fields reads a mapping, and reports unknown, repeated and missing fields.
func (s *source) fields(n ast.Node, what string, required, optional []string) fields {
	f := fields{source: s, what: what, start: nodePlace(n), values: map[string]ast.Node{}}
	entries, ok := mapping(n)
	if !ok {
		s.add(nodePlace(n), "%s must be fields (%s), not %s", what, strings.Join(required, ", "), kindOf(n))
		return f
	}
	allowed := slices.Concat(required, optional)
	first := map[string]place{}
	for _, entry := range entries {
		name := entry.Key.GetToken().Value
		at := nodePlace(entry.Key)
		earlier, again := first[name]
		switch {
		case again:
			s.add(at, "%s: %s is given twice, first on line %d; leave one out", what, quoted(name), earlier.line)
		case !slices.Contains(allowed, name):
			s.add(at, "%s: unknown field %s; %s", what, quoted(name), s.fieldAdvice(n, entry, allowed))
		default:
			f.values[name] = entry.Value
		}
		if !again {
			first[name] = at
		}
	}
	for _, name := range required {
		if _, ok := first[name]; !ok {
			s.add(nodePlace(n), "%s: %s is missing", what, name)
		}
	}
	return f
}

// name says which field a message is about.
func (f fields) name(field string) string { return f.what + ": " + field }

// number reads a field that holds one number. It reports false where it is absent or wrong.
func (f fields) number(field string) (float64, bool) {
	n, ok := f.values[field]
	if !ok {
		return 0, false
	}
	return f.source.number(n, f.name(field))
}

func (s *source) number(n ast.Node, what string) (float64, bool) {
	x, err := parseNumber(n)
	if err != nil {
		s.add(nodePlace(n), "%s must be a number, %v", what, err)
		return 0, false
	}
	return x, true
}

// within reads a field that holds a number of at most limit on either side of zero.
func (f fields) within(field string, limit float64) (float64, bool) {
	n, ok := f.values[field]
	if !ok {
		return 0, false
	}
	return f.source.within(n, f.name(field), limit)
}

func (s *source) within(n ast.Node, what string, limit float64) (float64, bool) {
	x, ok := s.number(n, what)
	if ok && math.Abs(x) > limit {
		s.add(nodePlace(n), "%s must be from %v to %v, not %v", what, -limit, limit, x)
		return 0, false
	}
	return x, ok
}

// positive reads a field that holds a number above zero and of at most limit.
func (f fields) positive(field string, limit float64) (float64, bool) {
	x, ok := f.number(field)
	if ok && !(x > 0 && x <= limit) {
		f.add(f.at(field), "%s must be more than 0 and at most %v, not %v", f.name(field), limit, x)
		return 0, false
	}
	return x, ok
}

func parseNumber(n ast.Node) (float64, error) {
	switch n := n.(type) {
	case *ast.IntegerNode, *ast.FloatNode:
	case *ast.StringNode:
		if n.Token.Type != token.StringType {
			return 0, fmt.Errorf("not text in quotes")
		}
	default:
		return 0, fmt.Errorf("not %s", kindOf(n))
	}
	word := n.GetToken().Value
	digits := strings.TrimLeft(word, "+-")
	if len(digits) > 1 && digits[0] == '0' && unicode.IsDigit(rune(digits[1])) {
		return 0, fmt.Errorf("not %s: leave out the leading zeros", quoted(word))
	}
	x, err := strconv.ParseFloat(word, 64)
	switch {
	case errors.Is(err, strconv.ErrRange):
		return 0, fmt.Errorf("not %s: it is too large", quoted(word))
	case err != nil || math.IsNaN(x) || math.IsInf(x, 0) || strings.ContainsAny(word, "xXpP_"):
		return 0, fmt.Errorf("such as 12.5, not %s", quoted(word))
	}
	return x, nil
}

// numbers reads a field that holds a list of as many numbers as the form shows, each within ±limit.
func (f fields) numbers(field string, form []string, limit float64) ([]float64, bool) {
	n, ok := f.values[field]
	if !ok {
		return nil, false
	}
	shape := "[" + strings.Join(form, ", ") + "]"
	list, ok := n.(*ast.SequenceNode)
	if !ok {
		f.add(nodePlace(n), "%s must be %d numbers %s, not %s", f.name(field), len(form), shape, kindOf(n))
		return nil, false
	}
	if len(list.Values) != len(form) {
		f.add(nodePlace(n), "%s must be %d numbers %s, not %d", f.name(field), len(form), shape, len(list.Values))
		return nil, false
	}
	numbers := make([]float64, len(form))
	good := true
	for i, value := range list.Values {
		numbers[i], ok = f.source.within(value, fmt.Sprintf("%s, number %d,", f.name(field), i+1), limit)
		good = good && ok
	}
	return numbers, good
}

var xyz = []string{"x", "y", "z"}

// vector reads a field that holds three numbers, each within ±limit.
func (f fields) vector(field string, limit float64) (r3.Vec, bool) {
	v, ok := f.numbers(field, xyz, limit)
	if !ok {
		return r3.Vec{}, false
	}
	return r3.Vec{X: v[0], Y: v[1], Z: v[2]}, true
}

// text reads a field that holds text of one line.
func (f fields) text(field string, longest int) (string, bool) {
	text, ok := f.prose(field, longest)
	if !ok {
		return "", false
	}
	text = strings.TrimSpace(text)
	if strings.ContainsFunc(text, func(c rune) bool { return !unicode.IsPrint(c) }) {
		f.add(nodePlace(f.values[field]), "%s must be plain text of one line", f.name(field))
		return "", false
	}
	return text, true
}

// prose reads a field that holds text of any number of lines.
func (f fields) prose(field string, longest int) (string, bool) {
	n, ok := f.values[field]
	if !ok {
		return "", false
	}
	var text string
	switch n := n.(type) {
	case *ast.StringNode:
		text = n.Value
	case *ast.LiteralNode:
		text = n.Value.Value
	case *ast.IntegerNode, *ast.FloatNode, *ast.BoolNode:
		text = n.GetToken().Value
	case *ast.MappingNode, *ast.MappingValueNode:
		f.add(nodePlace(n), "%s must be text, not %s; %s", f.name(field), kindOf(n), quoteColon)
		return "", false
	default:
		f.add(nodePlace(n), "%s must be text, not %s", f.name(field), kindOf(n))
		return "", false
	}
	switch {
	case strings.TrimSpace(text) == "":
		f.add(nodePlace(n), "%s must not be empty", f.name(field))
		return "", false
	case len(text) > longest:
		f.add(nodePlace(n), "%s must be at most %d bytes long, not %d", f.name(field), longest, len(text))
		return "", false
	}
	return text, true
}

// list reads a field that holds a list; absent is an empty one.
func (f fields) list(field string) []ast.Node {
	n, ok := f.values[field]
	if !ok {
		return nil
	}
	list, ok := n.(*ast.SequenceNode)
	if !ok {
		f.add(nodePlace(n), "%s must be a list, not %s", f.name(field), kindOf(n))
		return nil
	}
	return list.Values
}

// shortList reads a field that holds a list of at most so many things of a kind; a longer one is reported and empty.
func (f fields) shortList(field, kind string, most int) []ast.Node {
	list := f.list(field)
	if len(list) > most {
		f.add(f.at(field), "there are %d %s; %d are plenty", len(list), kind, most)
		return nil
	}
	return list
}

// at is where the field's value stands.
func (f fields) at(field string) place { return nodePlace(f.values[field]) }
