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

// fence is what no distance may fall short of on a path: the set distance, and for a pair that is nearer when the jog begins what it
// is then, until the two are clear of the set distance.
type fence struct {
	setDistance float64
	rest        float64 // mm, for all pairs but the near ones; the set distance, unless too many are near
	near        [mostNear]clearance.PairID
	floor       [mostNear]float64 // mm, of each of them until they are clear
	clear       [mostNear]float64 // the place from which on they keep the set distance; +Inf while it is not known
	n           int
}

// at returns what the near pair i may not fall short of at the place s.
func (f *fence) at(i int, s float64) float64 {
	if s > f.clear[i] {
		return f.setDistance
	}
	return f.floor[i]
}

// gaps are the distances at a place, mm; +Inf without a scene.
type gaps struct {
	rest float64 // the smallest of all pairs but the near ones
	pair clearance.PairID
	near [mostNear]float64
}

// newFence returns the fence of an arm that stands at q.
func newFence(setup *Setup, q *kinematics.Joints) fence {
	f := fence{setDistance: setup.SetDistance, rest: setup.SetDistance}
	ids, distances := setup.Scene.Nearer(setup.Arm.Links(*q), setup.SetDistance+scraping, nil, nil)
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
			f.rest = math.Min(f.setDistance, distances[i]-scraping)
			break
		}
		f.near[k], f.floor[k], f.clear[k], f.n = ids[i], distances[i]-scraping, math.Inf(1), k+1
	}
	return f
}

// measure returns the distances at the joint angles q.
func (f *fence) measure(setup *Setup, q *kinematics.Joints) (g gaps) {
	g.pair, g.rest = setup.Scene.SmallestBut(setup.Arm.Links(*q), f.near[:f.n], g.near[:f.n])
	return g
}

// measureNear does the same for the near pairs alone, where the others are known to be far off.
func (f *fence) measureNear(setup *Setup, q *kinematics.Joints) gaps {
	g := gaps{pair: clearance.NoPair, rest: math.Inf(1)}
	setup.Scene.Distances(setup.Arm.Links(*q), f.near[:f.n], g.near[:f.n])
	return g
}

// breach is a pair that is nearer than its floor.
type breach struct {
	pair  clearance.PairID
	floor float64
	near  bool // that is lower than the set distance
}

// breached returns the pair that is farthest below what it has to keep at the place s, and false where none is.
func (f *fence) breached(g *gaps, s float64) (b breach, yes bool) {
	least := 0.0
	if m := g.rest - f.rest; m < least {
		b, yes, least = breach{pair: g.pair, floor: f.rest}, true, m
	}
	for i, gap := range g.near[:f.n] {
		if floor := f.at(i, s); gap-floor < least {
			b, yes, least = breach{f.near[i], floor, floor < f.setDistance}, true, gap-floor
		}
	}
	return b, yes
}

// passed takes note of the pairs that are clear of the set distance at the place s.
func (f *fence) passed(g *gaps, s float64) {
	for i, gap := range g.near[:f.n] {
		if gap >= f.setDistance+scraping {
			f.clear[i] = math.Min(f.clear[i], s)
		}
	}
}
