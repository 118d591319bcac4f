package jog_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"handrule/kinematics"
	"handrule/kinematics/clearance"
	"handrule/kinematics/jog"
)

// All twelve rooms, beside the same ways gone in short steps at each of which everything is looked at: the joints, and the distances
// of all pairs. Up to the end of a room nothing is in the way, and there is what it tells. (Whether a singularity or the end
// of reach is one the referee judges, scenarios.)
func TestRoomsBesideShortSteps(t *testing.T) {
	gone, rooms := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		arm, q := testArm(t), kinematics.Joints{}
		if rapid.Bool().Draw(t, "special") {
			q = specialStart(rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 71)), arm)
		} else {
			q = joints(t, arm)
		}
		d := inCell(t, q, rapid.SampledFrom([]float64{0, 0, 3, 20}).Draw(t, "set distance"), someThings(t, 8)...)
		frame := rapid.SampledFrom([]jog.Frame{jog.JointFrame, jog.BaseFrame, jog.ToolFrame}).Draw(t, "frame")
		s, err := d.Survey(frame, "", jog.Speeds{Straight: 50, Turn: 0.3})
		if err != nil {
			t.Fatal(err)
		}
		for !s.Advance(1000) {
		}
		for _, room := range s.Rooms() {
			rooms++
			if shortSteps(t, d, room) {
				gone++
			}
		}
	})
	if gone < rooms/2 {
		t.Errorf("only %d of %d rooms were gone along to their ends", gone, rooms)
	}
}

// shortSteps goes along a room. It gives up, and reports false, next to a singularity: there ways to stand meet, and short steps
// tell nothing of which goes on.
func shortSteps(t *rapid.T, d *jog.Drive, room jog.Room) bool {
	arm, setup, way := d.Arm(), d.Setup(), room.Direction
	step := 0.01
	if way.Straight() {
		step = 1
	}
	from := d.TCP()
	axis := kinematics.NoRotation.Axis(way.Axis % 3)
	if way.Frame == jog.ToolFrame {
		axis = from.Rotation.Axis(way.Axis % 3)
	}
	axis = r3.Scale(float64(way.Sign), axis)
	start := d.Joints()
	q, before, at := start, start, 0.0
	goTo := func(s float64) bool {
		next := start
		if way.Frame == jog.JointFrame {
			next[way.Axis] += float64(way.Sign) * s
		} else {
			to := from
			if way.Straight() {
				to.Position = r3.Add(from.Position, r3.Scale(s, axis))
			} else {
				to.Rotation = kinematics.RotationAbout(axis, s).Mul(from.Rotation)
			}
			near := q
			for i := range near {
				near[i] += (q[i] - before[i]) * (s - at) / step
			}
			var ok bool
			if next, ok = arm.Track(to.Mul(setup.Tool.TCP.Inverse()), near); !ok || arm.Singularity(next, setup.Tool.TCP).Smallest < 0.01 {
				return false
			}
		}
		for i := range next {
			if math.Abs(next[i]-q[i]) > 0.1 {
				return false
			}
		}
		before, q, at = q, next, s
		return true
	}
	type kept struct{ floor, now float64 }
	pairs := map[clearance.PairID]*kept{}
	look := func(s float64) {
		for i, j := range arm.Joints {
			if q[i] > math.Max(j.Max, start[i])+1e-6 || q[i] < math.Min(j.Min, start[i])-1e-6 {
				t.Fatalf("%v: room of %v until %s, but at %v J%d is beyond its limit", way, room.Free, room.Stop, s, i+1)
			}
		}
		links := arm.Links(q)
		ids, distances := setup.Scene.Nearer(&links, math.Inf(1), nil, nil)
		for i, id := range ids {
			p, known := pairs[id]
			if !known {
				p = &kept{floor: math.Min(distances[i], setup.SetDistance)}
				pairs[id] = p
			}
			if p.now = distances[i]; p.now < p.floor-2e-5 {
				t.Fatalf("%v: room of %v until %s, but at %v %v is %v mm apart, less than %v", way, room.Free, room.Stop, s, setup.Scene.Pair(links, id), p.now, p.floor)
			}
			if p.now > setup.SetDistance+1e-3 {
				p.floor = setup.SetDistance
			}
		}
	}
	look(0)
	for s := step; s < room.Free; s += step {
		if !goTo(s) {
			return false
		}
		look(s)
	}
	if !goTo(room.Free) {
		return false
	}
	look(room.Free)
	switch stop := room.Stop; {
	case room.Endless:
	case stop.Reason == jog.JointLimit:
		if off := math.Abs(q[stop.Joint] - stop.Limit); off > 2e-6 {
			t.Fatalf("%v: room of %v until %s, but J%d is %v rad from its limit there", way, room.Free, stop, stop.Joint+1, off)
		}
	case stop.Reason == jog.Contact, stop.Reason == jog.SetDistance:
		least := math.Inf(1)
		for _, p := range pairs {
			over := p.now - p.floor
			if p.floor < setup.SetDistance { // may be no nearer than where it began, to a part of the path's length
				over /= 1000
			}
			least = math.Min(least, over)
		}
		if least > 2e-6 {
			t.Fatalf("%v: room of %v until %s, but nothing is nearer to where it must not be than %v mm there", way, room.Free, stop, least)
		}
	case way.Frame == jog.JointFrame:
		t.Fatalf("%v: room of %v until %s, but a joint by itself is stopped by its limit, or by what is in its way", way, room.Free, stop)
	}
	return true
}
