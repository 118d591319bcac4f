package scenarios

import (
	"math"
	"math/rand/v2"
	"regexp"
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
	default:
		if n = d.values(); n < 2 || n > mostDrawnSteps {
			d.add("", "must leave 2 to %d numbers to draw from, not %d", mostDrawnSteps, n)
			return false
		}
	}
	return n > 0
}

// draw draws the lesson's numbers and writes them into its fields. Other attempts and seeds give other numbers.
func (s *source) draw(root ast.Node, seed uint64, attempt int) {
	entries, _ := mapping(root)
	numbers := map[string]float64{}
	random := rand.New(rand.NewPCG(seed, uint64(attempt)))
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
			if len(trial.problems) > 0 {
				continue
			}
			d.src = s
			if _, taken := numbers[d.Name]; taken {
				d.add("name", "%s is drawn twice", quoted(d.Name))
			} else if d.check() {
				numbers[d.Name] = d.value(random.IntN(d.values()))
			}
		}
	}
	if len(numbers) == 0 {
		return
	}
	for _, e := range entries {
		if e.Key.GetToken().Value != "draw" {
			s.fillIn(e.Value, numbers)
		}
	}
}

// fillIn replaces every $name in the texts below n.
func (s *source) fillIn(n ast.Node, numbers map[string]float64) {
	switch n := n.(type) {
	case *ast.MappingNode:
		for _, e := range n.Values {
			s.fillIn(e.Value, numbers)
		}
	case *ast.MappingValueNode:
		s.fillIn(n.Value, numbers)
	case *ast.SequenceNode:
		for _, value := range n.Values {
			s.fillIn(value, numbers)
		}
	case *ast.LiteralNode:
		n.Value.Value = s.filled(n, n.Value.Value, numbers)
	case *ast.StringNode:
		n.Value = s.filled(n, n.Value, numbers)
		n.Token.Value = n.Value
	}
}

func (s *source) filled(n ast.Node, text string, numbers map[string]float64) string {
	return drawnUse.ReplaceAllStringFunc(text, func(use string) string {
		sign, name, _ := strings.Cut(use, "$")
		x, ok := numbers[name]
		if !ok {
			var names []string
			for known := range numbers {
				names = append(names, known)
			}
			s.add(nodePlace(n), "$%s is not drawn; %s", name, unknownWord(name, sortedWords(names)))
			return use
		}
		if sign == "-" {
			x = -x
		}
		// Rounding of the steps must not show.
		written := strconv.FormatFloat(math.Round(x*1e6)/1e6+0, 'f', -1, 64)
		if sign == "+" && x >= 0 {
			return "+" + written
		}
		return written
	})
}
