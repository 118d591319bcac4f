package jog

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics/clearance"
)

// Cost is what driving comes to: how far the TCP went, for how long the arm moved, and how near anything came.
type Cost struct {
	Length  float64        // of the TCP's path, mm
	Ticks   int            // in motion
	Nearest clearance.Pair // the two parts that came nearest to each other; +Inf apart where nothing can touch

	at r3.Vec // where the TCP was
}

// Seconds is how long the arm moved.
func (c *Cost) Seconds() float64 { return float64(c.Ticks) * Tick }

// NewCost begins to count where the arm stands.
func (d *Drive) NewCost() Cost {
	c := Cost{at: d.TCP().Position}
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

func (c *Cost) near(d *Drive) {
	if p, ok := d.Clearance(); ok && p.Distance < c.Nearest.Distance {
		c.Nearest = p
	}
}
