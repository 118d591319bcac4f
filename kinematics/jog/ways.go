package jog

import (
	"cmp"
	"context"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
)

// Way is a sequence of jogs from where an arm stands, run by the motion code, and what it costs.
type Way struct {
	Jogs  []Jog
	Poses []kinematics.Joints // where the arm passes, a pose a tick, beginning with where it stands
	Cost
	Stop Stop // how the last jog ended
}

// Done reports whether every jog was completed.
func (w *Way) Done() bool { return len(w.Jogs) == 0 || w.Stop.Reason == Done }

// Speeds are what the jogs of a way are driven at.
type Speeds struct {
	Straight float64 // mm/s
	Turn     float64 // rad/s, of turns about the TCP and of single joints
}

func (s Speeds) of(d Direction) float64 {
	if d.Straight() {
		return s.Straight
	}
	return s.Turn
}

// Try runs these jogs one after the other on a copy of the arm, which itself stays where it is. It ends at the first
// jog that cannot be completed.
func (d *Drive) Try(jogs []Jog) Way {
	run := *d
	w := Way{Poses: []kinematics.Joints{run.q}, Cost: run.NewCost()}
	for _, j := range jogs {
		w.Jogs = append(w.Jogs, j)
		if err := run.Start(j); err != nil {
			w.Stop = Stop{Reason: OutOfReach, Jog: j}
			break
		}
		for going := true; going; {
			going = run.Tick()
			w.Poses = append(w.Poses, run.q)
			w.Cost.Add(&run)
		}
		if w.Stop = run.Stop(); w.Stop.Reason != Done {
			break
		}
	}
	return w
}

// Step returns the jog by a signed amount, mm or rad, along or about the axis of d, whose Sign it sets.
func (s Speeds) Step(d Direction, amount float64) Jog {
	d.Sign = 1
	if amount < 0 {
		d.Sign, amount = -1, -amount
	}
	return Jog{Direction: d, Amount: amount, Speed: s.of(d)}
}

// mostTries is how many jogs are looked along in search of one way.
const mostTries = 2000

// negligible is how little, in mm or rad, is left over as no jog of its own.
const negligible = 1e-9

// JointWay returns the shortest way to the target by single joints: fewest jogs first, then least time. It reports
// false where no order of them gets there; the way is then the attempt with the fewest jogs that got farthest, without a
// jog where no joint angles within the limits put the TCP there. The search ends early, with the context's error, when it is no longer wanted.
func (d *Drive) JointWay(ctx context.Context, target kinematics.Pose, speeds Speeds) (Way, bool, error) {
	var plans []plan
	for _, end := range d.Ends(target) {
		var p plan
		for i := range end {
			if turn := end[i] - d.q[i]; math.Abs(turn) > negligible {
				p.add(Direction{Frame: JointFrame, Axis: i}, turn, speeds)
			}
		}
		plans = append(plans, p)
	}
	return d.best(ctx, plans)
}

// Ends returns the joint angles within the limits that put the TCP there, in every posture and with every number of turns.
func (d *Drive) Ends(target kinematics.Pose) (ends []kinematics.Joints) {
	var store [16]kinematics.Solution
	for _, s := range d.setup.Arm.Inverse(store[:0], target.Mul(d.setup.Tool.TCP.Inverse()), d.q) {
		ends = d.setup.Arm.Turns(ends, s.Joints)
	}
	return ends
}

// StraightWay returns the shortest way to the target by jogs straight along and about the base frame's axes: fewest
// jogs first, then least time. It reports false where no order of them gets there; the way is then the attempt with
// the fewest jogs that got farthest. The search ends early, with the context's error, when it is no longer wanted.
func (d *Drive) StraightWay(ctx context.Context, target kinematics.Pose, speeds Speeds) (Way, bool, error) {
	from := d.TCP()
	move := r3.Sub(target.Position, from.Position)
	turn := target.Rotation.Mul(from.Rotation.Transpose())
	var plans []plan
	for _, turns := range turnsAboutAxes(turn) {
		var p plan
		for axis, mm := range [3]float64{move.X, move.Y, move.Z} {
			if math.Abs(mm) > negligible {
				p.add(Direction{Frame: BaseFrame, Axis: axis}, mm, speeds)
			}
		}
		p.free = len(p.jogs)
		for _, t := range turns {
			if math.Abs(t.angle) > negligible {
				p.add(Direction{Frame: BaseFrame, Axis: 3 + t.axis}, t.angle, speeds)
			}
		}
		plans = append(plans, p)
	}
	return d.best(ctx, plans)
}

// plan is a set of jogs whose order is open: the first so many in any order, the others in theirs.
type plan struct {
	jogs    []Jog
	free    int
	seconds float64
}

func (p *plan) add(d Direction, amount float64, speeds Speeds) {
	step := speeds.Step(d, amount)
	p.jogs = append(p.jogs, step)
	p.seconds += step.Amount / step.Speed
	if d.Frame == JointFrame {
		p.free = len(p.jogs)
	}
}

// best returns the first of the plans, the shortest first, that gets to its end in some order.
func (d *Drive) best(ctx context.Context, plans []plan) (Way, bool, error) {
	slices.SortStableFunc(plans, func(a, b plan) int {
		if n := len(a.jogs) - len(b.jogs); n != 0 {
			return n
		}
		return cmp.Compare(a.seconds, b.seconds)
	})
	o := ordering{ctx: ctx, start: d}
	var simplest []Jog // where no plan works out, it is the shortest whose trouble is told
	for i, p := range plans {
		if o.search(d, nil, p.jogs, p.free) {
			return o.found, true, nil
		}
		if i == 0 {
			simplest = o.farthest
		}
	}
	if err := ctx.Err(); err != nil {
		return Way{}, false, err
	}
	return d.Try(simplest), false, nil
}

// ordering looks for an order in which all jogs of a plan can be completed, depth first.
type ordering struct {
	ctx      context.Context
	start    *Drive
	tries    int
	found    Way
	farthest []Jog // the longest attempt, with the jog that could not be completed
}

// search goes on from there, after the jogs that are done. Of those left, the first so many may come in any order.
func (o *ordering) search(from *Drive, done, left []Jog, free int) bool {
	if len(left) == 0 {
		// Looking along the path takes no time, and so has not seen all: the way counts when it has been driven.
		o.found = o.start.Try(done)
		return o.found.Done()
	}
	for i := range left {
		if i > free {
			break // only the first of those that have an order can be next
		}
		if o.tries++; o.tries > mostTries || o.ctx.Err() != nil {
			return false
		}
		next := *from
		attempt := append(slices.Clone(done), left[i])
		if !next.arrive(left[i]) {
			if len(attempt) > len(o.farthest) {
				o.farthest = attempt
			}
			continue
		}
		others := free
		if i < free {
			others--
		}
		if o.search(&next, attempt, slices.Delete(slices.Clone(left), i, i+1), others) {
			return true
		}
	}
	return false
}

// arrive looks along the jog's path to its end and puts the arm there, if nothing on the path ends the jog earlier.
func (d *Drive) arrive(j Jog) bool {
	if d.Start(j) != nil {
		return false
	}
	for d.look() {
		d.ahead.drop(d.ahead.s)
	}
	d.moving = false
	if d.ahead.closed {
		return false
	}
	d.q = d.ahead.q
	return true
}

// axisTurn is a turn about an axis of the base frame.
type axisTurn struct {
	axis  int
	angle float64
}

// turnsAboutAxes returns the ways to make a turn by three turns about the fixed X, Y and Z axes, each once: the six
// orders, each with its two solutions (Craig, Introduction to Robotics, appendix B, lists the 24 conventions; these
// are the fixed ones with three different axes). Those that need fewer turns have zeros.
func turnsAboutAxes(turn kinematics.Rotation) [][3]axisTurn {
	var ways [][3]axisTurn
	for first := range 3 {
		for _, step := range [2]int{1, 2} {
			second := (first + step) % 3
			third := (second + step) % 3
			sign := float64(3 - 2*step) // the order is cyclic or not
			// turn = T3(c)·T2(b)·T1(a): the first axis, turned, has the third axis' component −sign·sin b.
			m := turn.Matrix()
			sin := -sign * m[third][first]
			cos := math.Hypot(m[third][second], m[third][third])
			for _, branch := range [2]float64{1, -1} {
				cos := branch * cos
				b := math.Atan2(sin, cos)
				var a, c float64
				if math.Abs(cos) < negligible {
					// The first and third axis coincide: the first does it all.
					a = math.Atan2(-sign*m[second][third], m[second][second])
				} else {
					a = math.Atan2(sign*branch*m[third][second], branch*m[third][third])
					c = math.Atan2(sign*branch*m[second][first], branch*m[first][first])
				}
				ways = append(ways, [3]axisTurn{{first, a}, {second, b}, {third, c}})
			}
		}
	}
	return ways
}
