package scenarios

import (
	"fmt"
	"math"
	"math/rand/v2"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"github.com/goccy/go-yaml/ast"
)

// Drawn is a number that every learner gets anew: from a range in steps, or one of a list.
type Drawn struct {
	Block
	Name  string   `field:"name,required" about:"A word; $word stands for the number in the fields after it."`
	From  *Number  `field:"from" about:"The lowest number."`
	To    *Number  `field:"to" about:"The highest number."`
	Step  *Margin  `field:"step" about:"The distance of one number from the next."`
	OneOf []Number `field:"one_of" most:"40" about:"The numbers themselves, instead of from, to and step."`
}

const mostDrawnSteps = 10_000

var (
	drawnName = regexp.MustCompile(`^[a-z][a-z0-9_]*$`)
	drawnSum  = regexp.MustCompile(`\$[a-z][a-z0-9_]*\s*[*/]\s*[0-9.]+|[0-9.]+\s*[*/]\s*\$[a-z][a-z0-9_]*`)
	drawnUse  = regexp.MustCompile(`[+-]?\$[a-z][a-z0-9_]*`)
)

// values returns how many numbers there are to draw from.
func (d *Drawn) values() int {
	switch {
	case len(d.OneOf) > 0:
		return len(d.OneOf)
	case d.From == nil || d.To == nil || d.Step == nil:
		return 0
	}
	return int(math.Floor((float64(*d.To)-float64(*d.From))/float64(*d.Step)+1e-9)) + 1
}

func (d *Drawn) value(i int) float64 {
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
	case !drawnName.MatchString(d.Name):
		d.add("name", "must be a word of small letters and digits, such as height, not %s", quoted(d.Name))
	case one && span, !one && !(d.Given("from") && d.Given("to") && d.Given("step")):
		d.add("", "needs either from, to and step, or one_of")
	case span && *d.From > *d.To:
		d.add("from", "is above to; write from: %s, to: %s", drawnText(float64(*d.To)), drawnText(float64(*d.From)))
	default:
		if n = d.values(); n < 2 || n > mostDrawnSteps {
			d.add("", "must leave 2 to %d numbers to draw from, not %d", mostDrawnSteps, n)
			return false
		}
	}
	return n > 0
}

// deal is one drawing of a lesson's numbers.
type deal struct {
	seed    uint64
	attempt int                // with which the others are drawn anew
	fixed   map[string]float64 // what is not drawn
}

// dealt are the numbers of a deal, and which of them each stage's task depends on.
type dealt struct {
	numbers map[string]float64
	uses    [][]string // by stage
}

// with says which numbers a stage's task was computed with: "", or " (with $far 40)".
func (d *dealt) with(stage int) string {
	if stage >= len(d.uses) || len(d.uses[stage]) == 0 {
		return ""
	}
	return withNumbers(d.uses[stage], d.numbers)
}

// withNumbers says what these numbers are: " (with $far 40 and $near 5)".
func withNumbers(names []string, numbers map[string]float64) string {
	var all []string
	for _, name := range names {
		all = append(all, fmt.Sprintf("$%s %s", name, drawnText(numbers[name])))
	}
	return " (with " + allOf(all) + ")"
}

// draw draws the lesson's numbers and writes them into its fields.
func (s *source) draw(root ast.Node, from deal) (dealt dealt) {
	entries, _ := mapping(root)
	numbers, bad := map[string]float64{}, map[string]bool{}
	random := rand.New(rand.NewPCG(from.seed, uint64(from.attempt)))
	for _, e := range entries {
		list, ok := e.Value.(*ast.SequenceNode)
		if e.Key.GetToken().Value != "draw" || !ok {
			continue
		}
		for i, n := range list.Values {
			var d Drawn
			trial := *s // Problems of reading are told when the lesson itself is read.
			trial.problems = nil
			trial.read(n, entryName("lesson", "draw", i), &d)
			bad[strings.TrimPrefix(d.Name, "$")] = true
			if len(trial.problems) > 0 {
				continue
			}
			d.src = s
			if _, taken := numbers[d.Name]; taken {
				d.add("name", "%s is drawn twice", quoted(d.Name))
			} else if d.check() {
				numbers[d.Name] = d.value(random.IntN(d.values()))
				delete(bad, d.Name)
			}
		}
	}
	// What is wrong with a draw is told at the draw and not at every use; a number that is right stands in for it.
	for name := range bad {
		numbers[name] = 1
	}
	for name, x := range from.fixed {
		numbers[name] = x
	}
	if len(numbers) == 0 {
		return dealt
	}
	dealt.numbers, dealt.uses = numbers, taskUses(entries, numbers)
	s.filledAt = map[place]string{}
	for _, e := range entries {
		if e.Key.GetToken().Value != "draw" {
			s.fillIn(e.Value, numbers, slices.Contains(readOnly, e.Key.GetToken().Value))
		}
	}
	return dealt
}

// readOnly are the fields that are only read by people.
var readOnly = []string{"title", "aims", "sources", "text", "hints", "question", "why"}

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
		entries, _ := mapping(stage)
		own, goesOn := slices.Clone(whole), false
		for _, e := range entries {
			switch e.Key.GetToken().Value {
			case "title", "text", "hints", "view": // Nothing that is asked depends on these.
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
		before = sortedWords(own)
		uses = append(uses, before)
	}
	return uses
}

// namesIn returns which of the numbers are used in the texts below n.
func namesIn(n ast.Node, numbers map[string]float64) (names []string) {
	for _, use := range drawnUse.FindAllString(n.String(), -1) {
		_, name, _ := strings.Cut(use, "$")
		if _, drawn := numbers[name]; drawn {
			names = append(names, name)
		}
	}
	return names
}

// fillIn replaces every $name in the texts below n; read says that these are only read by people.
func (s *source) fillIn(n ast.Node, numbers map[string]float64, read bool) {
	switch n := n.(type) {
	case *ast.MappingNode:
		for _, e := range n.Values {
			s.fillIn(e, numbers, read)
		}
	case *ast.MappingValueNode:
		s.fillIn(n.Value, numbers, read || slices.Contains(readOnly, n.Key.GetToken().Value))
	case *ast.SequenceNode:
		for _, value := range n.Values {
			s.fillIn(value, numbers, read)
		}
	case *ast.LiteralNode:
		n.Value.Value = s.filled(n, n.Value.Value, numbers, read)
	case *ast.StringNode:
		n.Value = s.filled(n, n.Value, numbers, read)
		n.Token.Value = n.Value
	}
}

// drawnText writes a drawn number as files have it. Rounding of the steps must not show.
func drawnText(x float64) string { return strconv.FormatFloat(math.Round(x*1e6)/1e6+0, 'f', -1, 64) }

func (s *source) filled(n ast.Node, text string, numbers map[string]float64, read bool) string {
	if sum := drawnSum.FindString(text); sum != "" && !read {
		s.add(nodePlace(n), "%s: nothing is reckoned with drawn numbers; draw the number itself, by another name", quoted(sum))
		text = strings.ReplaceAll(text, sum, drawnUse.FindString(sum))
	}
	var used []string
	text = drawnUse.ReplaceAllStringFunc(text, func(use string) string {
		sign, name, _ := strings.Cut(use, "$")
		x, ok := numbers[name]
		if !ok {
			var names []string
			for known := range numbers {
				names = append(names, known)
			}
			s.add(nodePlace(n), "$%s is not drawn; %s", name, unknownWord(name, sortedWords(names)))
			return sign + "1" // The text is told of once.
		}
		if sign == "-" {
			x = -x
		}
		if !slices.Contains(used, name) {
			used = append(used, name)
		}
		written := drawnText(x)
		if read {
			written = strings.Replace(written, "-", "−", 1)
		}
		if sign == "+" && x >= 0 {
			return "+" + written
		}
		return written
	})
	if len(used) > 0 {
		s.filledAt[nodePlace(n)] = withNumbers(used, numbers)
	}
	return text
}
