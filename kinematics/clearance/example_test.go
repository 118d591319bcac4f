package clearance_test

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/kinematics/clearance"
)

// An arm of one upright column and one forearm that swings about it, beside a post.
func Example() {
	up := kinematics.Joint{Axis: r3.Vec{Z: 1}, Min: -math.Pi, Max: math.Pi, Speed: 1}
	arm, err := kinematics.New([6]kinematics.Joint{up, up, up, up, up, up}, kinematics.Identity)
	if err != nil {
		fmt.Println(err)
		return
	}
	body := []kinematics.Capsule{
		{Link: 0, To: r3.Vec{Z: 200}, Radius: 50},
		{Link: 1, From: r3.Vec{Z: 300}, To: r3.Vec{X: 400, Z: 300}, Radius: 30},
	}
	post := clearance.Thing{
		Name:  "post",
		Shape: clearance.Cylinder{Radius: 20, Height: 800},
		Pose:  kinematics.Pose{Position: r3.Vec{X: 300, Y: 150}, Rotation: kinematics.NoRotation},
	}
	scene, err := clearance.NewScene(arm, body, kinematics.NoTool, []clearance.Thing{clearance.Floor(0), post})
	if err != nil {
		fmt.Println(err)
		return
	}

	from, to := kinematics.Joints{}, kinematics.Joints{math.Pi / 2}
	pair := scene.Smallest(arm.Links(from))
	fmt.Printf("%s to %s: %.1f mm, at (%.0f, %.0f, %.0f)\n", pair.A.Name, pair.B.Name, pair.Distance, pair.OnB.X, pair.OnB.Y, pair.OnB.Z)
	fmt.Printf("a quarter turn moves nothing more than %.1f mm\n", scene.MaxMove(from, to))

	// Both ends of the quarter turn are clear, but together not by as much as it moves, so it has to be looked at in
	// smaller steps, where each is clear or is halved in turn.
	apart := pair.Distance + scene.Smallest(arm.Links(to)).Distance
	fmt.Println("clear all the way for certain:", apart > scene.MaxMove(from, to))
	pair = scene.Smallest(arm.Links(kinematics.Joints{math.Pi / 6}))
	fmt.Printf("a third of the way: %.1f mm\n", pair.Distance)
	// Output:
	// link 1 to post: 100.0 mm, at (300, 130, 300)
	// a quarter turn moves nothing more than 628.3 mm
	// clear all the way for certain: false
	// a third of the way: -29.9 mm
}
