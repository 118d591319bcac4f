package jog_test

import (
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
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
	joint, ok := d.JointWay(goal, speeds)
	if !ok || len(joint.Jogs) != 3 {
		t.Errorf("by joints: %v, %d jogs; three joints differ", ok, len(joint.Jogs))
	}
	straight, ok := d.StraightWay(goal, speeds)
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
	w, ok := d.StraightWay(goal, jog.Speeds{Straight: 100, Turn: 0.5})
	if ok || w.Stop.Reason != jog.Singularity {
		t.Errorf("%v, %v; the wrist is straight", ok, w.Stop.Reason)
	}
}
