package server

import (
	"context"
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
	goal    *goal
	from    *jog.Drive // the arm where the comparison began; nil before it has
	attempt attempt
	found   *foundWays // nil until both are computed
}

// goal is the place to go to. Its pose is what the two ways lead to, also where any orientation will do.
type goal struct {
	lesson.Target
	kind string // what set it: WaysLesson, WaysHere or WaysNumbers
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

// waysQuestion is what the two ways depend on.
type waysQuestion struct {
	from   *jog.Drive // stands where the comparison began
	goal   kinematics.Pose
	speeds jog.Speeds
}

func (q *waysQuestion) same(other *waysQuestion) bool {
	return q.goal == other.goal && q.speeds == other.speeds && sameArm(q.from, other.from)
}

// answer computes both ways. It ends early, with the context's error, when it is no longer wanted.
func (q *waysQuestion) answer(ctx context.Context) (*foundWays, error) {
	var told [2]foundWay
	for i, search := range [2]*jog.WaySearch{q.from.JointWay(q.goal, q.speeds), q.from.StraightWay(q.goal, q.speeds)} {
		for !search.Advance(looksAtOnce) {
			if err := ctx.Err(); err != nil {
				return nil, err
			}
		}
		told[i] = q.told(search.Way())
	}
	return &foundWays{told[0], told[1]}, nil
}

// told keeps of a way what is told and played.
func (q *waysQuestion) told(w jog.Way, ok bool) foundWay {
	last := len(w.Poses) - 1
	f := foundWay{Way: w, ok: ok, end: q.from.Arm().Forward(w.Poses[last]).Mul(q.from.Tool())}
	for i, n := 0, min(last, mostFrames-1); i <= n; i++ {
		f.frames = append(f.frames, w.Poses[i*last/max(n, 1)])
	}
	f.Poses = nil
	return f
}

// comparer works out ways beside the bench, so that the arm never waits for them. A new question ends the work on the
// one before.
type comparer struct {
	answers chan waysAnswer
	last    waysQuestion
	stop    context.CancelFunc // of the work under way or done; nil while nothing was asked
}

type waysAnswer struct {
	to    waysQuestion
	found *foundWays
}

func newComparer() *comparer { return &comparer{answers: make(chan waysAnswer)} }

// ask begins the work on the question, where it is another than before. There is none where asked is false.
func (c *comparer) ask(ctx context.Context, q waysQuestion, asked bool) {
	if asked && c.stop != nil && q.same(&c.last) {
		return
	}
	if c.stop != nil {
		c.stop()
		c.stop = nil
	}
	if !asked {
		return
	}
	var work context.Context
	work, c.stop = context.WithCancel(ctx)
	c.last = q
	go func() {
		found, err := q.answer(work)
		if err != nil {
			return
		}
		select {
		case c.answers <- waysAnswer{q, found}:
		case <-work.Done():
		}
	}()
}

// waysQuestion is what is to be asked of the comparer now; false for nothing.
func (b *bench) waysQuestion() (q waysQuestion, asked bool) {
	w := &b.ways
	if w.goal == nil || w.from == nil {
		return q, false
	}
	q = waysQuestion{from: w.from.Standing(), goal: w.goal.pose, speeds: b.speeds()}
	if q.from.Refit(b.drive.Setup()) != nil { // the tool or the set distance may have changed since
		return q, false
	}
	return q, true
}

// compared takes the ways that were found, if they still are what is asked for.
func (b *bench) compared(a waysAnswer) {
	if now, asked := b.waysQuestion(); asked && now.same(&a.to) {
		b.ways.found = a.found
		b.tellWays()
	}
}

// way does what the page asks about ways.
func (b *bench) way(r *WaysRequest) error {
	if b.lesson.hides("ghost") && r.Do != WaysClear {
		return errors.New(b.in.Say("problem.lesson-ways"))
	}
	switch r.Do {
	case WaysLesson, WaysHere, WaysNumbers:
		if b.drive.Moving() {
			return errors.New(b.in.Say("problem.moving"))
		}
		g, err := b.goalOf(r)
		if err != nil {
			return err
		}
		b.ways = comparison{goal: g}
		if !g.Reached(b.drive.TCP()) {
			b.ways.begin(b.drive)
		}
	case WaysBegin:
		if b.ways.goal == nil {
			return errors.New(b.in.Say("problem.no-goal"))
		}
		if b.drive.Moving() {
			return errors.New(b.in.Say("problem.moving"))
		}
		b.ways.begin(b.drive)
	case WaysClear:
		b.ways = comparison{}
	case WaysShow:
		return b.showWay(r.Way)
	default:
		return fmt.Errorf("there is nothing to do with ways by %q", r.Do)
	}
	b.tellWays()
	return nil
}

func (b *bench) goalOf(r *WaysRequest) (*goal, error) {
	here := b.drive.TCP()
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
	c.from, c.found = d.Standing(), nil
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

// jogged counts the end of a jog, and reports whether there is news.
func (c *comparison) jogged(d *jog.Drive) bool {
	if !c.counts() {
		return false
	}
	if d.Stop().Travel > 0 {
		c.attempt.jogs++
	}
	c.attempt.reached = c.goal.Reached(d.TCP())
	return true
}

// counts reports whether the learner is on the way.
func (c *comparison) counts() bool { return c.from != nil && !c.attempt.reached }

// showWay sends the poses of one of the ways.
func (b *bench) showWay(which string) error {
	found := b.ways.found
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
		links := b.arm.Geometry.Links(q)
		view := FrameView{TCP: rounded(place(b.tcpOf(links)))}
		for i, p := range places(links) {
			view.Links[i] = rounded(p)
		}
		m.Frames = append(m.Frames, view)
	}
	b.send("way", m)
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

func (b *bench) tellWays() {
	w := &b.ways
	m := WaysMessage{LessonGoal: b.lesson.target() != nil && !b.lesson.hides("ghost"), Begun: w.from != nil}
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
	if w.found != nil {
		m.Joint, m.Straight = b.wayView(&w.found.joint), b.wayView(&w.found.straight)
	}
	b.send("ways", m)
}

func (b *bench) wayView(w *foundWay) *WayView {
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

func (b *bench) costView(c *jog.Cost) CostView {
	v := CostView{LengthMM: c.Length, Seconds: c.Seconds()}
	if !math.IsInf(c.Nearest.Distance, 1) {
		v.Clearance = clearanceView(c.Nearest, b.in)
	}
	return v
}

func clearanceView(p clearance.Pair, in *words.Language) *ClearanceView {
	return &ClearanceView{
		DistanceMM: p.Distance, A: spoken.PartName(p.A, in), B: spoken.PartName(p.B, in), OnA: array(p.OnA), OnB: array(p.OnB), Contact: p.Distance <= touching,
	}
}
