package jog

import "math"

// While a held jog is under way, whoever holds it may say how far and how quickly it goes, as one who drags the arm or
// pushes a stick does. Neither changes the path, nor the bounds on acceleration and jerk.

// Bound lets the jog under way go as far as that place on its path, mm or rad, and no farther. The arm comes to rest
// there and waits, still held, until the bound is moved on or the jog is released. Where it cannot stand at the bound
// any more, it comes to rest as soon as it can. +Inf is no bound.
func (d *Drive) Bound(place float64) {
	if m := d.motion; m != nil {
		d.steered = d.steered || place != m.bound
		m.bound = place
	}
}

// Pace lets the jog under way run at that part, above 0 and at most 1, of its speed.
func (d *Drive) Pace(part float64) {
	if m := d.motion; m != nil {
		pace := math.Min(part*d.jog.Speed, m.limits.speed)
		d.steered = d.steered || pace != m.pace
		m.pace = pace
	}
}

// Steered reports whether the jog under way was steered, so that it is not the same motion when it is driven again.
func (d *Drive) Steered() bool { return d.steered }

// Waiting reports whether the arm stands although a jog is under way.
func (d *Drive) Waiting() bool { return d.motion != nil && d.now.v == 0 && d.now.a == 0 }
