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
	rest    [7]float64 // by link: the smallest of its pairs but the near ones,
	atLeast [7]bool    // which was not measured: it is no smaller than that,
	pair    [7]clearance.PairID
	near    [mostNear]float64
}

// take takes over the gaps of a place, so many of them near.
func (g *gaps) take(from *gaps, near int) {
	g.rest, g.atLeast, g.pair = from.rest, from.atLeast, from.pair
	copy(g.near[:near], from.near[:near])
}

// least returns the smallest distance but those of the near pairs.
func (g *gaps) least() float64 {
	r := &g.rest
	return min(r[0], r[1], r[2], r[3], r[4], r[5], r[6])
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
	for link := range g.rest {
		f.measureLink(bodies, link, g)
	}
	f.measureNear(bodies, g)
}

// measureLink writes that of one link.
func (f *floors) measureLink(bodies *clearance.Bodies, link int, g *gaps) {
	g.pair[link], g.rest[link] = bodies.Nearest(link, f.near[:f.n])
	g.atLeast[link] = false
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
	link  int     // where it is none: whose pair it is
	low   bool    // its floor is lower than the set distance
}

// shortfall returns the pair that is farthest below what it has to keep at the place s, and false where none is.
func (f *floors) shortfall(g *gaps, s float64) (b shortfall, short bool) {
	for link, gap := range g.rest {
		if by := f.rest - gap; by > b.by {
			b, short = shortfall{pair: g.pair[link], floor: f.rest, by: by, near: -1, link: link}, true
		}
	}
	for i, gap := range g.near[:f.n] {
		if floor := f.at(i, s); floor-gap > b.by {
			b, short = shortfall{pair: f.near[i], floor: floor, by: floor - gap, near: i, low: floor < f.setDistance}, true
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
