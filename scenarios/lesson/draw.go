package lesson

import (
	"fmt"
	"handrule/internal/pattern"
	"handrule/scenarios/form"
	"maps"
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"

	"github.com/goccy/go-yaml/ast"
)

// Drawn is a number that every learner gets anew: from a range in steps, or one of a list.
type Drawn struct {
	form.Block
	Name  string        `field:"name,required" pattern:"^[a-z][a-z0-9_]*$" about:"A word; $word stands for the number in the fields after it."`
	From  *form.Number  `field:"from" about:"The lowest number."`
	To    *form.Number  `field:"to" about:"The highest number."`
	Step  *form.Margin  `field:"step" about:"The distance of one number from the next."`
	OneOf []form.Number `field:"one_of" most:"40" about:"The numbers themselves, instead of from, to and step."`
}

const mostDrawnSteps = 10_000

var (
	drawnName = pattern.Of(`^[a-z][a-z0-9_]*$`)
	drawnSum  = pattern.Of(`\$[a-z][a-z0-9_]* *[*/] *[0-9.]+|[0-9.]+ *[*/] *\$[a-z][a-z0-9_]*`)
	drawnUse  = pattern.Of(`[+-]?\$[a-z][a-z0-9_]*`)
)

// Values returns how many numbers there are to draw from.
func (d *Drawn) Values() int {
	switch {
	case len(d.OneOf) > 0:
		return len(d.OneOf)
	case d.From == nil || d.To == nil || d.Step == nil:
		return 0
	}
	return int(math.Floor((float64(*d.To)-float64(*d.From))/float64(*d.Step)+1e-9)) + 1
}

// Value returns the number of that place among those to draw from, from 0.
func (d *Drawn) Value(i int) float64 {
	if len(d.OneOf) > 0 {
		return float64(d.OneOf[i])
	}
	return float64(*d.From) + float64(i)*float64(*d.Step)
}

// check reports what can not be drawn from.
func (d *Drawn) check() bool {
	n := 0
	switch one, span := d.Given("one_of"), d.Given("from") || d.Given("to") || d.Given("step"); {
	case d.Name == "": // Reported as missing or not text.
	case !drawnName.In(d.Name):
		d.Add("name", "must be a word of small letters and digits, such as height, not %s", form.Quoted(d.Name))
	case one && span, !one && !(d.Given("from") && d.Given("to") && d.Given("step")):
		d.Add("", "needs either from, to and step, or one_of")
	case span && *d.From > *d.To:
		d.Add("from", "is above to; write from: %s, to: %s", DrawnText(float64(*d.To)), DrawnText(float64(*d.From)))
	default:
		if n = d.Values(); n < 2 || n > mostDrawnSteps {
			d.Add("", "must leave 2 to %d numbers to draw from, not %d", mostDrawnSteps, n)
			return false
		}
	}
	return n > 0
}

// Deal is one drawing of a lesson's numbers.
type Deal struct {
	Seed    uint64             // its number
	Secret  uint64             // what all is drawn from instead of the number, where the number may be known and the rest not; 0 for none
	Attempt int                // with which the others are drawn anew
	Fixed   map[string]float64 // what is not drawn
	All     bool               // every shape of a question, in the order of the file
}

// source is what all is drawn from.
func (d Deal) source() uint64 {
	if d.Secret != 0 {
		return d.Secret
	}
	return d.Seed
}

// dealt are the numbers of a deal, and which of them each stage's task depends on.
type dealt struct {
	numbers map[string]float64
	uses    [][]string // by stage
}

// Uses returns the names of the numbers that a stage's task depends on.
func (l *Lesson) Uses(stage int) []string {
	if stage >= len(l.dealt.uses) {
		return nil
	}
	return l.dealt.uses[stage]
}

// With says which numbers a stage's task was computed with: "", or " (with $far 40)".
func (l *Lesson) With(stage int) string {
	if names := l.Uses(stage); len(names) > 0 {
		return withNumbers(names, l.dealt.numbers)
	}
	return ""
}

// withNumbers says what these numbers are: " (with $far 40 and $near 5)".
func withNumbers(names []string, numbers map[string]float64) string {
	var all []string
	for _, name := range names {
		all = append(all, fmt.Sprintf("$%s %s", name, DrawnText(numbers[name])))
	}
	return " (with " + form.AllOf(all) + ")"
}

// draw draws the lesson's numbers and writes them into its fields.
func draw(s *form.Source, root ast.Node, from Deal) (dealt dealt) {
	entries, _ := form.Mapping(root)
	numbers, bad := map[string]float64{}, map[string]bool{}
	random := rand.New(rand.NewPCG(from.source(), uint64(from.Attempt)))
	for _, e := range entries {
		list, ok := e.Value.(*ast.SequenceNode)
		if e.Key.GetToken().Value != "draw" || !ok {
			continue
		}
		for i, n := range list.Values {
			var d Drawn
			trial := s.Again() // Problems of reading are told when the lesson itself is read.
			trial.Read(n, fmt.Sprintf("draw %d", i+1), &d)
			bad[strings.TrimPrefix(d.Name, "$")] = true
			if len(trial.Problems) > 0 {
				continue
			}
			d.Block = d.On(s)
			if _, taken := numbers[d.Name]; taken {
				d.Add("name", "%s is drawn twice", form.Quoted(d.Name))
			} else if d.check() {
				numbers[d.Name] = d.Value(random.IntN(d.Values()))
				delete(bad, d.Name)
			}
		}
	}
	// What is wrong with a draw is told at the draw and not at every use; a number that is right stands in for it.
	for name := range bad {
		numbers[name] = 1
	}
	for name, x := range from.Fixed {
		numbers[name] = x
	}
	if len(numbers) == 0 {
		return dealt
	}
	dealt.numbers, dealt.uses = numbers, taskUses(entries, numbers)
	s.FilledAt = map[form.Place]string{}
	for _, e := range entries {
		if e.Key.GetToken().Value != "draw" {
			fillIn(s, e.Value, numbers, slices.Contains(readOnly, e.Key.GetToken().Value))
		}
	}
	return dealt
}

// readOnly are the fields that are only read by people.
var readOnly = []string{"title", "aims", "sources", "text", "hints", "explain", "question", "why"}

// taskUses returns which numbers each stage's task depends on: those in the stage itself but for what is only read, those
// that say where it begins, and those in the fields of the whole lesson.
func taskUses(lesson []*ast.MappingValueNode, numbers map[string]float64) (uses [][]string) {
	var whole, start []string
	var stages *ast.SequenceNode
	for _, e := range lesson {
		switch list, ok := e.Value.(*ast.SequenceNode); e.Key.GetToken().Value {
		case "stages":
			if ok {
				stages = list
			}
		case "draw", "title", "aims", "sources":
		case "start_deg":
			start = namesIn(e.Value, numbers)
		default:
			whole = append(whole, namesIn(e.Value, numbers)...)
		}
	}
	if stages == nil {
		return nil
	}
	var before []string
	for _, stage := range stages.Values {
		entries, _ := form.Mapping(stage)
		own, goesOn := slices.Clone(whole), false
		for _, e := range entries {
			switch e.Key.GetToken().Value {
			case "title", "text", "hints", "explain", "view": // Nothing that is asked depends on these.
			case "start_deg":
				start = namesIn(e.Value, numbers)
			case "go_on":
				goesOn = true
			default:
				own = append(own, namesIn(e.Value, numbers)...)
			}
		}
		if own = append(own, start...); goesOn {
			own = append(own, before...)
		}
		before = form.SortedWords(own)
		uses = append(uses, before)
	}
	return uses
}

// namesIn returns which of the numbers are used in the texts below n.
func namesIn(n ast.Node, numbers map[string]float64) (names []string) {
	text := n.String()
	if !strings.Contains(text, "$") {
		return nil
	}
	for _, use := range drawnUse.All(text) {
		_, name, _ := strings.Cut(use, "$")
		if _, drawn := numbers[name]; drawn {
			names = append(names, name)
		}
	}
	return names
}

// fillIn replaces every $name in the texts below n; read says that these are only read by people.
func fillIn(s *form.Source, n ast.Node, numbers map[string]float64, read bool) {
	switch n := n.(type) {
	case *ast.MappingNode:
		for _, e := range n.Values {
			fillIn(s, e, numbers, read)
		}
	case *ast.MappingValueNode:
		fillIn(s, n.Value, numbers, read || slices.Contains(readOnly, n.Key.GetToken().Value))
	case *ast.SequenceNode:
		for _, value := range n.Values {
			fillIn(s, value, numbers, read)
		}
	case *ast.LiteralNode:
		n.Value.Value = filled(s, n, n.Value.Value, numbers, read)
	case *ast.StringNode:
		n.Value = filled(s, n, n.Value, numbers, read)
		n.Token.Value = n.Value
	}
}

// DrawnText writes a drawn number as files have it. Rounding of the steps must not show.
func DrawnText(x float64) string { return strconv.FormatFloat(math.Round(x*1e6)/1e6+0, 'f', -1, 64) }

func filled(s *form.Source, n ast.Node, text string, numbers map[string]float64, read bool) string {
	if !strings.Contains(text, "$") {
		return text
	}
	if sum := drawnSum.First(text); sum != nil && !read {
		s.Add(form.PlaceOf(n), "%s: nothing is reckoned with drawn numbers; draw the number itself, by another name", form.Quoted(sum[0]))
		text = strings.ReplaceAll(text, sum[0], drawnUse.First(sum[0])[0])
	}
	var used []string
	text = drawnUse.Replace(text, func(use string) string {
		sign, name, _ := strings.Cut(use, "$")
		x, ok := numbers[name]
		if !ok {
			s.Add(form.PlaceOf(n), "%s", notDrawn(name, numbers))
			return sign + "1" // The text is told of once.
		}
		if !slices.Contains(used, name) {
			used = append(used, name)
		}
		return drawnNumber(sign, x, read)
	})
	if len(used) > 0 {
		s.FilledAt[form.PlaceOf(n)] = withNumbers(used, numbers)
	}
	return text
}

// drawnNumber writes a drawn number where $name stands after a sign; read says that it is only read by people.
func drawnNumber(sign string, x float64, read bool) string {
	if sign == "-" {
		x = -x
	}
	written := DrawnText(x)
	if read {
		written = strings.Replace(written, "-", "−", 1)
	}
	if sign == "+" && x >= 0 {
		return "+" + written
	}
	return written
}

func notDrawn(name string, numbers map[string]float64) string {
	return fmt.Sprintf("$%s is not drawn; %s", name, form.UnknownWord(name, slices.Sorted(maps.Keys(numbers))))
}
