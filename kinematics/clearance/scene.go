package clearance

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
)

// MaxCapsules is how many capsules an arm and its tool may have together.
const MaxCapsules = 64

// Part is one of the two that a Pair is between.
type Part struct {
	Name  string // "link 3", the tool's name, or the thing's
	Link  int    // the link that carries it, 0…6, where the tool belongs to link 6; Outside for a thing
	Tool  bool   // it is a capsule of the tool
	Index int    // of the capsule in the arm's or the tool's body, or of the thing in the scene's list
}

// Outside is the Link of a thing: none carries it.
const Outside = -1

// Pair is the gap between two parts: A is a capsule of the arm or the tool; B is another, nearer to the flange, or a
// thing.
type Pair struct {
	Gap
	A, B Part
}

// Scene is an arm, the tool on it and the things around it, ready to be asked. It never changes, so that several
// goroutines may ask at once.
//
// What is looked at: every capsule of links 1 to 6 and the tool against every thing; and every capsule against those
// of other links and the tool, with two exceptions. Neighbours on the chain always touch where they are joined, so
// they are left out; link 6 and the tool are neighbours, link 5 and the tool are not. And two capsules that already
// overlap at the measured pose do so because of how the arm is drawn, as where a short link 5 lies between the round ends
// of links 4 and 6; Excepted lists these. Link 0 stands where it was bolted down, so it is not looked at against the
// things.
type Scene struct {
	parts    []part // from the base outwards
	moving   int    // the first that is not of link 0
	crossing []crossing
	solids   []solid
	excepted []Pair
	levers   [7][6]float64 // by link and joint, see levers
	groups   []group
}

// part is one capsule at the measured pose in the base frame.
type part struct {
	Part
	placed
}

// crossing are the indices of two parts that must not meet.
type crossing struct{ a, b uint8 }

// solid is a thing with what it takes to leave it out quickly.
type solid struct {
	Thing
	half  r3.Vec  // half the size of the box that holds it, in its own frame
	reach float64 // half the diagonal of that box
}

// NewScene returns the scene of the arm with these capsules, this tool and these things, whose poses are in the base
// frame. Numbers that no capsule or thing can have are refused with an error that names it.
func NewScene(arm *kinematics.Arm, body []kinematics.Capsule, tool kinematics.Tool, things []Thing) (*Scene, error) {
	if n := len(body) + len(tool.Body); n > MaxCapsules {
		return nil, fmt.Errorf("the arm and the tool %s have %d capsules, more than %d", tool.Name, n, MaxCapsules)
	}
	s := &Scene{}
	for i, c := range body {
		if err := checkCapsule(c); err != nil {
			return nil, fmt.Errorf("capsule %d of the arm: %w", i+1, err)
		}
		s.add(c, Part{Name: fmt.Sprintf("link %d", c.Link), Link: c.Link, Index: i})
	}
	for i, c := range tool.Body {
		c.Link = 6
		c.From, c.To = arm.Flange.Apply(c.From), arm.Flange.Apply(c.To)
		if err := checkCapsule(c); err != nil {
			return nil, fmt.Errorf("capsule %d of the tool %s: %w", i+1, tool.Name, err)
		}
		s.add(c, Part{Name: tool.Name, Link: 6, Tool: true, Index: i})
	}
	for i, t := range things {
		if err := t.check(); err != nil {
			return nil, fmt.Errorf("thing %d, %s: %w", i+1, t.Name, err)
		}
		half := t.Shape.halfSize()
		s.solids = append(s.solids, solid{Thing: t, half: half, reach: length(half)})
	}
	slices.SortStableFunc(s.parts, func(a, b part) int { return a.place() - b.place() })
	s.moving, _ = slices.BinarySearchFunc(s.parts, 1, func(p part, place int) int { return p.place() - place })
	s.pair()
	s.levers = levers(arm, s.parts)
	s.arrange()
	return s, nil
}

func checkCapsule(c kinematics.Capsule) error {
	switch {
	case c.Link < 0 || c.Link > 6:
		return fmt.Errorf("there is no link %d; links are 0 to 6", c.Link)
	case !inRange(c.From) || !inRange(c.To):
		return fmt.Errorf("its ends %v and %v mm must be numbers within ±%.0f mm", c.From, c.To, largest)
	}
	return checkLength("radius", c.Radius)
}

func (s *Scene) add(c kinematics.Capsule, is Part) {
	half := r3.Scale(0.5, r3.Sub(c.To, c.From))
	s.parts = append(s.parts, part{is, placed{r3.Add(c.From, half), half, c.Radius, length(half) + c.Radius}})
}

// pair finds the pairs of the arm's own parts that are to be looked at. The parts are in the order of the chain.
func (s *Scene) pair() {
	for b := range s.parts {
		for a := range b {
			if s.parts[b].place()-s.parts[a].place() < 2 {
				continue
			}
			gap := BetweenCapsules(s.parts[a].capsule(), s.parts[b].capsule())
			if gap.Distance < insideTolerance {
				s.excepted = append(s.excepted, Pair{gap, s.parts[a].Part, s.parts[b].Part})
				continue
			}
			s.crossing = append(s.crossing, crossing{uint8(a), uint8(b)})
		}
	}
}

// place counts along the chain: the link, and the tool as a seventh.
func (p Part) place() int {
	if p.Tool {
		return 7
	}
	return p.Link
}

// Excepted returns the pairs of capsules that are two or more links apart, overlap at the measured pose, and are
// therefore never looked at, with their gaps at that pose.
func (s *Scene) Excepted() []Pair { return s.excepted }

// placed is the axis of a part where it is now: middle-half to middle+half.
type placed struct {
	middle, half  r3.Vec
	radius, reach float64 // reach: of the capsule from its middle
}

func (p *placed) capsule() kinematics.Capsule {
	return kinematics.Capsule{From: r3.Sub(p.middle, p.half), To: r3.Add(p.middle, p.half), Radius: p.radius}
}

// Grounds returns the things without an end, such as a floor, in the base frame.
func (s *Scene) Grounds() (grounds []Thing) {
	for i := range s.solids {
		if _, endless := s.solids[i].Shape.(HalfSpace); endless {
			grounds = append(grounds, s.solids[i].Thing)
		}
	}
	return grounds
}

// Smallest returns the pair with the smallest distance for these links, all against all but the exceptions that
// Scene names. Where nothing can touch anything, the distance is +Inf and the parts are empty.
func (s *Scene) Smallest(links kinematics.Links) Pair {
	var store [MaxCapsules]placed
	now := s.place(store[:len(s.parts)], &links)
	nearest, _ := s.nearestOfAll(now, nil)
	return s.pairAt(now, nearest)
}

// Nearer appends to ids the pairs whose distance is less than far, in no order, and to distances theirs.
func (s *Scene) Nearer(links *kinematics.Links, far float64, ids []PairID, distances []float64) ([]PairID, []float64) {
	var store [MaxCapsules]placed
	now := s.place(store[:len(s.parts)], links)
	look := func(id PairID, d float64) {
		if d < far {
			ids, distances = append(ids, id), append(distances, d)
		}
	}
	for i, c := range s.crossing {
		a, b := &now[c.a], &now[c.b]
		if out := far + a.reach + b.reach; r3.Norm2(r3.Sub(a.middle, b.middle)) < out*out {
			look(PairID(i), apart(a, b))
		}
	}
	for i := s.moving; i < len(now); i++ {
		for k := range s.solids {
			look(s.thingID(i, k), s.solids[k].distance(&now[i], far))
		}
	}
	return ids, distances
}

// Pair returns a pair for these links.
func (s *Scene) Pair(links kinematics.Links, id PairID) Pair {
	var store [MaxCapsules]placed
	return s.pairAt(s.place(store[:len(s.parts)], &links), id)
}

// PairID names a pair that a scene looks at. NoPair names none.
type PairID int32

// NoPair is the pair with the smallest distance where nothing can touch anything.
const NoPair PairID = -1

// thingID names the pair of a part and a thing. Those of two parts come first, in the order of crossing.
func (s *Scene) thingID(part, thing int) PairID {
	return PairID(len(s.crossing) + part*len(s.solids) + thing)
}

// members returns the indices of a pair's two parts, or of its part and its thing.
func (s *Scene) members(id PairID) (a, b int, thing bool) {
	if i := int(id) - len(s.crossing); i >= 0 {
		return i / len(s.solids), i % len(s.solids), true
	}
	return int(s.crossing[id].a), int(s.crossing[id].b), false
}

func (s *Scene) pairAt(now []placed, id PairID) Pair {
	if id == NoPair {
		return Pair{Gap: Gap{Distance: math.Inf(1)}}
	}
	a, b, thing := s.members(id)
	if thing {
		t := &s.solids[b].Thing
		return Pair{Between(now[a].capsule(), *t), s.parts[a].Part, Part{Name: t.Name, Link: Outside, Index: b}}
	}
	return Pair{BetweenCapsules(now[a].capsule(), now[b].capsule()), s.parts[a].Part, s.parts[b].Part}
}

func (s *Scene) distanceAt(now []placed, id PairID) float64 {
	a, b, thing := s.members(id)
	if thing {
		return s.solids[b].distance(&now[a], math.Inf(1))
	}
	return apart(&now[a], &now[b])
}

// apart returns the distance of two capsules.
func apart(a, b *placed) float64 {
	p, q, u, v := r3.Sub(a.middle, a.half), r3.Sub(b.middle, b.half), r3.Scale(2, a.half), r3.Scale(2, b.half)
	x, y := segments(p, u, q, v)
	return length(r3.Sub(along(p, u, x), along(q, v, y))) - a.radius - b.radius
}

// place writes where the capsules are for these links.
func (s *Scene) place(now []placed, links *kinematics.Links) []placed {
	for i := range now {
		p, n := &s.parts[i], &now[i]
		link := &links[p.Link]
		n.middle, n.half = r3.Add(link.Position, turned(&link.Rotation, &p.middle)), turned(&link.Rotation, &p.half)
		n.radius, n.reach = p.radius, p.reach
	}
	return now
}

// Slim returns the radius, mm, that bounds how sharply the distance of a pair can bend: that of its capsule, or of both
// together.
func (s *Scene) Slim(id PairID) float64 {
	a, b, thing := s.members(id)
	if thing {
		return s.parts[a].radius
	}
	return s.parts[a].radius + s.parts[b].radius
}

// bunchSize is how many capsules, neighbours along the chain, are left out together.
const bunchSize = 4

// about returns a ball that holds the capsules.
func about(bunch []placed) (centre r3.Vec, reach float64) {
	low, high := bunch[0].middle, bunch[0].middle
	for i := range bunch[1:] {
		m := &bunch[i+1].middle
		low = r3.Vec{X: min(low.X, m.X), Y: min(low.Y, m.Y), Z: min(low.Z, m.Z)}
		high = r3.Vec{X: max(high.X, m.X), Y: max(high.Y, m.Y), Z: max(high.Z, m.Z)}
	}
	centre = r3.Scale(0.5, r3.Add(low, high))
	for i := range bunch {
		reach = max(reach, length(r3.Sub(bunch[i].middle, centre))+bunch[i].reach)
	}
	return centre, reach
}

// beyond reports whether the thing is at least this far from the point.
func (t *solid) beyond(p r3.Vec, far float64) bool {
	way, outside := r3.Sub(p, t.Pose.Position), far+t.reach
	return r3.Norm2(way) >= outside*outside || t.Shape.signed(into(&t.Pose.Rotation, way)) >= far
}

// distance returns the capsule's distance from the thing, or +Inf where a simpler look shows that it is not below best.
func (t *solid) distance(c *placed, best float64) float64 {
	way, far := r3.Sub(c.middle, t.Pose.Position), best+c.reach+t.reach
	if r3.Norm2(way) >= far*far {
		return math.Inf(1)
	}
	middle, half, near := into(&t.Pose.Rotation, way), into(&t.Pose.Rotation, c.half), best+c.radius
	if math.Abs(middle.X)-math.Abs(half.X)-t.half.X >= near ||
		math.Abs(middle.Y)-math.Abs(half.Y)-t.half.Y >= near ||
		math.Abs(middle.Z)-math.Abs(half.Z)-t.half.Z >= near {
		return math.Inf(1)
	}
	from, d := r3.Sub(middle, half), r3.Scale(2, half)
	return t.Shape.signed(along(from, d, t.Shape.closest(from, d))) - c.radius
}

// turned returns the vector v of the measured pose as the link has turned it.
func turned(r *kinematics.Rotation, v *r3.Vec) r3.Vec {
	return r3.Vec{
		X: r.X.X*v.X + r.Y.X*v.Y + r.Z.X*v.Z,
		Y: r.X.Y*v.X + r.Y.Y*v.Y + r.Z.Y*v.Z,
		Z: r.X.Z*v.X + r.Y.Z*v.Y + r.Z.Z*v.Z,
	}
}
