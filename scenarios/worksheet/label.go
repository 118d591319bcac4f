package worksheet

import (
	"math"
	"unicode"
)

// This file finds places for the labels of a drawing, so that none lies over another. All of it is in mm of the paper, y down.

// letters is the size of a drawing's labels, mm: 7.5 points of 1/72 inch.
const letters = 7.5 * 25.4 / 72

// rect is a rectangle by its middle and its size.
type rect struct{ x, y, w, h float64 }

func (r rect) meets(o rect) bool {
	return math.Abs(r.x-o.x) < (r.w+o.w)/2 && math.Abs(r.y-o.y) < (r.h+o.h)/2
}

func (r rect) within(o rect) bool {
	return math.Abs(r.x-o.x) <= (o.w-r.w)/2 && math.Abs(r.y-o.y) <= (o.h-r.h)/2
}

// label is a text with its place, and what it belongs to.
type label struct {
	text string
	rect
	to    spot
	ring  bool // it stands in a circle
	apart bool // it stands so far off that a line leads to what it belongs to
}

// spot is a place on the paper, mm, y down.
type spot struct{ x, y float64 }

// labels are those of a drawing.
type labels struct {
	area   rect   // that they have to stay in
	marks  []rect // which they cover only where there is no other place
	placed []label
}

// widthOf is how wide a text is at most, in fonts without serifs.
func widthOf(text string) (w float64) {
	for _, c := range text {
		switch {
		case c == ' ' || c == '.' || c == ',' || c == '1':
			w += 0.6
		case unicode.IsUpper(c) || c == '−' || c == '=' || c == '+' || c == '?':
			w += 0.86
		default:
			w += 0.66
		}
	}
	return w * letters
}

// how far labels are looked for around what they belong to, mm, and in how many directions.
const (
	farthest   = 40
	directions = 16
	apartFrom  = 4.5
)

// put places a text as near to a spot as there is room, in a circle or not.
func (l *labels) put(text string, to spot, ring bool) {
	size := rect{w: widthOf(text) + 0.6, h: 1.25 * letters}
	if ring {
		side := math.Max(size.w, size.h) + 0.8
		size = rect{w: side, h: side}
	}
	best, bestCost := size, math.Inf(1)
	for away := 0.6; away < farthest && away < bestCost+2; away += 0.8 {
		for i := range directions {
			a := 2 * math.Pi * (float64(i) + 0.5) / directions
			sin, cos := math.Sincos(a)
			// The text's edge, and not its middle, is that far away.
			r := rect{to.x + cos*(away+size.w/2), to.y - sin*(away+size.h/2), size.w, size.h}
			if cost := away + l.cost(r); cost < bestCost {
				best, bestCost = r, cost
			}
		}
	}
	l.placed = append(l.placed, label{text: text, rect: best, to: to, ring: ring, apart: math.Hypot(best.x-to.x, best.y-to.y)-math.Hypot(size.w, size.h)/2 > apartFrom})
}

// cost is what speaks against a place: nothing, a mark that it covers, or that it cannot be.
func (l *labels) cost(r rect) (cost float64) {
	if !r.within(l.area) {
		return math.Inf(1)
	}
	for _, other := range l.placed {
		if r.meets(other.rect) {
			return math.Inf(1)
		}
	}
	for _, m := range l.marks {
		if r.meets(m) {
			cost += 6
		}
	}
	return cost
}

// markLine keeps labels off a line, where they can be.
func (l *labels) markLine(a, b spot) {
	n := math.Ceil(math.Hypot(b.x-a.x, b.y-a.y) / 1.5)
	for i := 0.0; i <= n; i++ {
		t := i / math.Max(n, 1)
		l.marks = append(l.marks, rect{a.x + t*(b.x-a.x), a.y + t*(b.y-a.y), 0.8, 0.8})
	}
}
