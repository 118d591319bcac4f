package clearance_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/kinematics/clearance"
)

const degree = math.Pi / 180

// at is a pose that is not turned.
func at(x, y, z float64) kinematics.Pose {
	return kinematics.Pose{Position: r3.Vec{X: x, Y: y, Z: z}, Rotation: kinematics.NoRotation}
}

func vec(x, y, z float64) r3.Vec { return r3.Vec{X: x, Y: y, Z: z} }

// testArm is an invented tabletop arm with a spherical wrist: at zero the upper arm stands, the forearm points
// forward and the wrist is straight.
func testArm(t testing.TB) *kinematics.Arm {
	t.Helper()
	joint := func(x, y, z float64, axis r3.Vec) kinematics.Joint {
		return kinematics.Joint{At: vec(x, y, z), Axis: axis, Min: -math.Pi, Max: math.Pi, Speed: 4}
	}
	x, y, z := vec(1, 0, 0), vec(0, 1, 0), vec(0, 0, 1)
	arm, err := kinematics.New([6]kinematics.Joint{
		joint(0, 0, 0, z), joint(40, 0, 0, y), joint(40, 0, 270, y),
		joint(40, 0, 300, x), joint(320, 0, 300, y), joint(320, 0, 300, x),
	}, kinematics.Pose{Position: vec(390, 0, 300), Rotation: kinematics.FixedXYZ(0, 90*degree, 0)})
	if err != nil {
		t.Fatal(err)
	}
	return arm
}

// testBody are the capsules of testArm.
var testBody = []kinematics.Capsule{
	{Link: 0, From: vec(0, 0, -300), To: vec(0, 0, -130), Radius: 70},
	{Link: 1, From: vec(0, 0, -30), To: vec(40, 0, 0), Radius: 60},
	{Link: 2, From: vec(40, 0, 0), To: vec(40, 0, 270), Radius: 45},
	{Link: 3, From: vec(40, -30, 285), To: vec(40, 30, 285), Radius: 45},
	{Link: 4, From: vec(140, 0, 300), To: vec(290, 0, 300), Radius: 35},
	{Link: 5, From: vec(320, -20, 300), To: vec(320, 20, 300), Radius: 32},
	{Link: 6, From: vec(365, 0, 300), To: vec(380, 0, 300), Radius: 25},
}

// testTool is a bent tool of two capsules, in the flange's frame.
var testTool = kinematics.Tool{
	Name: "glazing brush",
	TCP:  at(60, 0, 140),
	Body: []kinematics.Capsule{
		{From: vec(0, 0, 10), To: vec(0, 0, 80), Radius: 12},
		{From: vec(0, 0, 80), To: vec(60, 0, 140), Radius: 8},
	},
}

// testThings are twenty things: a table, the floor, a wall, and boxes, cylinders and spheres in the arm's reach.
func testThings() []clearance.Thing {
	things := []clearance.Thing{
		{Name: "table", Shape: clearance.Box{Size: vec(1400, 1000, 40)}, Pose: at(300, 0, -320)},
		clearance.Floor(-1100),
		{Name: "wall", Shape: clearance.HalfSpace{}, Pose: kinematics.Pose{
			Position: vec(-700, 0, 0), Rotation: kinematics.RotationAbout(vec(0, 1, 0), 90*degree)}},
	}
	names := []string{"crate", "drum", "ball"}
	for i := range 17 {
		angle := float64(i) * 21 * degree
		radius := 420 + 35*float64(i%4)
		place := kinematics.Pose{
			Position: vec(radius*math.Cos(angle), radius*math.Sin(angle), -240+40*float64(i%5)),
			Rotation: kinematics.RotationAbout(r3.Unit(vec(1, float64(i), 2)), angle),
		}
		shape := []clearance.Shape{
			clearance.Box{Size: vec(80, 60, 120)},
			clearance.Cylinder{Radius: 40, Height: 110},
			clearance.Sphere{Radius: 45},
		}[i%3]
		things = append(things, clearance.Thing{Name: names[i%3], Shape: shape, Pose: place})
	}
	return things
}

func testScene(t testing.TB) (*kinematics.Arm, *clearance.Scene) {
	t.Helper()
	arm := testArm(t)
	scene, err := clearance.NewScene(arm, testBody, testTool, testThings())
	if err != nil {
		t.Fatal(err)
	}
	return arm, scene
}
