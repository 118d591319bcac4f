package form

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"handrule/internal/pattern"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/parser"
	"github.com/goccy/go-yaml/scanner"
	"github.com/goccy/go-yaml/token"
)

// Bounds on what is handed to the YAML parser, whose time and memory grow with the square of these.
const (
	deepest    = 16   // brackets inside brackets, dashes after dashes
	mostFields = 4000 // "name: value" pairs in a file
	mostItems  = 8000 // commas and dashes
	mostMarks  = 8    // lines that begin or end a document
)

// Document returns the text of a file as a source, and the one document in it.
func Document(file string, text []byte) (*Source, ast.Node, error) {
	s, err := PlainText(file, text)
	if err != nil {
		return nil, nil, err
	}
	root := s.parseYAML()
	if root == nil {
		return nil, nil, s.Err()
	}
	return s, root, nil
}

// What to do with texts that YAML takes for something else.
const (
	QuoteColon = "put a text that has a colon into quotes, or on lines of its own after text: |"
	quoteComma = "a text that has a comma goes into quotes, and several values into [ ]"
)

var (
	noSpaceAfterColon = pattern.Of(`^ *(?:- )*[a-z_]+:[^ \t\r]`)
	textAfterBracket  = pattern.Of(`: +[\[{][^\]}]*[\]}] +[^#,\]} \t\r]`)
	oneColon          = pattern.Of(`^ *(?:- +)*[a-z_]+:(?: [^:]*)?$`)
	startOfValue      = pattern.Of(`^ *(?:- +)*(?:[A-Za-z_]+: +)?([^ \t\r])`)
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
	start := startOfValue.First(line)
	switch {
	case strings.Contains(message, "\t"), strings.Contains(message, "a tab character"):
		return "; indent with spaces and not with tabs"
	case noSpaceAfterColon.In(line):
		return "; a space goes after a field's colon"
	case textAfterBracket.In(line):
		return "; " + quoteMark("[ or {")
	case start != nil && strings.Contains(marks, start[1]):
		return "; " + quoteMark(start[1])
	case strings.Contains(message, "mapping value is not allowed") && !oneColon.In(line):
		return "; " + QuoteColon
	case strings.Contains(message, "mapping value is not allowed"), strings.Contains(message, "not allowed in this context"), strings.Contains(message, "non-map value"):
		return "; look at the indentation: the fields of a block stand in one column, and a text after | stands further in"
	}
	return ""
}

// fieldAdvice is what to do about an unknown field of a block. Within { } one without a value is what comes after a comma.
func (s *Source) fieldAdvice(block ast.Node, entry *ast.MappingValueNode, allowed []string) string {
	name := entry.Key.GetToken().Value
	_, empty := entry.Value.(*ast.NullNode)
	inside, ok := block.(*ast.MappingNode)
	switch {
	case name != "" && strings.Trim(name, "0123456789") == "":
		return "a decimal number is written with a point, such as 0.5"
	case ok && inside.IsFlowStyle && empty:
		return quoteComma
	}
	return UnknownWord(name, allowed)
}

// line is the text of the line at that place.
func (s *Source) line(at Place) string {
	if at.Line < 1 || at.Line > len(s.Lines) {
		return ""
	}
	return s.Lines[at.Line-1]
}

// findLine is where a text first stands in a line of the file.
func (s *Source) findLine(text string) (at Place, found bool) {
	for i, line := range s.Lines {
		if before, _, found := strings.Cut(line, text); found {
			return Place{i + 1, utf8.RuneCountInString(before) + 1}, true
		}
	}
	return at, false
}

// parseYAML returns the one document of the file, or nil after adding a problem. Anchors, aliases, tags and merge keys are
// refused, so nothing in a file stands for more than what is written there.
func (s *Source) parseYAML() ast.Node {
	if at, found := s.findLine(tooManyLess); found {
		s.Add(at, "has more than %d < in a row", len(tooManyLess)-1)
		return nil
	}
	tokens := s.tokens()
	if !s.acceptTokens(tokens) {
		return nil
	}
	s.noteCuts(tokens)
	file, err := parser.Parse(tokens, 0, parser.AllowDuplicateMapKey())
	if err != nil {
		// The parser's own error text may be as long as the file squared, so only its message is used.
		var syntax yaml.Error
		if errors.As(err, &syntax) && syntax.GetToken() != nil {
			s.Add(tokenPlace(syntax.GetToken()), "cannot be read as YAML: %s%s", syntax.GetMessage(), yamlAdvice(syntax.GetMessage(), s.line(tokenPlace(syntax.GetToken()))))
		} else {
			s.Add(Place{1, 1}, "cannot be read as YAML")
		}
		return nil
	}
	var body ast.Node
	for _, doc := range file.Docs {
		switch {
		case doc.Body == nil:
		case body != nil:
			s.Add(PlaceOf(doc.Body), "a second document starts here; a file holds one")
			return nil
		default:
			body = doc.Body
		}
	}
	if body == nil {
		s.Add(Place{1, 1}, "holds nothing but comments")
	}
	return body
}

// tokens are those of the file, each with its line in the file, up to the first that is wrong. Beyond that one the scanner
// would begin anew at every character.
func (s *Source) tokens() (tokens token.Tokens) {
	var left []string
	left, s.shown = shown(s.Lines)
	var scan scanner.Scanner
	scan.Init(strings.Join(left, "\n"))
	for err := error(nil); err == nil; {
		var more token.Tokens
		more, err = scan.Scan() // io.EOF at the end
		tokens.Add(more...)
	}
	moved := map[*token.Position]bool{} // Tokens may share one.
	for _, t := range tokens {
		if at := t.Position; !moved[at] && at.Line <= len(s.shown) {
			at.Line, moved[at] = s.shown[at.Line-1], true
		}
	}
	return tokens
}

func (s *Source) acceptTokens(tokens token.Tokens) bool {
	depth, dashes, fields, items, documents := 0, 0, 0, 0, 0
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
		case token.CollectEntryType, token.SequenceEntryType:
			items++
		case token.DocumentHeaderType, token.DocumentEndType:
			documents++
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
		if items > mostItems {
			refused = fmt.Sprintf("has too many items in lists; %d are plenty", mostItems)
		}
		if documents > mostMarks {
			refused = "has too many lines of --- or ...; a file holds one document and needs none"
		}
		if refused != "" {
			s.Add(tokenPlace(t), "%s", refused)
			return false
		}
	}
	return true
}

// noteCuts notes where a # has cut a text off: after a text without quotes, with a space before it and none after it, as in
// "Look at joint #3". What is meant as a comment has a space there.
func (s *Source) noteCuts(tokens token.Tokens) {
	for i, t := range tokens {
		if t.Type != token.CommentType || i == 0 || len(s.found.Notes) >= MostProblems {
			continue
		}
		text, rest := tokens[i-1], t.Value
		if text.Type == token.StringType && text.Position.Line == t.Position.Line && rest != "" && !strings.HasPrefix(rest, " ") && !strings.HasPrefix(rest, "#") {
			s.found.Notes = append(s.found.Notes, s.problem(tokenPlace(t), "note: the # after a space cuts the text off: %s is left out; %s", Quoted("#"+rest), "put the text into quotes"))
		}
	}
}

func tokenPlace(t *token.Token) Place { return Place{t.Position.Line, t.Position.Column} }

// PlaceOf is where a node starts; for a block of fields that is its first key.
func PlaceOf(n ast.Node) Place {
	switch n := n.(type) {
	case *ast.MappingNode:
		if !n.IsFlowStyle && len(n.Values) > 0 {
			return PlaceOf(n.Values[0].Key)
		}
	case *ast.MappingValueNode:
		return PlaceOf(n.Key)
	}
	if t := n.GetToken(); t != nil {
		return tokenPlace(t)
	}
	return Place{1, 1}
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
		return Quoted(n.GetToken().Value)
	}
}

// Mapping returns the "name: value" pairs of a mapping, or false where n is none.
func Mapping(n ast.Node) ([]*ast.MappingValueNode, bool) {
	switch n := n.(type) {
	case *ast.MappingNode:
		return n.Values, true
	case *ast.MappingValueNode:
		return []*ast.MappingValueNode{n}, true
	}
	return nil, false
}

// HasField reports whether n is a mapping with one of these fields.
func HasField(n ast.Node, names ...string) bool {
	entries, _ := Mapping(n)
	return slices.ContainsFunc(entries, func(e *ast.MappingValueNode) bool {
		return slices.Contains(names, e.Key.GetToken().Value)
	})
}

// fields returns the named values of a mapping, which describes what ("joint 3"), and reports unknown, repeated and missing fields.
func (s *Source) fields(n ast.Node, what string, required, optional []string) map[string]ast.Node {
	values := map[string]ast.Node{}
	entries, ok := Mapping(n)
	if !ok {
		s.Add(PlaceOf(n), "%s must be fields (%s), not %s", what, strings.Join(required, ", "), kindOf(n))
		return values
	}
	allowed := slices.Concat(required, optional)
	first := map[string]Place{}
	for _, entry := range entries {
		name := entry.Key.GetToken().Value
		at := PlaceOf(entry.Key)
		earlier, again := first[name]
		switch {
		case again:
			s.Add(at, "%s: %s is given twice, first on line %d; leave one out", what, Quoted(name), earlier.Line)
		case !slices.Contains(allowed, name):
			s.Add(at, "%s: unknown field %s; %s", what, Quoted(name), s.fieldAdvice(n, entry, allowed))
		default:
			values[name] = entry.Value
		}
		if !again {
			first[name] = at
		}
	}
	for _, name := range required {
		if _, ok := first[name]; !ok {
			s.Add(PlaceOf(n), "%s: %s is missing", what, name)
		}
	}
	return values
}

func (s *Source) number(n ast.Node, what string) (float64, bool) {
	x, err := parseNumber(n)
	if err != nil {
		s.Add(PlaceOf(n), "%s must be a number, %v", what, err)
		return 0, false
	}
	return x, true
}

// PlainMinus writes the minus sign of typesetting (U+2212), which numbers have that are copied from a page, as the hyphen that
// files have.
func PlainMinus(text string) string { return strings.ReplaceAll(text, "−", "-") }

// suchAs begins what is said of a word that is no number at all.
const suchAs = "such as 12.5, "

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
	word := PlainMinus(n.GetToken().Value)
	digits := strings.TrimLeft(word, "+-")
	if len(digits) > 1 && digits[0] == '0' && unicode.IsDigit(rune(digits[1])) {
		return 0, fmt.Errorf("not %s: leave out the leading zeros", Quoted(word))
	}
	x, err := strconv.ParseFloat(word, 64)
	switch {
	case errors.Is(err, strconv.ErrRange):
		return 0, fmt.Errorf("not %s: it is too large", Quoted(word))
	case err != nil || math.IsNaN(x) || math.IsInf(x, 0) || strings.ContainsAny(word, "xXpP_"):
		return 0, fmt.Errorf(suchAs+"not %s", Quoted(word))
	}
	return x, nil
}

// numbers reads a list of as many numbers as there are names, each within ±limit.
func (s *Source) numbers(n ast.Node, name string, names []string, limit float64) ([]float64, bool) {
	shape := "[" + strings.Join(names, ", ") + "]"
	list, ok := n.(*ast.SequenceNode)
	if !ok {
		s.Add(PlaceOf(n), "%s must be %d numbers %s, not %s", name, len(names), shape, kindOf(n))
		return nil, false
	}
	if len(list.Values) != len(names) {
		s.Add(PlaceOf(n), "%s must be %d numbers %s, not %d", name, len(names), shape, len(list.Values))
		return nil, false
	}
	numbers := make([]float64, len(names))
	good := true
	for i, value := range list.Values {
		entry := fmt.Sprintf("%s, number %d,", name, i+1)
		x, ok := s.number(value, entry)
		if ok && math.Abs(x) > limit {
			s.Add(PlaceOf(value), "%s must be from %v to %v, not %v", entry, -limit, limit, x)
			ok = false
		}
		numbers[i], good = x, good && ok
	}
	return numbers, good
}

var xyz = []string{"x", "y", "z"}

// Text reads text of one line.
func (s *Source) Text(n ast.Node, name string, longest int) (string, bool) {
	text, ok := s.Prose(n, name, longest)
	if !ok {
		return "", false
	}
	text = strings.TrimSpace(text)
	if strings.ContainsFunc(text, func(c rune) bool { return !unicode.IsPrint(c) }) {
		s.Add(PlaceOf(n), "%s must be plain text of one line", name)
		return "", false
	}
	return text, true
}

// Prose reads text of any number of lines.
func (s *Source) Prose(n ast.Node, name string, longest int) (string, bool) {
	var text string
	switch n := n.(type) {
	case *ast.StringNode:
		text = n.Value
	case *ast.LiteralNode:
		text = n.Value.Value
	case *ast.IntegerNode, *ast.FloatNode, *ast.BoolNode:
		text = n.GetToken().Value
	case *ast.MappingNode, *ast.MappingValueNode:
		s.Add(PlaceOf(n), "%s must be text, not %s; %s", name, kindOf(n), QuoteColon)
		return "", false
	default:
		s.Add(PlaceOf(n), "%s must be text, not %s", name, kindOf(n))
		return "", false
	}
	switch {
	case strings.TrimSpace(text) == "":
		s.Add(PlaceOf(n), "%s must not be empty", name)
		return "", false
	case len(text) > longest:
		s.Add(PlaceOf(n), "%s must be at most %d bytes long, not %d", name, longest, len(text))
		return "", false
	}
	return text, true
}

// TextPlace is where an offset into the value of a node stands in the file. Only a block of text written after | keeps
// its lines; for any other the node's own place is returned.
func (s *Source) TextPlace(n ast.Node, value string, offset int) Place {
	at := PlaceOf(n)
	block, ok := n.(*ast.LiteralNode)
	if !ok || !strings.HasPrefix(strings.TrimSpace(block.Start.Value), "|") || offset > len(value) {
		return at
	}
	before := value[:offset]
	start, _ := slices.BinarySearch(s.shown, at.Line)
	of := start + 1 + strings.Count(before, "\n")
	if of >= len(s.shown) {
		return at
	}
	line, first := s.shown[of], s.Lines[at.Line]
	indent := len(first) - len(strings.TrimLeft(first, " "))
	return Place{line, indent + 1 + len([]rune(before[strings.LastIndex(before, "\n")+1:]))}
}
