package jog

import (
	"math"
	"testing"
	"unsafe"

	"handrule/kinematics"
)

// An arm that stands takes little room, so that many can stand idle; what a motion needs goes when it ends.
func TestADriveAtRestIsSmall(t *testing.T) {
	if size := unsafe.Sizeof(Drive{}) + unsafe.Sizeof(Setup{}); size > 2048 {
		t.Errorf("a drive and its setup take %d bytes", size)
	}
	if size := unsafe.Sizeof(Survey{}); size > 16*1024 {
		t.Errorf("a survey takes %d bytes", size)
	}
	d := NewDrive(roundArm(t), kinematics.Identity, kinematics.Joints{4: 1})
	if err := d.Start(Jog{Direction: Direction{Frame: BaseFrame, Axis: 2, Sign: 1}, Amount: 5, Speed: 50}); err != nil {
		t.Fatal(err)
	}
	for d.Tick() {
	}
	if d.motion != nil || d.Stop().Reason != Done {
		t.Errorf("it keeps its motion after %v", d.Stop())
	}
}

// A tick makes nothing that would have to be cleared away.
func TestATickAllocatesNothing(t *testing.T) {
	d := NewDrive(roundArm(t), kinematics.Identity, kinematics.Joints{4: 1})
	for _, frame := range []Frame{BaseFrame, JointFrame} {
		if err := d.Start(Jog{Direction: Direction{Frame: frame, Axis: 1, Sign: 1}, Amount: math.Inf(1), Speed: 0.2}); err != nil {
			t.Fatal(err)
		}
		if n := testing.AllocsPerRun(500, func() { d.Tick() }); n != 0 || !d.Moving() {
			t.Errorf("%s: %v allocations a tick; moving: %v", frame, n, d.Moving())
		}
		d.Release()
		for d.Tick() {
		}
	}
}

// roundArm is an invented arm with a spherical wrist and nothing around it.
func roundArm(t *testing.T) *kinematics.Arm {
	t.Helper()
	axes := [6][2][3]float64{
		{{0, 0, 0}, {0, 0, 1}}, {{30, 0, 0}, {0, 1, 0}}, {{30, 0, 250}, {0, 1, 0}},
		{{30, 0, 280}, {1, 0, 0}}, {{300, 0, 280}, {0, 1, 0}}, {{300, 0, 280}, {1, 0, 0}},
	}
	var joints [6]kinematics.Joint
	for i, a := range axes {
		j := &joints[i]
		j.At.X, j.At.Y, j.At.Z = a[0][0], a[0][1], a[0][2]
		j.Axis.X, j.Axis.Y, j.Axis.Z = a[1][0], a[1][1], a[1][2]
		j.Min, j.Max, j.Speed = -2.8, 2.8, 4
	}
	flange := kinematics.Pose{Rotation: kinematics.FixedXYZ(0, math.Pi/2, 0)}
	flange.Position.X, flange.Position.Z = 360, 280
	arm, err := kinematics.New(joints, flange)
	if err != nil {
		t.Fatal(err)
	}
	return arm
}
