package bench

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/kinematics/clearance"
	"handrule/kinematics/jog"
	"handrule/scenarios/lesson"
	"handrule/scenarios/spoken"
	"handrule/words"
)

// This file compares two ways to the same place, by single joints and straight along the base frame, with the
// learner's own.

// comparison is the place that the learner wants to go to, and the ways there.
type comparison struct {
	goal     *goal
	from     *jog.Drive // the arm where the comparison began; nil before it has
	attempt  attempt
	found    *foundWays // nil until both are computed
	foundFor waysKey
}

// goal is the place to go to. Its pose is what the two ways lead to, also where any orientation will do.
type goal struct {
	lesson.Target
	kind WaysDo // what set it: WaysLesson, WaysHere or WaysNumbers
	pose kinematics.Pose
}

// How near is near enough at a place that the learner has set, mm and rad.
var (
	ownTolerance     = 1.0
	ownTurnTolerance = kinematics.Radians(1)
)

// attempt is what the learner's own way has cost so far.
type attempt struct {
	jog.Cost
	jogs    int
	reached bool
}

// foundWay is a way as it is told and played.
type foundWay struct {
	jog.Way                     // without its poses
	ok      bool                // it gets there
	frames  []kinematics.Joints // some of its poses, evenly in time
	end     kinematics.Pose     // where the TCP ends
}

type foundWays struct{ joint, straight foundWay }

// mostFrames is how many poses of a way are sent to be played.
const mostFrames = 160

// waysKey is what the two ways depend on.
type waysKey struct {
	from   standKey
	goal   kinematics.Pose
	speeds jog.Speeds
}

// waysKey is false where no ways are asked for.
func (b *Bench) waysKey() (waysKey, bool) {
	w := &b.ways
	if w.goal == nil || w.from == nil {
		return waysKey{}, false
	}
	from := b.standKey() // the tool or the set distance may have changed since
	from.joints = w.from.Joints()
	return waysKey{from, w.goal.pose, b.speeds()}, true
}

// openWays looks for both ways, by single joints and straight.
func (b *Bench) openWays(q *Question, key waysKey) {
	from := b.ways.from.Standing()
	if from.Refit(b.drive().Setup()) != nil {
		q.work, q.take = func() bool { return true }, func() {}
		return
	}
	searches := [2]*jog.WaySearch{from.JointWay(key.goal, key.speeds), from.StraightWay(key.goal, key.speeds)}
	at := 0
	q.work = func() bool {
		if searches[at].Advance(looksAtOnce) {
			at++
		}
		return at == len(searches)
	}
	q.take = func() {
		found := foundWays{joint: kept(from, searches[0]), straight: kept(from, searches[1])}
		b.ways.found, b.ways.foundFor = &found, key
	}
}

// kept keeps of a way what is told and played.
func kept(from *jog.Drive, search *jog.WaySearch) foundWay {
	w, ok := search.Way()
	last := len(w.Poses) - 1
	f := foundWay{Way: w, ok: ok, end: from.Arm().Forward(w.Poses[last]).Mul(from.Tool())}
	for i, n := 0, min(last, mostFrames-1); i <= n; i++ {
		f.frames = append(f.frames, w.Poses[i*last/max(n, 1)])
	}
	f.Poses = nil
	return f
}

// foundWays are the two ways, nil while they are not found for what is asked now.
func (b *Bench) foundWays() *foundWays {
	if key, asked := b.waysKey(); asked && b.ways.foundFor == key {
		return b.ways.found
	}
	return nil
}

// way does what the page asks about ways.
func (b *Bench) way(r *WaysRequest) error {
	if b.lesson.hides("ghost") && r.Do != WaysClear {
		return errors.New(b.in.Say("problem.lesson-ways"))
	}
	if b.lesson.counts() && r.Do != WaysClear {
		return errors.New(b.in.Say("problem.assessment-ways"))
	}
	if r.Do != WaysShow {
		b.thoughts.asked[aboutWays] = nil // to be asked anew, also where all that it depends on is as it was
	}
	switch r.Do {
	case WaysLesson, WaysHere, WaysNumbers:
		if b.drive().Moving() {
			return errors.New(b.in.Say("problem.moving"))
		}
		g, err := b.goalOf(r)
		if err != nil {
			return err
		}
		b.ways = comparison{goal: g}
		if !g.Reached(b.drive().TCP()) {
			b.ways.begin(b.drive())
		}
	case WaysBegin:
		if b.ways.goal == nil {
			return errors.New(b.in.Say("problem.no-goal"))
		}
		if b.drive().Moving() {
			return errors.New(b.in.Say("problem.moving"))
		}
		b.ways.begin(b.drive())
	case WaysClear:
		b.ways = comparison{}
	case WaysShow:
		return b.showWay(r.Way)
	default:
		return fmt.Errorf("there is nothing to do with ways by %q", r.Do)
	}
	return nil
}

func (b *Bench) goalOf(r *WaysRequest) (*goal, error) {
	here := b.drive().TCP()
	g := &goal{kind: r.Do, pose: here}
	switch r.Do {
	case WaysLesson:
		t := b.lesson.target()
		if t == nil {
			return nil, errors.New(b.in.Say("problem.no-lesson-goal"))
		}
		g.Target, g.pose.Position = *t, t.Position
		if t.Rotation != nil {
			g.pose.Rotation = *t.Rotation
		}
		return g, nil
	case WaysNumbers:
		if r.Numbers == nil {
			return nil, errors.New("the place needs its six numbers")
		}
		n := *r.Numbers
		for _, x := range n {
			if !(math.Abs(x) <= farthestNumber) {
				return nil, errors.New(b.in.Say("problem.place", "most", b.in.Fixed(farthestNumber, 0), "number", b.in.Short(x, 6)))
			}
		}
		g.pose = b.readFrame().Mul(kinematics.Pose{
			Position: r3.Vec{X: n[0], Y: n[1], Z: n[2]},
			Rotation: kinematics.FixedXYZ(kinematics.Radians(n[3]), kinematics.Radians(n[4]), kinematics.Radians(n[5])),
		})
	}
	g.Target = lesson.Target{Position: g.pose.Position, Rotation: &g.pose.Rotation, Tolerance: ownTolerance, TurnTolerance: ownTurnTolerance}
	return g, nil
}

// farthestNumber, mm or degrees, is more than any place of a sandbox needs.
const farthestNumber = 1e5

// begin begins the comparison where the arm stands.
func (c *comparison) begin(d *jog.Drive) {
	c.from = d.Standing() // what was found is kept with what it was found for
	c.attempt = attempt{Cost: d.NewCost(), reached: c.goal.Reached(d.TCP())}
}

// mounted takes note that the arm was put elsewhere.
func (c *comparison) mounted(d *jog.Drive) {
	if c.goal != nil && c.from != nil {
		c.begin(d)
	}
}

// moved counts a tick of the learner's own way.
func (c *comparison) moved(d *jog.Drive) {
	if c.counts() && !d.Waiting() {
		c.attempt.Add(d)
	}
}

// jogged counts the end of a jog.
func (c *comparison) jogged(d *jog.Drive) {
	if !c.counts() {
		return
	}
	if d.Stop().Travel > 0 {
		c.attempt.jogs++
	}
	c.attempt.reached = c.goal.Reached(d.TCP())
}

// counts reports whether the learner is on the way.
func (c *comparison) counts() bool { return c.from != nil && !c.attempt.reached }

// showWay sends the poses of one of the ways.
func (b *Bench) showWay(which WayName) error {
	found := b.foundWays()
	if found == nil {
		return errors.New(b.in.Say("problem.no-way-yet"))
	}
	var w *foundWay
	switch which {
	case WayByJoints:
		w = &found.joint
	case WayStraight:
		w = &found.straight
	default:
		return fmt.Errorf("there is no way %q", which)
	}
	m := WayMessage{Way: which, Seconds: w.Seconds(), Frames: []FrameView{}}
	for _, q := range w.frames {
		links := b.mounted.arm.Geometry.Links(q)
		view := FrameView{TCP: rounded(place(b.mounted.arm.Geometry.FlangeOf(&links).Mul(b.drive().Tool())))}
		for i, p := range places(links) {
			view.Links[i] = rounded(p)
		}
		m.Frames = append(m.Frames, view)
	}
	b.tell("way", m)
	return nil
}

// rounded keeps of a place what can be seen of it.
func rounded(p Place) Place {
	for i, x := range p.Position {
		p.Position[i] = thousandths(x)
	}
	for i, x := range p.Quaternion {
		p.Quaternion[i] = math.Round(x*1e6) / 1e6
	}
	return p
}

func (b *Bench) waysView() WaysMessage {
	w := &b.ways
	m := WaysMessage{LessonGoal: b.lesson.target() != nil && !b.lesson.hides("ghost") && !b.lesson.counts(), Begun: w.from != nil}
	if g := w.goal; g != nil {
		at := b.seen(g.pose)
		angles, _ := at.Rotation.FixedXYZ()
		m.Goal = &GoalView{
			Kind: g.kind, Target: *targetView(&g.Target, w.attempt.reached),
			PositionMM: array(at.Position), FixedXYZDeg: kinematics.Degrees3(array(angles)),
		}
	}
	if w.from != nil {
		m.Attempt = &AttemptView{Jogs: w.attempt.jogs, Reached: w.attempt.reached, Cost: b.costView(&w.attempt.Cost)}
	}
	if found := b.foundWays(); found != nil {
		m.Joint, m.Straight = b.wayView(&found.joint), b.wayView(&found.straight)
	}
	return m
}

func (b *Bench) wayView(w *foundWay) *WayView {
	v := &WayView{Jogs: []string{}, Cost: b.costView(&w.Cost), Done: w.ok, Nowhere: !w.ok && len(w.Jogs) == 0}
	for _, j := range w.Jogs {
		v.Jogs = append(v.Jogs, spoken.Jog(j, b.in))
	}
	if !w.ok && len(w.Jogs) > 0 {
		stop := stopMessage(w.Stop, b.in)
		v.Stop = &stop
		v.StopAtMM = array(b.seen(w.end).Position)
		v.ShortMM = r3.Norm(r3.Sub(b.ways.goal.pose.Position, w.end.Position))
	}
	return v
}

func (b *Bench) costView(c *jog.Cost) CostView {
	v := CostView{LengthMM: c.Length, Seconds: c.Seconds()}
	if !math.IsInf(c.Nearest.Distance, 1) {
		v.Clearance = clearanceView(c.Nearest, b.in)
	}
	return v
}

func clearanceView(p clearance.Pair, in *words.Language) *ClearanceView {
	return &ClearanceView{
		DistanceMM: p.Distance, A: spoken.PartName(p.A, in), B: spoken.PartName(p.B, in), OnA: array(p.OnA), OnB: array(p.OnB), Contact: p.Distance <= inContact,
	}
}
