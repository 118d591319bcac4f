package scenarios_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/internal/reference"
	"handrule/kinematics"
	"handrule/kinematics/clearance"
	"handrule/kinematics/jog"
	"handrule/scenarios"
	"handrule/scenarios/armfile"
	"handrule/scenarios/cellfile"
)

// This file is what the referee knows of contact. Where the bodies are it works out by turning their ends about one axis after the other (gonum's
// quaternions), and distances by convex search from the bodies' definitions (internal/reference). Which pairs there are is what package clearance
// promises: everything that moves against every thing, and capsules two or more links apart that do not overlap where the arm is measured.

// surroundings are a jog's setup, and what its scene was made from.
type surroundings struct {
	setup  jog.Setup
	body   []kinematics.Capsule
	things []clearance.Thing // in the world frame
	where  string
}

// body is a capsule of the arm or the tool.
type body struct {
	kinematics.Capsule
	index int // in the arm's or the tool's list
	tool  bool
}

// place counts along the chain, the tool as a seventh link.
func (b *body) place() int {
	if b.tool {
		return 7
	}
	return b.Link
}

// couple is a body and a thing, or another body, and what has been seen of the two.
type couple struct {
	a, b  int // b: of the things where it is a thing
	thing bool

	least  float64 // mm, what the two may not fall short of
	began  float64 // how far apart they were when the jog began
	low    bool    // they began nearer than the set distance, and have not been clear of it since
	maybe  bool    // they have been clear of it, but by so little that it may not have been seen
	bound  float64 // they are at least so far apart
	now    float64 // their distance at the last tick; NaN where it was not measured
	before float64 // and at the one before
}

// watch looks on while an arm moves.
type watch struct {
	r       *referee
	c       *refereed
	bodies  []body
	solids  []reference.Solid
	into    []kinematics.Pose // from the base frame into that of a thing
	couples []couple

	q, last     kinematics.Joints
	s, lastS    float64
	axes, there []reference.Axis // of the bodies now, and at the tick before
}

// surelyClear in mm is how much farther apart than the set distance two have to have been for the arm to have seen that they were clear of it.
const surelyClear = 0.02

// longest is how many mm no point of an arm here is from an axis at most.
const longest = 5000

// newWatch looks at the jog's beginning.
func newWatch(r *referee, c *refereed) *watch {
	w := &watch{r: r, c: c}
	for i, capsule := range c.around.body {
		w.bodies = append(w.bodies, body{capsule, i, false})
	}
	for i, capsule := range c.around.setup.Tool.Body {
		capsule.Link = 6
		capsule.From, capsule.To = c.arm.Flange.Apply(capsule.From), c.arm.Flange.Apply(capsule.To)
		w.bodies = append(w.bodies, body{capsule, i, true})
	}
	for _, thing := range c.around.things {
		w.solids = append(w.solids, solidOf(thing))
		w.into = append(w.into, thing.Pose.Inverse().Mul(c.around.setup.Mount))
	}
	measured := w.axesAt(c.arm.Measured())
	for a := range w.bodies {
		for b := range w.bodies {
			p := couple{a: a, b: b}
			if w.bodies[b].place()-w.bodies[a].place() >= 2 && w.distance(&p, measured) >= 1e-6 {
				w.couples = append(w.couples, p)
			}
		}
		for k := range w.solids {
			if w.bodies[a].place() > 0 {
				w.couples = append(w.couples, couple{a: a, b: k, thing: true})
			}
		}
	}
	w.q = c.start
	w.axes = w.axesAt(w.q)
	for i := range w.couples {
		p := &w.couples[i]
		p.began = w.distance(p, w.axes)
		p.bound, p.now, p.before = p.began, p.began, math.NaN()
		p.least = math.Min(p.began, w.setDistance())
		p.low = p.began < w.setDistance()+2e-7
	}
	return w
}

func (w *watch) setDistance() float64 { return w.c.around.setup.SetDistance }

// solidOf is a thing's shape by its definition.
func solidOf(thing clearance.Thing) reference.Solid {
	switch s := thing.Shape.(type) {
	case clearance.Sphere:
		return reference.Ball(s.Radius)
	case clearance.HalfSpace:
		return reference.HalfSpace
	case clearance.Box:
		return reference.Box(s.Size)
	case clearance.Cylinder:
		return reference.Cylinder(s.Radius, s.Height)
	}
	panic("a shape that this test does not know")
}

// axesAt are the bodies' axes in the base frame, for joint angles: the joints turn what they carry one after the other, the last first.
func (w *watch) axesAt(q kinematics.Joints) []reference.Axis {
	var turns [6]r3.Rotation
	for i, j := range w.c.arm.Joints {
		turns[i] = r3.NewRotation(q[i]-j.Measured, j.Axis)
	}
	axes := make([]reference.Axis, len(w.bodies))
	for k, b := range w.bodies {
		carried := func(p r3.Vec) r3.Vec {
			for i := b.Link - 1; i >= 0; i-- {
				at := w.c.arm.Joints[i].At
				p = r3.Add(at, turns[i].Rotate(r3.Sub(p, at)))
			}
			return p
		}
		axes[k] = reference.Axis{From: carried(b.From), To: carried(b.To)}
	}
	return axes
}

// distance is how far the two are apart, with the bodies' axes there.
func (w *watch) distance(p *couple, axes []reference.Axis) float64 {
	a := axes[p.a]
	if p.thing {
		into := &w.into[p.b]
		return reference.Axis{From: into.Apply(a.From), To: into.Apply(a.To)}.ToSolid(w.solids[p.b]) - w.bodies[p.a].Radius
	}
	return a.ToAxis(axes[p.b]) - w.bodies[p.a].Radius - w.bodies[p.b].Radius
}

func (w *watch) named(p *couple) string {
	of := func(i int) string {
		b := &w.bodies[i]
		return fmt.Sprintf("capsule %d of %s", b.index, map[bool]string{false: fmt.Sprintf("link %d", b.Link), true: "the tool"}[b.tool])
	}
	if p.thing {
		return of(p.a) + " and " + w.c.around.things[p.b].Name
	}
	return of(p.a) + " and " + of(p.b)
}

// tick looks at the arm after a tick, and between it and the tick before where something is near. It says what is wrong.
func (w *watch) tick(d *jog.Drive) string {
	w.last, w.lastS, w.there = w.q, w.s, w.axes
	w.q, w.s = d.Joints(), d.Travel()
	w.axes = w.axesAt(w.q)
	if e, _ := w.r.missing(w.q, w.r.path(w.s)); w.c.jog.Frame != jog.JointFrame && reference.Size(e) > 1e-8 {
		return fmt.Sprintf("%.3g off the path", reference.Size(e))
	}
	for i, j := range w.c.arm.Joints {
		if w.q[i] > math.Max(j.Max, w.c.start[i])+1e-9 || w.q[i] < math.Min(j.Min, w.c.start[i])-1e-9 {
			return fmt.Sprintf("J%d is beyond its limit", i+1)
		}
	}
	move := make([]float64, len(w.bodies)) // how far the points of a body went at most, along straight lines
	for i := range move {
		move[i] = math.Max(r3.Norm(r3.Sub(w.axes[i].From, w.there[i].From)), r3.Norm(r3.Sub(w.axes[i].To, w.there[i].To)))
	}
	for i := range w.couples {
		p := &w.couples[i]
		went, slim := move[p.a], w.bodies[p.a].Radius
		first, last := 0, w.bodies[p.a].Link
		if !p.thing {
			went += move[p.b]
			slim += w.bodies[p.b].Radius
			first, last = last, w.bodies[p.b].Link
		}
		turn := 0.0 // of the joints between the two
		for i := first; i < last; i++ {
			turn += math.Abs(w.q[i] - w.last[i])
		}
		if !p.thing {
			went = math.Min(went, turn*longest) // of the one as seen from the other
		}
		p.bound -= went
		p.before, p.now = p.now, math.NaN()
		if p.bound > math.Max(p.least, w.setDistance())+2*went+surelyClear {
			continue
		}
		if math.IsNaN(p.before) {
			p.before = w.distance(p, w.there)
		}
		p.now = w.distance(p, w.axes)
		p.bound = p.now
		// Along a straight line, the distance of two capsules bends no more than a circle with the radius of both; the lines are arcs as bent
		// as the joints turn. This is twice as much as that comes to between two ticks.
		dip := (went*went/slim + 2*turn*went) / 4
		if f, g := p.before-p.least, p.now-p.least; f+g < 1.2*went && math.Min(f, g) < math.Min(dip, 0.6*went) {
			if lowest, at := w.lowest(p); lowest < p.least-2e-5 {
				return fmt.Sprintf("%s were %.9g mm apart at %.12g along, and are not to be nearer than %.9g", w.named(p), lowest, at, p.least)
			}
		}
		if p.now < p.least-1e-6 {
			return fmt.Sprintf("%s are %.9g mm apart, and are not to be nearer than %.9g", w.named(p), p.now, p.least)
		}
		if p.low && p.now > w.setDistance()+1e-7 {
			p.maybe = true
			if p.now > w.setDistance()+surelyClear {
				p.low, p.maybe, p.least = false, false, w.setDistance()
			}
		}
	}
	return ""
}

// between is the arm between the last two ticks.
func (w *watch) between(s float64) kinematics.Joints {
	part := (s - w.lastS) / (w.s - w.lastS)
	q := w.last
	for i := range q {
		q[i] += part * (w.q[i] - w.last[i])
	}
	if w.c.jog.Frame == jog.JointFrame {
		return q
	}
	// Where joints can share their turn in many ways, one that is found there may be any of these, which is not in between.
	if on, ok := w.r.stand(q, w.r.path(s), 40); ok && farthest(on, q) <= farthest(w.q, w.last) {
		return on
	}
	return q
}

// farthest is by how much the joint turns that turns most from one to the other, rad.
func farthest(p, q kinematics.Joints) float64 {
	most := 0.0
	for i := range p {
		most = math.Max(most, math.Abs(p[i]-q[i]))
	}
	return most
}

// lowest returns the least distance of the two between the last two ticks, and where: the least of some places in between, and about it by
// golden section.
func (w *watch) lowest(p *couple) (least, at float64) {
	const pieces = 6
	if !(w.s > w.lastS) {
		return math.Min(p.before, p.now), w.s
	}
	least = math.Inf(1)
	f := func(s float64) float64 {
		d := w.distance(p, w.axesAt(w.between(s)))
		if d < least {
			least, at = d, s
		}
		return d
	}
	step := (w.s - w.lastS) / pieces
	var some [pieces + 1]float64
	best := 0
	for k := range some {
		if some[k] = f(w.lastS + float64(k)*step); some[k] < some[best] {
			best = k
		}
	}
	if over := some[best] - p.least; some[max(best-1, 0)]-some[best] < over && some[min(best+1, pieces)]-some[best] < over {
		return least, at // along a straight line a distance is convex: it cannot fall so much in between
	}
	bestS := w.lastS + float64(best)*step
	reference.Golden(f, math.Max(w.lastS, bestS-step), math.Min(w.s, bestS+step), 16)
	return least, at
}

// judge says what is wrong with a stop as far as something near is concerned.
func (w *watch) judge(d *jog.Drive) string {
	stop := d.Stop()
	switch stop.Reason {
	case jog.Contact, jog.SetDistance:
		return w.judgeContact(d, stop)
	case jog.JointLimit:
		j := w.c.arm.Joints[stop.Joint]
		if off := math.Abs(w.q[stop.Joint] - stop.Limit); off > 1e-6 || stop.Limit != j.Min && stop.Limit != j.Max {
			return fmt.Sprintf("J%d is %.3g° from its limit", stop.Joint+1, kinematics.Degrees(off))
		}
	case jog.Singularity, jog.OutOfReach:
		if w.c.jog.Frame == jog.JointFrame {
			return "a joint by itself is stopped by its limit, or by what is in its way"
		}
		// Of what is at the same place contact is told first.
		before, ok := w.r.stand(w.q, w.r.path(w.s-1e-3), 60)
		for i := range w.couples {
			p := &w.couples[i]
			if p.low || !(p.bound < p.least+1e-3) {
				continue
			}
			if now := w.distance(p, w.axes); now < p.least+4e-7 && ok && w.distance(p, w.axesAt(before)) > now+1e-6 {
				return fmt.Sprintf("%s have come within %.9g mm of each other", w.named(p), now)
			}
		}
	case jog.Uncomputed:
		return "it was not computed"
	}
	return ""
}

// onward is the arm a little further along: on stretches of so many mm or hundredths of a rad.
func (w *watch) onward(over float64) (on []kinematics.Joints) {
	j := w.c.jog
	if !j.Straight() {
		over *= 1e-2
	}
	if j.Frame != jog.JointFrame {
		return w.r.goOn(w.q, w.s, over, j.Speed).on
	}
	for k := range 8 {
		q := w.q
		q[j.Axis] += float64(j.Sign) * over * float64(k+1) / 8
		on = append(on, q)
	}
	return on
}

func (w *watch) judgeContact(d *jog.Drive, stop jog.Stop) string {
	var touched *couple
	same := func(i int, part clearance.Part) bool {
		b := &w.bodies[i]
		return b.index == part.Index && b.tool == part.Tool && b.Link == part.Link
	}
	for i := range w.couples {
		p := &w.couples[i]
		inOrder := same(p.a, stop.Touch.A) && (p.thing && stop.Touch.B.Link == clearance.Outside && stop.Touch.B.Index == p.b || !p.thing && stop.Touch.B.Link != clearance.Outside && same(p.b, stop.Touch.B))
		if inOrder {
			touched = p
		}
	}
	if touched == nil {
		return fmt.Sprintf("%s and %s can not touch", stop.Touch.A.Name, stop.Touch.B.Name)
	}
	p, set := touched, w.setDistance()
	now := w.distance(p, w.axes)
	least := p.least
	if p.maybe && math.Abs(now-set) < math.Abs(now-least) {
		least = set
	}
	atOnce := 8e-6 // mm, of which the first step is an eighth; or as many rad
	if !w.c.jog.Straight() {
		atOnce *= 1e2
	}
	next := w.onward(atOnce)
	// Two that began nearer than the set distance may have been as near all the way: for them the place along the path is what is exact.
	within := math.Abs(now-least) <= 1e-6
	if p.low && len(next) > 0 {
		within = within || now > least && w.distance(p, w.axesAt(next[0])) < least+1e-6
	}
	// Where the branch ends at once, joints turn without bound, and contact is told before that end.
	if p.low && len(next) == 0 {
		within = within || now > least && now < least+1e-3
	}
	switch want := (stop.Reason == jog.SetDistance); {
	case !within:
		return fmt.Sprintf("%s are %.9g mm apart, and may be as near as %.9g", w.named(p), now, least)
	case math.Abs(stop.Touch.Distance-now) > 1e-8:
		return fmt.Sprintf("%s are %.9g mm apart, and %.9g is told", w.named(p), now, stop.Touch.Distance)
	case want != (set > 0 && least >= 0) && math.Abs(least) > 2e-7:
		return fmt.Sprintf("%s may be as near as %.9g mm, with a set distance of %g", w.named(p), least, set)
	case stop.Began != (stop.Travel == 0):
		return fmt.Sprintf("began like this: %v, after %g", stop.Began, stop.Travel)
	}
	// Of what is at the same place a joint's limit is told first (package jog, "What a stop promises").
	if len(next) > 0 {
		for i, j := range w.c.arm.Joints {
			if math.Abs(j.Max-w.q[i]) < 5e-7 && next[0][i] > j.Max+3e-10 || math.Abs(w.q[i]-j.Min) < 5e-7 && next[0][i] < j.Min-3e-10 {
				return fmt.Sprintf("J%d is at its limit, which is told first", i+1)
			}
		}
	}
	if w.c.jog.Frame != jog.JointFrame && w.r.free(w.q) {
		return "" // in which way it would go on is a rule and no fact
	}
	on := append(append(append(next, w.onward(1e-4)...), w.onward(1e-2)...), w.onward(0.5)...)
	for _, q := range on {
		if w.distance(p, w.axesAt(q)) < least+1e-9 {
			return ""
		}
	}
	if len(on) == 0 {
		return "" // there is no going on either, and contact is told first
	}
	return fmt.Sprintf("%s do not come nearer than %.9g mm further on", w.named(p), least)
}

// someThings draws boxes, cylinders and spheres in an arm's reach, some of them with round numbers, and perhaps a floor.
func someThings(rnd *rand.Rand) (things []clearance.Thing) {
	for range rnd.IntN(7) {
		round := rnd.IntN(2) == 0
		number := func(least, most float64) float64 {
			x := least + rnd.Float64()*(most-least)
			if round {
				x = 10 * math.Round(x/10)
			}
			return x
		}
		thing := clearance.Thing{Name: "block"}
		switch rnd.IntN(3) {
		case 0:
			thing.Shape = clearance.Box{Size: r3.Vec{X: number(10, 200), Y: number(10, 200), Z: number(10, 200)}}
		case 1:
			thing.Shape = clearance.Cylinder{Radius: number(10, 80), Height: number(10, 200)}
		default:
			thing.Shape = clearance.Sphere{Radius: number(10, 80)}
		}
		thing.Pose.Position = r3.Vec{X: number(-900, 900), Y: number(-900, 900), Z: number(-600, 900)}
		turn := func() float64 {
			if round {
				return float64(rnd.IntN(13)-6) * math.Pi / 12
			}
			return math.Pi * (2*rnd.Float64() - 1)
		}
		thing.Pose.Rotation = kinematics.FixedXYZ(turn(), turn(), turn())
		things = append(things, thing)
	}
	if rnd.IntN(3) == 0 {
		things = append(things, clearance.Floor(-float64(10*(10+rnd.IntN(40)))))
	}
	return things
}

// drawAmong draws a jog of a shipped arm in a shipped cell, or of a round, random or searched arm with a body among drawn things.
func drawAmong(rnd *rand.Rand) (c refereed) {
	for {
		setDistance := []float64{0, 0, 0, 3, 10, 25, 50 * rnd.Float64()}[rnd.IntN(7)]
		around := &surroundings{}
		if rnd.IntN(2) == 0 {
			cells, arms := scenarios.ShippedCells(), scenarios.ShippedArms()
			cell, arm := cells[rnd.IntN(len(cells))], arms[rnd.IntN(len(arms))]
			tools := append([]kinematics.Tool{kinematics.NoTool}, cell.ToolsFor(arm)...)
			tool := tools[rnd.IntN(len(tools))]
			setup, err := (&cellfile.Stand{Arm: arm, Cell: cell}).Setup(tool, setDistance)
			if err != nil {
				continue // they are not for each other
			}
			around.setup, around.body, around.things, around.where = setup, arm.Body, cell.Things, "on "+cell.ID
			c.name = arm.ID + " with " + tool.Name
		} else {
			arm, name := roundArm(rnd), "a round arm"
			switch rnd.IntN(4) {
			case 0:
				arm, name = randomArm(rnd), "a random arm"
			case 1:
				arm, name = searchedArm(rnd), "a searched arm"
			}
			for link := 1; link <= 6; link++ {
				end := arm.Flange.Position
				if link < 6 {
					end = arm.Joints[link].At
				}
				around.body = append(around.body, kinematics.Capsule{Link: link, From: arm.Joints[link-1].At, To: end, Radius: float64(5 + rnd.IntN(36))})
			}
			around.things, around.where, c.name = someThings(rnd), "among drawn things", name
			around.setup = jog.Setup{Arm: arm, Tool: kinematics.NoTool, Mount: kinematics.Identity, SetDistance: setDistance}
			if rnd.IntN(2) == 0 {
				around.setup.Tool = kinematics.Tool{Name: "pen", TCP: kinematics.Pose{Position: r3.Vec{Z: 120}, Rotation: kinematics.NoRotation},
					Body: []kinematics.Capsule{{Link: 6, From: r3.Vec{Z: 12}, To: r3.Vec{Z: 80}, Radius: 12}, {Link: 6, From: r3.Vec{Z: 80}, To: r3.Vec{Z: 117}, Radius: 3}}}
			}
			scene, err := jog.Scene(arm, around.body, around.setup.Tool, kinematics.Identity, around.things)
			if err != nil {
				panic(err)
			}
			around.setup.Scene = scene
		}
		jogged := drawWith(rnd, &armfile.Arm{ID: c.name, Geometry: around.setup.Arm})
		c.arm, c.tool, c.jog, c.around = around.setup.Arm, around.setup.Tool.TCP, jogged.jog, around
		c.jog.Frame = []jog.Frame{jog.BaseFrame, jog.ToolFrame, jog.WorldFrame, jog.JointFrame}[rnd.IntN(4)]
		if c.jog.Frame == jog.JointFrame {
			c.jog.Amount, c.jog.Speed = 2*math.Pi, kinematics.Radians([]float64{15, 60}[rnd.IntN(2)])
		}
		free := rnd.IntN(8) > 0 // from where nothing touches
		for range 40 {
			c.start = specialStart(rnd, c.arm)
			if rnd.IntN(2) == 0 {
				c.start = randomStart(rnd, c.arm)
			}
			least := math.Inf(1)
			for _, p := range newWatch(&referee{}, &c).couples {
				least = math.Min(least, p.began)
			}
			if least > 0 || !free && !math.IsInf(least, 1) {
				return c
			}
		}
	}
}

// Jogs in cells, of shipped arms and of others, as far as they go. All is judged that TestRefereeOfStops judges, and contact and set distance besides.
func TestRefereeOfStopsInCells(t *testing.T) {
	t.Parallel()
	judgeStops(t, drawAmong, jog.JointLimit, jog.Contact, jog.SetDistance)
}

// Jogs that begin with a joint on its limit and with two too near to each other, and would make both worse: the limit is told, as of all that
// is at the same place. Once the other was.
func TestALimitAtTheStartIsToldBeforeContact(t *testing.T) {
	for _, n := range []uint64{1680, 3258, 4098, 4228, 4896, 5429, 5778} {
		rnd := rand.New(rand.NewPCG(20260101, n))
		c := drawAmong(rnd)
		if stop, wrong := c.judged(t, rnd); wrong != "" || stop.Reason != jog.JointLimit || stop.Travel > 1e-6 {
			t.Errorf("case %d: %v: %v: %s", n, &c, stop, wrong)
		}
	}
}
