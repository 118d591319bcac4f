package jog

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/kinematics/clearance"
)

// Cost is what driving comes to: how far the TCP went, for how long the arm moved, and how near anything came.
type Cost struct {
	Length  float64        // of the TCP's path, mm
	Ticks   int            // in motion
	Nearest clearance.Pair // the two parts that came nearest to each other; +Inf apart where nothing can touch

	at    r3.Vec            // where the TCP was
	q     kinematics.Joints // where the joints were
	apart float64           // nothing is nearer than this, mm
}

// Seconds is how long the arm moved.
func (c *Cost) Seconds() float64 { return float64(c.Ticks) * Tick }

// NewCost begins to count where the arm stands.
func (d *Drive) NewCost() Cost {
	c := Cost{at: d.TCP().Position, q: d.q, apart: math.Inf(-1)}
	c.Nearest.Distance = math.Inf(1)
	c.near(d)
	return c
}

// Add counts the tick that the arm has just made.
func (c *Cost) Add(d *Drive) {
	to := d.TCP().Position
	c.Length += r3.Norm(r3.Sub(to, c.at))
	c.at = to
	c.Ticks++
	c.near(d)
}

// near takes note of what is nearest. It is measured where the arm may have come nearer to something than ever before.
func (c *Cost) near(d *Drive) {
	if d.setup.Scene == nil {
		return
	}
	c.apart -= d.setup.Scene.MaxMove(c.q, d.q)
	c.q = d.q
	if c.apart > c.Nearest.Distance {
		return
	}
	p, _ := d.Clearance()
	c.apart = p.Distance
	if p.Distance < c.Nearest.Distance {
		c.Nearest = p
	}
}
