package jog_test

import (
	"math"
	"slices"
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
	joint, ok := found(d.JointWay(goal, speeds))
	if !ok || len(joint.Jogs) != 3 {
		t.Errorf("by joints: %v, %d jogs; three joints differ", ok, len(joint.Jogs))
	}
	straight, ok := found(d.StraightWay(goal, speeds))
	if !ok || len(straight.Jogs) > 6 {
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
	w, ok := found(d.StraightWay(goal, jog.Speeds{Straight: 100, Turn: 0.5}))
	if ok || w.Stop.Reason != jog.Singularity {
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
	joint, ok := found(d.JointWay(goal, speeds))
	if !ok {
		t.Fatal("no way by joints")
	}
	straight, ok := found(d.StraightWay(goal, speeds))
	if !ok {
		t.Fatal("no straight way")
	}
	for name, w := range map[string]jog.Way{"by joints": joint, "straight": straight} {
		driven, ticks := d.Copy(), 0
		length, at := 0.0, d.TCP().Position
		pair, _ := d.Clearance()
		for _, j := range w.Jogs {
			run(t, driven, j, func() {
				to := driven.TCP().Position
				length += r3.Norm(r3.Sub(to, at))
				at = to
				if p, _ := driven.Clearance(); p.Distance < pair.Distance {
					pair = p
				}
				if ticks++; ticks%w.Every == 0 && w.Poses[ticks/w.Every] != driven.Joints() {
					t.Fatalf("%s: pose %d is not where the arm is after %d ticks", name, ticks/w.Every, ticks)
				}
			})
		}
		least := pair.Distance
		if math.Abs(w.Length-length) > 1e-9 || w.Nearest.Distance != least || w.Nearest.A.Name != pair.A.Name || w.Nearest.B.Name != pair.B.Name {
			t.Errorf("%s: %g mm, %g mm from %s; its poses say %g mm, %g mm from %s", name, w.Length, w.Nearest.Distance, w.Nearest.B.Name, length, least, pair.B.Name)
		}
		if seconds := float64(ticks) / jog.TickRate; math.Abs(w.Seconds()-seconds) > 1e-9 {
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
	way, ok := found(d.StraightWay(goal, speeds))
	if !ok || len(way.Jogs) != 2 || way.Jogs[0].Axis != 0 {
		t.Errorf("%v, %v; along X first is free, along Y first is not", way.Jogs, ok)
	}
	goal.Position.X -= 90
	way, ok = found(d.StraightWay(goal, speeds))
	if ok || way.Stop.Reason != jog.Contact || way.Stop.Touch.B.Name != "wall" {
		t.Errorf("%v, %v; the wall stands in the only way", ok, way.Stop)
	}
	if way.Nearest.Distance > 1e-5 {
		t.Errorf("a way that ends in contact came no nearer than %g mm", way.Nearest.Distance)
	}
}

// A search in small pieces finds what one in large pieces finds, and each piece ends soon, however slow the jogs.
func TestASearchGoesOnWhereItWasLeft(t *testing.T) {
	d := inCell(t, bent, 0, table(0))
	goal := d.TCP()
	goal.Position.X, goal.Position.Z = goal.Position.X+20, goal.Position.Z+30
	speeds := jog.Speeds{Straight: 5, Turn: 0.02}
	at := d.Joints()
	whole, ok := found(d.StraightWay(goal, speeds))
	pieces, calls := d.StraightWay(goal, speeds), 1
	for ; !pieces.Advance(1); calls++ {
	}
	again, okAgain := pieces.Way()
	if !ok || !okAgain || whole.Cost != again.Cost || whole.Stop != again.Stop || !slices.Equal(whole.Poses, again.Poses) {
		t.Errorf("%v %+v in one piece, %v %+v in %d", ok, whole.Cost, okAgain, again.Cost, calls)
	}
	if calls < whole.Ticks || d.Joints() != at {
		t.Errorf("%d pieces for %d ticks; the arm is at %v", calls, whole.Ticks, d.Joints())
	}
}
