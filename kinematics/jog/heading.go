package jog

import (
	"fmt"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
)

// Heading is which way a point of the arm goes in a jog, and how the tool begins to turn: unit vectors in the base frame,
// zero where there is no such way.
type Heading struct {
	Whole r3.Vec // from where the point stood to where it ends
	First r3.Vec // at the start
	Last  r3.Vec // at the end
	Turn  r3.Vec // the axis that the tool begins to turn about, by the right-hand rule
}

const (
	// shortestWay is how far apart, mm, two places of a point must be to give a direction. A point that never gets so
	// far from where it stood is said to stay.
	shortestWay = 0.01
	// smallestTurn is the same for the tool's axis, rad.
	smallestTurn = 1e-3
)

// Stays reports whether neither the point moves nor the tool turns.
func (h Heading) Stays() bool { return h.First == r3.Vec{} && h.Turn == r3.Vec{} }

// Heading runs the jog on a copy of the arm and says which way the point goes, which is given in the base frame for an
// arm as it stands. A jog is followed for as long as Ahead does.
func (d *Drive) Heading(j Jog, point func(*Drive) r3.Vec) (h Heading, err error) {
	if j.Held() {
		return h, fmt.Errorf("a jog without an end has no heading")
	}
	run := *d
	if err := run.Start(j); err != nil {
		return h, err
	}
	began, start := point(&run), run.TCP()
	last := began
	for tick, goesOn := 0, true; goesOn && tick < aheadTicks; tick++ {
		goesOn = run.Tick()
		if way := r3.Sub(point(&run), last); r3.Norm(way) > shortestWay {
			h.Last = r3.Unit(way)
			if h.First == (r3.Vec{}) {
				h.First = h.Last
			}
			last = point(&run)
		}
		if h.Turn == (r3.Vec{}) {
			if _, turn := start.Twist(run.TCP()); r3.Norm(turn) > smallestTurn {
				h.Turn = r3.Unit(turn)
			}
		}
	}
	if whole := r3.Sub(last, began); r3.Norm(whole) > 0 {
		h.Whole = r3.Unit(whole)
	}
	return h, nil
}

// Leads returns which way a jog would start if nothing stopped it: the TCP's, and the axis that the tool begins to turn
// about. They are unit vectors in the base frame, and zero where the jog has no such way.
func (d *Drive) Leads(j Jog) (way, turn r3.Vec, err error) {
	p, err := newPath(&d.setup, d.q, j)
	if err != nil || j.Frame != JointFrame {
		return p.way, p.axis, err
	}
	_, jacobian := d.setup.Arm.Jacobian(d.q, d.setup.Tool.TCP)
	way, turn = jacobian.Velocity(p.parts)
	return unit(way, shortestWay/j.Amount), unit(turn, smallestTurn/j.Amount), nil
}

// unit is a vector's direction; zero where the vector is no longer than least.
func unit(v r3.Vec, least float64) r3.Vec {
	if r3.Norm(v) <= least {
		return r3.Vec{}
	}
	return r3.Unit(v)
}

// AtTCP is the point of an arm that jogs in a straight line, for Heading.
func AtTCP(d *Drive) r3.Vec { return d.TCP().Position }

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
