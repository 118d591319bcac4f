package jog

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
)

// Ahead is what a jog would do from where the arm is now.
type Ahead struct {
	Joints kinematics.Joints // at its end
	Stop   Stop
	Path   []r3.Vec          // of the TCP in the base frame, from the start to the end, mm
	Work   kinematics.Joints // how far each joint travels on the way, to and fro, rad
}

// Heading is which way a point of the arm goes in a jog, and how the tool begins to turn: unit vectors in the base frame,
// zero where there is no such way.
type Heading struct {
	Whole r3.Vec // from where the point stood to where it ends
	First r3.Vec // at the start
	Last  r3.Vec // at the end
	Turn  r3.Vec // the axis that the tool begins to turn about, by the right-hand rule
}

const (
	pathPoints     = 48      // about so many points are kept of a path
	mostPathPoints = 192     // and never more, however much slower than asked the jog is
	aheadTicks     = 100_000 // a jog is not followed for longer than this: 400 s

	// shortestWay is how far apart, mm, two places of a point must be to give a direction. A point that never gets so
	// far from where it stood is said to stay.
	shortestWay = 0.01
	// smallestTurn is the same for the tool's axis, rad.
	smallestTurn = 1e-3
)

// Foresight follows a jog on a copy of the arm, with the same motion that Tick makes, a piece of work at a time. A jog
// that is not over after aheadTicks is told as if it were released there.
type Foresight struct {
	run   *Drive
	ahead Ahead
	ticks int
	every int // ticks between two points of the path

	point       func(*Drive) r3.Vec // whose heading is wanted; nil for none
	heading     Heading
	began, last r3.Vec
	start       kinematics.Pose
}

// Foresee begins to follow a jog from where the arm stands. A point of the arm, given in the base frame for an arm as it
// stands, has its heading told; nil for none.
func (d *Drive) Foresee(j Jog, point func(*Drive) r3.Vec) (*Foresight, error) {
	f := &Foresight{run: d.Copy(), point: point}
	if err := f.run.Start(j); err != nil {
		return nil, err
	}
	f.every = max(1, int(j.Amount/(f.run.motion.limits.speed*Tick)/pathPoints))
	f.start = f.run.TCP()
	f.ahead.Path = []r3.Vec{f.start.Position}
	if point != nil {
		f.began = point(f.run)
		f.last = f.began
	}
	return f, nil
}

// Advance follows the jog for at most so many ticks more, and reports whether it is over.
func (f *Foresight) Advance(ticks int) (done bool) {
	for ; ticks > 0 && f.run.motion != nil; ticks-- {
		f.tick()
	}
	return f.run.motion == nil
}

func (f *Foresight) tick() {
	run, a := f.run, &f.ahead
	before := run.q
	goesOn := run.Tick()
	for i := range a.Work {
		a.Work[i] += math.Abs(run.q[i] - before[i])
	}
	f.ticks++
	if goesOn && f.ticks == aheadTicks {
		run.end(Stop{Reason: Released})
		goesOn = false
	}
	if !goesOn || f.ticks%f.every == 0 {
		f.keep(run.TCP().Position)
	}
	if f.point != nil {
		f.head()
	}
	if !goesOn {
		a.Joints, a.Stop = run.q, run.stop
	}
}

// keep takes down a point of the path. Where there are too many, every other is given up.
func (f *Foresight) keep(p r3.Vec) {
	path := f.ahead.Path
	if len(path) == mostPathPoints {
		for i := range mostPathPoints / 2 {
			path[i] = path[2*i]
		}
		path = path[:mostPathPoints/2]
		f.every *= 2
	}
	f.ahead.Path = append(path, p)
}

func (f *Foresight) head() {
	h, at := &f.heading, f.point(f.run)
	if way := r3.Sub(at, f.last); r3.Norm(way) > shortestWay {
		h.Last = r3.Unit(way)
		if h.First == (r3.Vec{}) {
			h.First = h.Last
		}
		f.last = at
	}
	if h.Turn == (r3.Vec{}) {
		if _, turn := f.start.Twist(f.run.TCP()); r3.Norm(turn) > smallestTurn {
			h.Turn = r3.Unit(turn)
		}
	}
}

// Ahead returns what came of the jog, once Advance has reported that it is over.
func (f *Foresight) Ahead() Ahead { return f.ahead }

// Heading returns which way the point went.
func (f *Foresight) Heading() Heading {
	h := f.heading
	if whole := r3.Sub(f.last, f.began); r3.Norm(whole) > 0 {
		h.Whole = r3.Unit(whole)
	}
	return h
}

// Ahead follows the jog to its end at once, however long that takes.
func (d *Drive) Ahead(j Jog) (Ahead, error) {
	f, err := d.Foresee(j, nil)
	if err != nil {
		return Ahead{}, err
	}
	f.Advance(aheadTicks)
	return f.ahead, nil
}

// Heading likewise returns which way a point goes in a jog that ends by itself.
func (d *Drive) Heading(j Jog, point func(*Drive) r3.Vec) (Heading, error) {
	if j.Held() {
		return Heading{}, fmt.Errorf("a jog without an end has no heading")
	}
	f, err := d.Foresee(j, point)
	if err != nil {
		return Heading{}, err
	}
	f.Advance(aheadTicks)
	return f.Heading(), nil
}

// AtTCP is the point of an arm that jogs in a straight line.
func AtTCP(d *Drive) r3.Vec { return d.TCP().Position }

// Stays reports whether neither the point moves nor the tool turns.
func (h Heading) Stays() bool { return h.First == r3.Vec{} && h.Turn == r3.Vec{} }

// Leads returns which way a jog would start if nothing stopped it: the TCP's, and the axis that the tool begins to turn
// about. They are unit vectors in the base frame, and zero where the jog has no such way.
// The Jacobian decides it, and not what comes of the jog: so a question about a joint does not tell that the arm stays.
func (d *Drive) Leads(j Jog) (way, turn r3.Vec, err error) {
	p, err := newPath(d.setup, d.q, j)
	if err != nil || j.Frame != JointFrame {
		return p.way, p.axis, err
	}
	_, jacobian := d.setup.Arm.Jacobian(d.q, d.setup.Tool.TCP)
	way, turn = jacobian.Velocity(p.parts)
	return unit(way, shortestWay/j.Amount), unit(turn, smallestTurn/j.Amount), nil
}

// Lead is what can be asked about the start of a jog: which way the TCP goes or, where it only turns, about which axis the tool
// does, by the right-hand rule. The vectors are unit vectors in the base frame, zero where there is no such way.
type Lead struct {
	Axis  bool   // what is asked is the axis
	Asked r3.Vec // what the jog asks of the arm
	Comes r3.Vec // what comes of it; zero where the arm stays
}

// Lead returns what can be asked about the start of a jog of which the heading of the TCP is known.
func (d *Drive) Lead(j Jog, h Heading) (Lead, error) {
	way, turn, err := d.Leads(j)
	if way == (r3.Vec{}) && turn != (r3.Vec{}) {
		return Lead{true, turn, h.Turn}, err
	}
	return Lead{false, way, h.First}, err
}

// unit is a vector's direction; zero where the vector is no longer than least.
func unit(v r3.Vec, least float64) r3.Vec {
	if r3.Norm(v) <= least {
		return r3.Vec{}
	}
	return r3.Unit(v)
}

// Share returns each joint's part of the joint travel, summing to one; all zero where nothing moves.
func (a Ahead) Share() (share [6]float64) {
	total := 0.0
	for _, w := range a.Work {
		total += w
	}
	if total < 1e-12 {
		return share
	}
	for i, w := range a.Work {
		share[i] = w / total
	}
	return share
}

// Movers returns the joints that travel more than that, rad, in their order.
func (a Ahead) Movers(least float64) (joints []int) {
	for i, work := range a.Work {
		if work > least {
			joints = append(joints, i)
		}
	}
	return joints
}

// Moving is how far a joint must turn, rad, to be said to work for a jog.
var Moving = kinematics.Radians(0.5)
