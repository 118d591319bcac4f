package jog_test

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"handrule/kinematics"
	"handrule/kinematics/jog"
)

const degree = math.Pi / 180

// testArm is an invented tabletop arm with a spherical wrist: at zero the upper arm stands, the forearm points
// forward and the wrist is straight.
func testArm(t rapid.TB) *kinematics.Arm {
	t.Helper()
	joint := func(x, y, z float64, axis r3.Vec, min, max, speed float64) kinematics.Joint {
		return kinematics.Joint{At: r3.Vec{X: x, Y: y, Z: z}, Axis: axis, Min: min * degree, Max: max * degree, Speed: speed * degree}
	}
	x, y, z := r3.Vec{X: 1}, r3.Vec{Y: 1}, r3.Vec{Z: 1}
	arm, err := kinematics.New([6]kinematics.Joint{
		joint(0, 0, 0, z, -170, 170, 240),
		joint(40, 0, 0, y, -80, 110, 240),
		joint(40, 0, 270, y, -150, 80, 260),
		joint(40, 0, 300, x, -195, 195, 360),
		joint(320, 0, 300, y, -120, 120, 360),
		joint(320, 0, 300, x, -355, 355, 480),
	}, kinematics.Pose{Position: r3.Vec{X: 390, Z: 300}, Rotation: kinematics.FixedXYZ(0, 90*degree, 0)})
	if err != nil {
		t.Fatal(err)
	}
	return arm
}

var pen = kinematics.Pose{Position: r3.Vec{Z: 120}, Rotation: kinematics.NoRotation}

// run ticks until the jog ends and returns why it did. It fails the test when the jog never ends.
func run(t rapid.TB, d *jog.Drive, j jog.Jog, each func()) jog.Stop {
	t.Helper()
	if err := d.Start(j); err != nil {
		t.Fatal(err)
	}
	for range 200_000 {
		goesOn := d.Tick()
		if each != nil {
			each()
		}
		if !goesOn {
			return d.Stop()
		}
	}
	t.Fatalf("%v does not end", j)
	return jog.Stop{}
}

// roomIn returns the room to move in one direction of a frame.
func roomIn(t rapid.TB, d *jog.Drive, way jog.Direction, speed float64) jog.Room {
	t.Helper()
	room, err := jog.RoomIn(d, way, speed)
	if err != nil {
		t.Fatal(err)
	}
	return room
}

// found brings a search to its end.
func found(s *jog.WaySearch) (jog.Way, bool) {
	for !s.Advance(1000) {
	}
	return s.Way()
}

func base(axis, sign int) jog.Direction {
	return jog.Direction{Frame: jog.BaseFrame, Axis: axis, Sign: sign}
}

func tool(axis, sign int) jog.Direction {
	return jog.Direction{Frame: jog.ToolFrame, Axis: axis, Sign: sign}
}

func joint(axis, sign int) jog.Direction {
	return jog.Direction{Frame: jog.JointFrame, Axis: axis, Sign: sign}
}
