package jog_test

import (
	"context"
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/kinematics/clearance"
	"handrule/kinematics/jog"
)

// Both ways end at the target, and are what driving them jog by jog gives.
func TestWaysReachTheTarget(t *testing.T) {
	speeds := jog.Speeds{Straight: 100, Turn: kinematics.Radians(30)}
	start := kinematics.Joints{4: kinematics.Radians(90)}
	target := start
	target[0], target[1], target[5] = 0.3, 0.2, 0.5
	d := jog.NewDrive(testArm(t), pen, start)
	goal := d.Arm().Forward(target).Mul(pen)
	joint, ok, err := d.JointWay(context.Background(), goal, speeds)
	if err != nil || !ok || len(joint.Jogs) != 3 {
		t.Errorf("by joints: %v, %d jogs; three joints differ", ok, len(joint.Jogs))
	}
	straight, ok, err := d.StraightWay(context.Background(), goal, speeds)
	if err != nil || !ok || len(straight.Jogs) > 6 {
		t.Errorf("straight: %v, %d jogs", ok, len(straight.Jogs))
	}
	for _, w := range []jog.Way{joint, straight} {
		driven := jog.NewDrive(testArm(t), pen, start)
		for _, j := range w.Jogs {
			if stop := run(t, driven, j, nil); stop.Reason != jog.Done {
				t.Fatalf("%v stops: %v", j, stop)
			}
		}
		shift, turn := driven.TCP().Twist(goal)
		if r3.Norm(shift) > 1e-6 || r3.Norm(turn) > 1e-9 {
			t.Errorf("the way ends %g mm and %g rad off", r3.Norm(shift), r3.Norm(turn))
		}
		if driven.Joints() != w.Poses[len(w.Poses)-1] {
			t.Errorf("the way's last pose is not where driving it ends")
		}
		if least := r3.Norm(r3.Sub(goal.Position, d.TCP().Position)); w.Length < least-1e-6 {
			t.Errorf("the TCP's path of %g mm is shorter than the straight line of %g mm", w.Length, least)
		}
	}
}

// With the wrist straight no straight way to the side exists; the answer tells what stops it.
func TestWayBlockedBySingularity(t *testing.T) {
	d := jog.NewDrive(testArm(t), pen, kinematics.Joints{})
	goal := d.TCP()
	goal.Position.Y += 50
	w, ok, err := d.StraightWay(context.Background(), goal, jog.Speeds{Straight: 100, Turn: 0.5})
	if err != nil || ok || w.Stop.Reason != jog.Singularity {
		t.Errorf("%v, %v; the wrist is straight", ok, w.Stop.Reason)
	}
}

// What a way costs, computed again from its poses alone.
func TestWaysCostWhatTheirTraceSays(t *testing.T) {
	speeds := jog.Speeds{Straight: 80, Turn: 0.6}
	end := bent
	end[0], end[1], end[2] = 0.5, -0.2, 0.3
	d := inCell(t, bent, 0, table(0))
	goal := d.Arm().Forward(end).Mul(pen)
	setup := d.Setup()
	joint, ok, err := d.JointWay(context.Background(), goal, speeds)
	if err != nil || !ok {
		t.Fatal("no way by joints", err)
	}
	straight, ok, err := d.StraightWay(context.Background(), goal, speeds)
	if err != nil || !ok {
		t.Fatal("no straight way", err)
	}
	for name, w := range map[string]jog.Way{"by joints": joint, "straight": straight} {
		length, least := 0.0, math.Inf(1)
		var pair clearance.Pair
		at := d.Arm().Forward(w.Poses[0]).Mul(pen).Position
		for _, q := range w.Poses {
			to := d.Arm().Forward(q).Mul(pen).Position
			length += r3.Norm(r3.Sub(to, at))
			at = to
			if p := setup.Scene.Smallest(d.Arm().Links(q)); p.Distance < least {
				least, pair = p.Distance, p
			}
		}
		if math.Abs(w.Length-length) > 1e-9 || w.Nearest.Distance != least || w.Nearest.A.Name != pair.A.Name || w.Nearest.B.Name != pair.B.Name {
			t.Errorf("%s: %g mm, %g mm from %s; its poses say %g mm, %g mm from %s", name, w.Length, w.Nearest.Distance, w.Nearest.B.Name, length, least, pair.B.Name)
		}
		if seconds := float64(len(w.Poses)-1) / jog.TickRate; math.Abs(w.Seconds()-seconds) > 1e-9 {
			t.Errorf("%s: %g s, its poses say %g s", name, w.Seconds(), seconds)
		}
	}
	// The straight jogs go along edges of a box around the straight line; the joints' arcs go farther.
	away := r3.Sub(goal.Position, d.TCP().Position)
	if box := math.Abs(away.X) + math.Abs(away.Y) + math.Abs(away.Z); math.Abs(straight.Length-box) > 1e-6 {
		t.Errorf("the straight jogs are %g mm long, the edges of their box %g mm", straight.Length, box)
	}
}

// A way that touches something on its direct order goes round it in another, and where none is free it says what stops it.
func TestWaysGoRoundWhatStandsThere(t *testing.T) {
	speeds := jog.Speeds{Straight: 100, Turn: 0.6}
	wall := clearance.Thing{Name: "wall", Shape: clearance.Box{Size: r3.Vec{X: 120, Y: 20, Z: 60}}, Pose: place(320, 60, 100)}
	d := inCell(t, bent, 0, wall)
	goal := d.TCP()
	goal.Position.X, goal.Position.Y = goal.Position.X+90, goal.Position.Y+130
	way, ok, err := d.StraightWay(context.Background(), goal, speeds)
	if err != nil || !ok || len(way.Jogs) != 2 || way.Jogs[0].Axis != 0 {
		t.Errorf("%v, %v, %v; along X first is free, along Y first is not", way.Jogs, ok, err)
	}
	goal.Position.X -= 90
	way, ok, err = d.StraightWay(context.Background(), goal, speeds)
	if err != nil || ok || way.Stop.Reason != jog.Contact || way.Stop.Touch.B.Name != "wall" {
		t.Errorf("%v, %v, %v; the wall stands in the only way", ok, way.Stop, err)
	}
	if way.Nearest.Distance > 1e-5 {
		t.Errorf("a way that ends in contact came no nearer than %g mm", way.Nearest.Distance)
	}
}

// However slow the jogs, the search looks for its way without driving all it tries; and it ends when it is not wanted.
func TestASearchThatIsNotWantedEnds(t *testing.T) {
	d := jog.NewDrive(testArm(t), pen, bent)
	goal := d.TCP()
	goal.Position.Z += 30
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, _, err := d.StraightWay(ctx, goal, jog.Speeds{Straight: 1, Turn: 0.02}); err != context.Canceled {
		t.Errorf("%v", err)
	}
}
