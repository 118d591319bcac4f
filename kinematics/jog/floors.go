package jog

import (
	"cmp"
	"math"
	"slices"

	"handrule/kinematics"
	"handrule/kinematics/clearance"
)

// mostNear is how many pairs have a floor of their own. Where more are inside the set distance, the others share the floor of the
// nearest among them.
const mostNear = 32

// floors is what no distance may fall short of on a path: the set distance, and for a pair that is nearer when the jog begins what it
// is then, until the two are clear of the set distance.
type floors struct {
	setDistance float64
	rest        float64 // mm, for all pairs but the near ones; the set distance, unless too many are near
	near        [mostNear]clearance.PairID
	floor       [mostNear]float64 // mm, of each of them until they are clear
	clear       [mostNear]float64 // the place from which on they keep the set distance; +Inf while it is not known
	n           int
}

// at returns what the near pair i may not fall short of at the place s.
func (f *floors) at(i int, s float64) float64 {
	if s > f.clear[i] {
		return f.setDistance
	}
	return f.floor[i]
}

// begin forgets which pairs have got clear.
func (f *floors) begin() {
	for i := range f.clear[:f.n] {
		f.clear[i] = math.Inf(1)
	}
}

// gaps are the distances at a place, mm; +Inf without a scene.
type gaps struct {
	rest    float64 // the smallest of all pairs but the near ones
	atLeast bool    // it was not measured: it is no smaller than that
	pair    clearance.PairID
	near    [mostNear]float64
}

// take takes over the gaps of a place, so many of them near.
func (g *gaps) take(from *gaps, near int) {
	g.rest, g.atLeast, g.pair = from.rest, from.atLeast, from.pair
	copy(g.near[:near], from.near[:near])
}

// newFloors returns the floors of an arm that stands with its links there.
func newFloors(setup *Setup, links *kinematics.Links) floors {
	f := floors{setDistance: setup.SetDistance, rest: setup.SetDistance}
	ids, distances := setup.Scene.Nearer(links, setup.SetDistance+shrinkTolerance, nil, nil)
	if len(ids) == 0 {
		return f
	}
	order := make([]int, len(ids))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(i, j int) int { return cmp.Compare(distances[i], distances[j]) })
	for k, i := range order {
		if k == mostNear {
			f.rest = math.Min(f.setDistance, distances[i]-shrinkTolerance)
			break
		}
		f.near[k], f.floor[k], f.clear[k], f.n = ids[i], distances[i]-shrinkTolerance, math.Inf(1), k+1
	}
	return f
}

// measure writes the distances with the links there.
func (f *floors) measure(setup *Setup, links *kinematics.Links, g *gaps) {
	g.pair, g.rest = setup.Scene.SmallestBut(links, f.near[:f.n], g.near[:f.n])
	g.atLeast = false
}

// measureNear writes those of the near pairs alone, where the others are known to be far off.
func (f *floors) measureNear(setup *Setup, links *kinematics.Links, g *gaps) {
	setup.Scene.Distances(links, f.near[:f.n], g.near[:f.n])
}

// shortfall is a pair that is nearer than its floor.
type shortfall struct {
	pair  clearance.PairID
	floor float64
	by    float64 // mm
	near  int     // which of the near ones it is; -1: none
	low   bool    // its floor is lower than the set distance
}

// shortfall returns the pair that is farthest below what it has to keep at the place s, and false where none is.
func (f *floors) shortfall(g *gaps, s float64) (b shortfall, short bool) {
	if by := f.rest - g.rest; by > 0 {
		b, short = shortfall{pair: g.pair, floor: f.rest, by: by, near: -1}, true
	}
	for i, gap := range g.near[:f.n] {
		if floor := f.at(i, s); floor-gap > b.by {
			b, short = shortfall{f.near[i], floor, floor - gap, i, floor < f.setDistance}, true
		}
	}
	return b, short
}

// passed takes note of the pairs that are clear of the set distance at the place s.
func (f *floors) passed(g *gaps, s float64) {
	for i, gap := range g.near[:f.n] {
		if gap >= f.setDistance+shrinkTolerance {
			f.clear[i] = math.Min(f.clear[i], s)
		}
	}
}
