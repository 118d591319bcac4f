package scenarios

import (
	"cmp"
	"math"
	"slices"
)

// Increment is what one press of a step jog does: so far straight, mm, or so far round, degrees.
type Increment struct{ MM, Deg float64 }

// Increments are those offered to choose from where a lesson names none, from fine to coarse.
var Increments = []Increment{{0.1, 0.1}, {0.5, 0.5}, {1, 1}, {5, 2}, {10, 5}, {25, 10}, {50, 15}, {100, 45}, {100, 90}}

// Increments are those that are offered. Where only the straight steps or only the turns are limited, each goes with
// the other that is offered beside the nearest.
func (a *Allow) Increments() (offered []Increment) {
	mm, deg := sortedSteps(a.StepsMM), sortedSteps(a.StepsDeg)
	switch {
	case len(mm) == 0 && len(deg) == 0:
		return Increments
	case len(deg) == 0:
		for _, x := range mm {
			offered = append(offered, Increment{x, nearestIncrement(x, func(c Increment) float64 { return c.MM }).Deg})
		}
	case len(mm) == 0:
		for _, x := range deg {
			offered = append(offered, Increment{nearestIncrement(x, func(c Increment) float64 { return c.Deg }).MM, x})
		}
	default:
		for i, n := 0, max(len(mm), len(deg)); i < n; i++ {
			offered = append(offered, Increment{mm[i*len(mm)/n], deg[i*len(deg)/n]})
		}
	}
	return offered
}

func sortedSteps(steps []Margin) (all []float64) {
	for _, s := range steps {
		all = append(all, float64(s))
	}
	slices.Sort(all)
	return slices.Compact(all)
}

// nearestIncrement returns the one whose number is nearest to x, by their ratio.
func nearestIncrement(x float64, of func(Increment) float64) Increment {
	return slices.MinFunc(Increments, func(a, b Increment) int {
		return cmp.Compare(math.Abs(math.Log(of(a)/x)), math.Abs(math.Log(of(b)/x)))
	})
}

// limitsSteps reports whether only some steps are offered. Held and dragged jogs end anywhere all the same.
func (a *Allow) limitsSteps() bool { return len(a.StepsMM)+len(a.StepsDeg) > 0 }

// inSteps returns steps of these sizes, the largest first, whose sum comes as near to an amount as it can, by as few as
// it can. The sizes are in descending order.
func inSteps(amount float64, sizes []float64) (steps []float64) {
	if len(sizes) == 0 {
		return nil
	}
	size := math.Copysign(sizes[0], amount)
	whole := math.Floor(amount/size + 1e-9)
	best := math.Inf(1)
	// One more than fits, and one fewer, leave a rest that the smaller ones may fill better.
	tries := []float64{whole, whole + 1, whole - 1}
	if len(sizes) > 6 {
		tries = tries[:2]
	}
	for _, n := range tries {
		if n < 0 || n > mostSteps {
			continue
		}
		rest := amount - n*size
		smaller := inSteps(rest, sizes[1:])
		for _, s := range smaller {
			rest -= s
		}
		all := append(slices.Repeat([]float64{size}, int(n)), smaller...)
		if off := math.Abs(rest); off < best-1e-9 || off < best+1e-9 && len(all) < len(steps) {
			best, steps = math.Min(best, off), all
		}
	}
	return steps
}

// mostSteps is how many steps of one size anybody presses in a row.
const mostSteps = 200
