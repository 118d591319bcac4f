package ask

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// Answer is what somebody answers. One of its parts counts, by what was asked.
type Answer struct {
	Arrow   *r3.Vec  `json:"arrow,omitempty"`   // the direction or axis, a unit vector in the base frame
	Stays   bool     `json:"stays,omitempty"`   // the arm will not move at all
	Joints  []int    `json:"joints,omitempty"`  // which will turn, from 0
	Stop    string   `json:"stop,omitempty"`    // what will stop it, one of lesson.StopWords
	Number  *float64 `json:"number,omitempty"`  // what is read, in the question's unit
	Options []int    `json:"options,omitempty"` // which are chosen, from 0
}

var zero r3.Vec

func pointing(v r3.Vec) Answer { return Answer{Arrow: &v} }

func saying(x float64) Answer { return Answer{Number: &x} }

// takeArrow reads an arrow of any length.
func takeArrow(given Answer) (Answer, error) {
	switch {
	case given.Stays:
		return Answer{Stays: true}, nil
	case given.Arrow == nil:
		return Answer{}, errors.New("the answer is an arrow, or that the arm stays")
	}
	size := r3.Norm(*given.Arrow)
	if !(size > 1e-9) || math.IsInf(size, 0) {
		return Answer{}, errors.New("an arrow needs a direction")
	}
	return pointing(r3.Scale(1/size, *given.Arrow)), nil
}

// takeSome reads a choice among so many, each once and in order. It is never nil.
func takeSome(given []int, many int, what string) ([]int, error) {
	if len(given) > 64 {
		return nil, fmt.Errorf("the answer names %d %s; there are %d", len(given), what, many)
	}
	some := append([]int{}, slices.Compact(slices.Sorted(slices.Values(given)))...)
	if len(some) > 0 && (some[0] < 0 || some[len(some)-1] >= many) {
		return nil, fmt.Errorf("there are %s 0 to %d", what, many-1)
	}
	return some, nil
}

// takeNumber reads a number.
func takeNumber(given Answer) (Answer, error) {
	if given.Number == nil || math.IsNaN(*given.Number) || math.Abs(*given.Number) > 1e9 {
		return Answer{}, errors.New("the answer is a number")
	}
	return saying(*given.Number), nil
}

// equal is the distance of two answers that are the same or not.
func equal(same bool) float64 {
	if same {
		return 0
	}
	return math.Inf(1)
}
