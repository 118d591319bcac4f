package clearance

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
)

// Bodies are the capsules of a scene's arm and tool where its links are, to be asked for several distances without placing
// them anew for each. Unlike a Scene they change, so they serve one user at a time.
type Bodies struct {
	scene *Scene
	now   []placed
}

// NewBodies returns bodies that are still to be put somewhere.
func (s *Scene) NewBodies() *Bodies { return &Bodies{s, make([]placed, len(s.parts))} }

// Put puts the bodies where the links are.
func (b *Bodies) Put(links *kinematics.Links) { b.scene.place(b.now, links) }

// Distance returns the distance of a pair.
func (b *Bodies) Distance(id PairID) float64 { return b.scene.distanceAt(b.now, id) }

// Nearest returns which pair of a group has the smallest distance, and that, when some pairs are left out. NoPair and +Inf where
// there is none.
func (b *Bodies) Nearest(group int, but []PairID) (PairID, float64) {
	return b.scene.nearestOf(b.now, &b.scene.groups[group], but, math.Inf(1))
}

// NearestOfAll returns that of all groups.
func (b *Bodies) NearestOfAll(but []PairID) (PairID, float64) {
	return b.scene.nearestOfAll(b.now, but)
}

// group is the pairs of one link's capsules, for link 6 also the tool's, with those of another nearer to the base: these move by the
// joints between the two and by no others. The pairs with things are in the group of the link and the base.
type group struct {
	outer, inner int // the links
	// The first and the one after the last in the lists of parts, for pairs with things, and of pairs of parts.
	part, afterPart, crossing, afterCrossing int
	slimmest                                 float64 // see Slimmest
}

// MaxGroups is how many groups a scene may have.
const MaxGroups = 21

// Groups is how many groups the bodies' scene has.
func (b *Bodies) Groups() int { return len(b.scene.groups) }

// arrange finds the groups, and puts the pairs of parts in their order. The parts are in the order of the chain.
func (s *Scene) arrange() {
	links := func(c crossing) (outer, inner int) { return s.parts[c.b].Link, s.parts[c.a].Link }
	slices.SortStableFunc(s.crossing, func(c, d crossing) int {
		outer, inner := links(c)
		outer2, inner2 := links(d)
		return cmp.Or(outer-outer2, inner-inner2)
	})
	of := func(i int) int { // the link of a part
		if i < len(s.parts) {
			return s.parts[i].Link
		}
		return 7
	}
	at := 0
	for outer := 1; outer < 7; outer++ {
		for inner := range outer {
			g := group{outer: outer, inner: inner, crossing: at, slimmest: math.Inf(1)}
			for ; at < len(s.crossing); at++ {
				if o, i := links(s.crossing[at]); o != outer || i != inner {
					break
				}
				g.slimmest = min(g.slimmest, s.Slim(PairID(at)))
			}
			g.afterCrossing = at
			if inner == 0 && len(s.solids) > 0 {
				for of(g.part) < outer {
					g.part++
				}
				for g.afterPart = g.part; of(g.afterPart) == outer; g.afterPart++ {
					g.slimmest = min(g.slimmest, s.parts[g.afterPart].radius)
				}
			}
			if g.crossing < g.afterCrossing || g.part < g.afterPart {
				s.groups = append(s.groups, g)
			}
		}
	}
}

// Slimmest returns the smallest of what Slim is of a group's pairs, mm.
func (s *Scene) Slimmest(group int) float64 { return s.groups[group].slimmest }

// nearestOfAll returns which pair has the smallest distance, those of but left out, and that.
func (s *Scene) nearestOfAll(now []placed, but []PairID) (nearest PairID, best float64) {
	nearest, best = NoPair, math.Inf(1)
	for i := range s.groups {
		if id, d := s.nearestOf(now, &s.groups[i], but, best); d < best {
			nearest, best = id, d
		}
	}
	return nearest, best
}

// nearestOf returns which pair of a group has the smallest distance, those of but left out, and that, if it is less than best; else
// NoPair and best.
//
// A pair is measured only where nothing simpler shows it to be no nearer than the nearest so far: the distance of the
// spheres about the two or, for a thing, the gaps between the capsule and the box about the thing along its axes. Before
// that, bunches of capsules are left out by the sphere about them.
func (s *Scene) nearestOf(now []placed, of *group, but []PairID, best float64) (nearest PairID, _ float64) {
	nearest = NoPair
	for i := of.crossing; i < of.afterCrossing; i++ {
		a, b := &now[s.crossing[i].a], &now[s.crossing[i].b]
		far := best + a.reach + b.reach
		if r3.Norm2(r3.Sub(a.middle, b.middle)) >= far*far {
			continue
		}
		if d := apart(a, b); d < best && !slices.Contains(but, PairID(i)) {
			best, nearest = d, PairID(i)
		}
	}
	for i := of.part; i < of.afterPart; i += bunchSize {
		bunch := now[i:min(i+bunchSize, of.afterPart)]
		centre, reach := bunch[0].middle, bunch[0].reach
		if len(bunch) > 1 {
			centre, reach = about(bunch)
		}
		for k := range s.solids {
			t := &s.solids[k]
			if t.beyond(centre, best+reach) {
				continue
			}
			for j := range bunch {
				if x := t.distance(&bunch[j], best); x < best && !slices.Contains(but, s.thingID(i+j, k)) {
					best, nearest = x, s.thingID(i+j, k)
				}
			}
		}
	}
	return nearest, best
}
