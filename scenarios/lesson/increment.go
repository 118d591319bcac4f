package lesson

import (
	"cmp"
	"handrule/scenarios/form"
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

func sortedSteps(steps []form.Margin) (all []float64) {
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

// LimitsSteps reports whether only some steps are offered. Held and dragged jogs end anywhere all the same.
func (a *Allow) LimitsSteps() bool { return len(a.StepsMM)+len(a.StepsDeg) > 0 }
