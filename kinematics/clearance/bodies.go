package clearance

import (
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

// Nearest returns which pair of a link has the smallest distance, and that, when some pairs are left out. The pairs of a link
// are those of its own capsules, for link 6 also the tool's, with the things and with links nearer to the base. NoPair and
// +Inf where there is none.
func (b *Bodies) Nearest(link int, but []PairID) (PairID, float64) {
	return b.scene.nearestOf(b.now, &b.scene.links[link], but)
}

// span is what a link has in the lists of parts and of pairs of parts: the first and the one after the last.
type span struct {
	part, afterPart, crossing, afterCrossing int
	slimmest                                 float64 // the smallest radius of its capsules, mm
}

// spans finds what the links have in the lists, which are in the order of the chain.
func (s *Scene) spans() {
	for link := range s.links {
		sp := &s.links[link]
		of := func(p part) int { return p.Link - link }
		sp.part, _ = slices.BinarySearchFunc(s.parts, 0, func(p part, _ int) int { return of(p) })
		sp.afterPart, _ = slices.BinarySearchFunc(s.parts, 1, func(p part, past int) int { return of(p) - past })
		outer := func(c crossing, part int) int { return int(c.b) - part }
		sp.crossing, _ = slices.BinarySearchFunc(s.crossing, sp.part, outer)
		sp.afterCrossing, _ = slices.BinarySearchFunc(s.crossing, sp.afterPart, outer)
		sp.slimmest = math.Inf(1)
		for _, p := range s.parts[sp.part:sp.afterPart] {
			sp.slimmest = min(sp.slimmest, p.radius)
		}
	}
}

// Slimmest returns the smallest radius of a link's capsules, mm; +Inf where it has none.
func (s *Scene) Slimmest(link int) float64 { return s.links[link].slimmest }

// nearestOf returns which pair of a link has the smallest distance, those of but left out, and that.
//
// A pair is measured only where nothing simpler shows it to be no nearer than the nearest so far: the distance of the
// spheres about the two or, for a thing, the gaps between the capsule and the box about the thing along its axes. Before
// that, whole groups of capsules are left out by the sphere about them.
func (s *Scene) nearestOf(now []placed, of *span, but []PairID) (nearest PairID, best float64) {
	nearest, best = NoPair, math.Inf(1)
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
	for i := max(of.part, s.moving); i < of.afterPart; i += groupSize {
		group := now[i:min(i+groupSize, of.afterPart)]
		centre, reach := group[0].middle, group[0].reach
		if len(group) > 1 {
			centre, reach = about(group)
		}
		for k := range s.solids {
			t := &s.solids[k]
			if t.beyond(centre, best+reach) {
				continue
			}
			for j := range group {
				if x := t.distance(&group[j], best); x < best && !slices.Contains(but, s.thingID(i+j, k)) {
					best, nearest = x, s.thingID(i+j, k)
				}
			}
		}
	}
	return nearest, best
}
