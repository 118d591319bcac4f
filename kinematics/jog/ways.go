package jog

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
)

// Way is a sequence of jogs from where an arm stands, run by the motion code, and what it costs.
type Way struct {
	Jogs    []Jog
	Poses   []kinematics.Joints // where the arm passes, a pose a tick, beginning with where it stands
	Length  float64             // of the TCP's path, mm
	Seconds float64
	Stop    Stop // how the last jog ended
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
	w := Way{Poses: []kinematics.Joints{run.q}}
	at := run.TCP().Position
	began := run.Ticks
	for _, j := range jogs {
		w.Jogs = append(w.Jogs, j)
		if err := run.Start(j); err != nil {
			w.Stop = Stop{Reason: OutOfReach, Jog: j}
			break
		}
		for going := true; going; {
			going = run.Tick()
			w.Poses = append(w.Poses, run.q)
			to := run.TCP().Position
			w.Length += r3.Norm(r3.Sub(to, at))
			at = to
		}
		if w.Stop = run.Stop(); w.Stop.Reason != Done {
			break
		}
	}
	w.Seconds = float64(run.Ticks-began) * Tick
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

// mostTries is how many jogs are run in search of one way.
const mostTries = 2000

// negligible is how little, in mm or rad, is left over as no jog of its own.
const negligible = 1e-9

// JointWay returns the shortest way to the target by single joints: fewest jogs first, then least time. It reports
// false where no order of them gets there; the way is then the attempt that got farthest.
func (d *Drive) JointWay(target kinematics.Pose, speeds Speeds) (Way, bool) {
	var store [16]kinematics.Solution
	var ends []kinematics.Joints
	for _, s := range d.setup.Arm.Inverse(store[:0], target.Mul(d.setup.Tool.TCP.Inverse()), d.q) {
		ends = d.setup.Arm.Turns(ends, s.Joints)
	}
	var plans []plan
	for _, end := range ends {
		var p plan
		for i := range end {
			if turn := end[i] - d.q[i]; math.Abs(turn) > negligible {
				p.add(Direction{Frame: JointFrame, Axis: i}, turn, speeds)
			}
		}
		plans = append(plans, p)
	}
	return d.best(plans)
}

// StraightWay returns the shortest way to the target by jogs straight along and about the base frame's axes: fewest
// jogs first, then least time. It reports false where no order of them gets there; the way is then the attempt that
// got farthest.
func (d *Drive) StraightWay(target kinematics.Pose, speeds Speeds) (Way, bool) {
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
	return d.best(plans)
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
func (d *Drive) best(plans []plan) (Way, bool) {
	slices.SortStableFunc(plans, func(a, b plan) int {
		if n := len(a.jogs) - len(b.jogs); n != 0 {
			return n
		}
		return int(math.Copysign(1, a.seconds-b.seconds))
	})
	tries := mostTries
	var farthest []Jog
	for _, p := range plans {
		order := ordering{tries: &tries, left: p.jogs, free: p.free}
		if order.search(d) {
			return d.Try(order.done), true
		}
		if farthest == nil || len(order.farthest) > len(farthest) {
			farthest = order.farthest
		}
	}
	return d.Try(farthest), false
}

// ordering looks for an order in which all jogs can be completed, depth first.
type ordering struct {
	tries    *int
	done     []Jog
	left     []Jog
	free     int
	farthest []Jog // the longest attempt, with the jog that could not be completed
}

func (o *ordering) search(from *Drive) bool {
	if len(o.left) == 0 {
		return true
	}
	for i := range o.left {
		if i > o.free {
			break // only the first of those that have an order can be next
		}
		if *o.tries--; *o.tries < 0 {
			return false
		}
		next := *from
		j := o.left[i]
		attempt := append(slices.Clone(o.done), j)
		if next.complete(j) {
			rest := ordering{tries: o.tries, done: attempt, left: slices.Delete(slices.Clone(o.left), i, i+1), free: o.free, farthest: o.farthest}
			if i < o.free {
				rest.free--
			}
			if rest.search(&next) {
				o.done = rest.done
				return true
			}
			o.farthest = rest.farthest
		} else if len(attempt) > len(o.farthest) {
			o.farthest = attempt
		}
	}
	return false
}

// complete runs the jog to its end and reports whether it was completed.
func (d *Drive) complete(j Jog) bool {
	if d.Start(j) != nil {
		return false
	}
	for d.Tick() {
	}
	return d.Stop().Reason == Done
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
