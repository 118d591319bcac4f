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
	back        bool // the path leads back to where the arm was as near as that: there is no getting clear
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
	groups int                          // of the scene's pairs
	rest   [clearance.MaxGroups]float64 // by group: the smallest of its pairs but the near ones,
	bound  [clearance.MaxGroups]bool    // which was not measured: it is no smaller than that,
	pair   [clearance.MaxGroups]clearance.PairID
	near   [mostNear]float64
}

// take takes over the gaps of a place, so many of them near.
func (g *gaps) take(from *gaps, near int) {
	n := from.groups
	g.groups = n
	copy(g.rest[:n], from.rest[:n])
	copy(g.bound[:n], from.bound[:n])
	copy(g.pair[:n], from.pair[:n])
	copy(g.near[:near], from.near[:near])
}

// least returns the smallest distance but those of the near pairs.
func (g *gaps) least() float64 {
	least := math.Inf(1)
	for _, gap := range g.rest[:g.groups] {
		least = min(least, gap)
	}
	return least
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

// allow lets every pair come as near as it is where the links are there.
func (f *floors) allow(setup *Setup, links *kinematics.Links) {
	f.back = true
	ids, distances := setup.Scene.Nearer(links, setup.SetDistance+shrinkTolerance, nil, nil)
	for k, id := range ids {
		floor := distances[k] - shrinkTolerance
		i := slices.Index(f.near[:f.n], id)
		switch {
		case i >= 0:
			f.floor[i] = math.Min(f.floor[i], floor)
		case f.n < mostNear:
			f.near[f.n], f.floor[f.n], f.clear[f.n] = id, floor, math.Inf(1)
			f.n++
		default:
			f.rest = math.Min(f.rest, floor)
		}
	}
}

// measure writes the distances of the bodies where they are.
func (f *floors) measure(bodies *clearance.Bodies, g *gaps) {
	g.groups = bodies.Groups()
	for group := range g.groups {
		f.measureGroup(bodies, group, g)
	}
	f.measureNear(bodies, g)
}

// measureGroup writes that of one group of pairs.
func (f *floors) measureGroup(bodies *clearance.Bodies, group int, g *gaps) {
	g.pair[group], g.rest[group] = bodies.Nearest(group, f.near[:f.n])
	g.bound[group] = false
}

// measureNear writes those of the near pairs.
func (f *floors) measureNear(bodies *clearance.Bodies, g *gaps) {
	for i, pair := range f.near[:f.n] {
		g.near[i] = bodies.Distance(pair)
	}
}

// shortfall is a pair that is nearer than its floor.
type shortfall struct {
	pair  clearance.PairID
	floor float64
	by    float64 // mm
	near  int     // which of the near ones it is; -1: none
	group int     // where it is none: of which group it is
	low   bool    // its floor is lower than the set distance
}

// shortfall returns the pair that is farthest below what it has to keep at the place s, and false where none is.
func (f *floors) shortfall(g *gaps, s float64) (b shortfall, short bool) {
	for group, gap := range g.rest[:g.groups] {
		if by := f.rest - gap; by > b.by {
			b, short = shortfall{pair: g.pair[group], floor: f.rest, by: by, near: -1, group: group}, true
		}
	}
	for i, gap := range g.near[:f.n] {
		if floor := f.at(i, s); floor-gap > b.by {
			b, short = shortfall{pair: f.near[i], floor: floor, by: floor - gap, near: i, group: -1, low: floor < f.setDistance}, true
		}
	}
	return b, short
}

// passed takes note of the pairs that are clear of the set distance at the place s.
func (f *floors) passed(g *gaps, s float64) {
	for i, gap := range g.near[:f.n] {
		if gap >= f.setDistance+shrinkTolerance && !f.back {
			f.clear[i] = math.Min(f.clear[i], s)
		}
	}
}
