package jog_test

import (
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"handrule/kinematics"
	"handrule/kinematics/jog"
)

// The way the TCP starts is what the Jacobian says: of a joint its column, of a straight jog the frame's axis.
func TestHeadingStartsAsTheJacobianSays(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var q kinematics.Joints
		for i := range q {
			q[i] = rapid.Float64Range(-0.8, 0.8).Draw(t, "q")
		}
		q[4] = rapid.Float64Range(0.4, 1.6).Draw(t, "q5")
		d := jog.NewDrive(testArm(t), pen, q)
		_, jacobian := d.Arm().Jacobian(q, pen)
		axis, sign := rapid.IntRange(0, 5).Draw(t, "axis"), rapid.SampledFrom([]int{1, -1}).Draw(t, "sign")
		h, err := d.Heading(jog.Jog{Direction: joint(axis, sign), Amount: 5 * degree, Speed: 15 * degree}, jog.AtTCP)
		if err != nil {
			t.Fatal(err)
		}
		var one kinematics.Joints
		one[axis] = float64(sign)
		way, turn := jacobian.Velocity(one)
		// A chord of 0.01 mm, and what a tick adds to it, is at most so far from an arc's tangent.
		lever := r3.Norm(way)
		if lever > 5 && kinematics.AngleBetween(h.First, way) > 0.05/lever+1e-6 {
			t.Errorf("J%d: starts along %v, the Jacobian says %v", axis+1, h.First, r3.Unit(way))
		}
		if kinematics.AngleBetween(h.Turn, turn) > 1e-6 {
			t.Errorf("J%d: turns about %v, the Jacobian says %v", axis+1, h.Turn, turn)
		}
		// Where the jog leads is the same without the chord, and whatever may stop it.
		leads, about, err := d.Leads(jog.Jog{Direction: joint(axis, sign), Amount: 5 * degree, Speed: 15 * degree})
		if err != nil || lever > 5 && kinematics.AngleBetween(leads, way) > 1e-9 || kinematics.AngleBetween(about, turn) > 1e-9 {
			t.Errorf("J%d: leads along %v about %v (%v), the Jacobian says %v, %v", axis+1, leads, about, err, way, turn)
		}
		h, err = d.Heading(jog.Jog{Direction: tool(axis, sign), Amount: 0.05, Speed: 1}, jog.AtTCP)
		if err != nil {
			t.Fatal(err)
		}
		truth := r3.Scale(float64(sign), d.TCP().Rotation.Axis(axis%3))
		leads, about, err = d.Leads(jog.Jog{Direction: tool(axis, sign), Amount: 0.05, Speed: 1})
		if axis >= 3 {
			leads, about = about, leads
		}
		if err != nil || kinematics.AngleBetween(leads, truth) > 1e-9 || about != (r3.Vec{}) {
			t.Errorf("tool axis %d: leads along %v, beside it %v (%v), want %v", axis, leads, about, err, truth)
		}
		given := h.First
		if axis >= 3 {
			given = h.Turn
			if h.First != (r3.Vec{}) {
				t.Errorf("the TCP leaves its place in a turn about it: %v", h.First)
			}
		}
		if !h.Stays() && kinematics.AngleBetween(given, truth) > 1e-6 {
			t.Errorf("tool axis %d: %v, want %v", axis, given, truth)
		}
	})
}

func TestNothingGoesWhereTheArmIsStopped(t *testing.T) {
	d := jog.NewDrive(testArm(t), pen, kinematics.Joints{})
	h, err := d.Heading(jog.Jog{Direction: base(1, 1), Amount: 50, Speed: 50}, jog.AtTCP)
	if err != nil || !h.Stays() {
		t.Errorf("%+v, %v; the wrist is straight, so along Y nothing goes", h, err)
	}
	// With the wrist straight the pen lies on J6's axis: the TCP stays, the tool turns.
	h, err = d.Heading(jog.Jog{Direction: joint(5, -1), Amount: 0.2, Speed: 0.5}, jog.AtTCP)
	if err != nil || h.First != (r3.Vec{}) || kinematics.AngleBetween(h.Turn, r3.Vec{X: -1}) > 1e-9 {
		t.Errorf("%+v, %v; J6 turns the pen about its own axis", h, err)
	}
	if _, err := d.Heading(jog.Jog{Direction: joint(0, 1), Amount: math.Inf(1), Speed: 1}, jog.AtTCP); err == nil {
		t.Error("a jog without an end has no heading")
	}
}

func TestMovers(t *testing.T) {
	d := jog.NewDrive(testArm(t), pen, bent)
	ahead, err := d.Ahead(jog.Jog{Direction: base(1, 1), Amount: 60, Speed: 50})
	if err != nil {
		t.Fatal(err)
	}
	if movers := ahead.Movers(jog.Moving); len(movers) < 3 || movers[0] != 0 {
		t.Errorf("%v of %v; a straight line to the side keeps several joints busy, J1 first", movers, ahead.Work.Degrees())
	}
	ahead, _ = d.Ahead(jog.Jog{Direction: joint(2, 1), Amount: 0.1, Speed: 0.5})
	if movers := ahead.Movers(jog.Moving); !slices.Equal(movers, []int{2}) {
		t.Errorf("%v; J3 alone turns", movers)
	}
}
