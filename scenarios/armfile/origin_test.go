package armfile_test

import (
	"handrule/kinematics"
	"handrule/scenarios"
	"handrule/scenarios/armfile"
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// What the arm files say in words, and their dimensions, read by eye.
func TestOriginOfTheShippedArms(t *testing.T) {
	want := map[string]armfile.Origin{
		"wren":   {AboveMount: 300},
		"curlew": {AboveMount: 0, BelowJoint2: 480},
		"plover": {AboveMount: 215},
	}
	for _, arm := range scenarios.ShippedArms() {
		if got := arm.Origin(); got != want[arm.ID] {
			t.Errorf("%s: %+v, want %+v", arm.ID, got, want[arm.ID])
		}
	}
}

// The nearest points of two skew lines: the segment between them is at right angles to both (Coxeter, Introduction to
// Geometry; from memory). Here joint 2 passes the axis of joint 1 aslant.
func TestOriginFindsWhereJoint2PassesJoint1(t *testing.T) {
	var arm kinematics.Arm
	arm.Joints[0] = kinematics.Joint{At: r3.Vec{X: 3, Y: 4, Z: 9}, Axis: r3.Vec{Z: 1}}
	slant := r3.Unit(r3.Vec{X: 1, Y: 2, Z: 2})
	foot := r3.Vec{X: 3, Y: 4, Z: 70}
	beside := r3.Add(foot, r3.Scale(25, r3.Unit(r3.Cross(arm.Joints[0].Axis, slant))))
	arm.Joints[1] = kinematics.Joint{At: r3.Add(beside, r3.Scale(123, slant)), Axis: slant}
	got := (&armfile.Arm{Geometry: &arm, MountHeight: 12}).Origin()
	if got.AboveMount != 12 || math.Abs(got.FromJ1-5) > 1e-12 || math.Abs(got.BelowJoint2-70) > 1e-12 {
		t.Errorf("%+v, want 12, 5 and 70", got)
	}
}
