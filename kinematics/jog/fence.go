package jog

import (
	"math"
	"slices"

	"handrule/kinematics"
	"handrule/kinematics/clearance"
)

// mostNear is how many pairs have a floor of their own. Where more are inside the guard, the others share the floor of the
// nearest among them.
const mostNear = 32

// fence is what no distance may fall short of: the guard, and for a pair that is nearer already its own distance.
type fence struct {
	guard float64
	rest  float64 // mm, for all pairs but the near ones; the guard, unless too many are near
	near  [mostNear]clearance.PairID
	floor [mostNear]float64 // mm, of each of them
	n     int
}

// gaps are the distances at a place, mm; +Inf without a scene.
type gaps struct {
	rest float64 // the smallest of all pairs but the near ones
	pair clearance.PairID
	near [mostNear]float64
}

// newFence returns the fence of an arm that stands at q.
func newFence(setup *Setup, q *kinematics.Joints) fence {
	f := fence{guard: setup.Guard, rest: setup.Guard}
	ids, distances := setup.Scene.Nearer(setup.Arm.Links(*q), setup.Guard+scraping, nil, nil)
	if len(ids) == 0 {
		return f
	}
	order := make([]int, len(ids))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(i, j int) int { return int(math.Copysign(1, distances[i]-distances[j])) })
	for k, i := range order {
		if k == mostNear {
			f.rest = math.Min(f.guard, distances[i]-scraping)
			break
		}
		f.near[k], f.floor[k], f.n = ids[i], distances[i]-scraping, k+1
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
	near  bool // it has a floor of its own
}

// breached returns the pair that is farthest below its floor, and false where none is.
func (f *fence) breached(g *gaps) (b breach, yes bool) {
	least := 0.0
	if m := g.rest - f.rest; m < least {
		b, yes, least = breach{pair: g.pair, floor: f.rest}, true, m
	}
	for i, gap := range g.near[:f.n] {
		if m := gap - f.floor[i]; m < least {
			b, yes, least = breach{f.near[i], f.floor[i], true}, true, m
		}
	}
	return b, yes
}

// raise brings the fence up to the arm that has been at those distances: out of contact, or out of the guard, a pair may go
// on to where it is farther apart, but not come nearer again. A pair that is clear of the guard is near no more.
func (f *fence) raise(g *gaps) {
	f.rest = math.Max(f.rest, math.Min(f.guard, g.rest-scraping))
	for i := f.n - 1; i >= 0; i-- {
		f.floor[i] = math.Max(f.floor[i], math.Min(f.guard, g.near[i]-scraping))
		if f.floor[i] < f.guard {
			continue
		}
		if g.near[i] < g.rest {
			g.rest, g.pair = g.near[i], f.near[i]
		}
		f.n--
		f.near[i], f.floor[i], g.near[i] = f.near[f.n], f.floor[f.n], g.near[f.n]
	}
}
