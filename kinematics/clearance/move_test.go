package clearance_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"handrule/kinematics"
	"handrule/kinematics/clearance"
)

// randomArms have six lines in space for axes; nobody would build them.
var randomArms = rapid.Custom(func(t *rapid.T) *kinematics.Arm {
	var joints [6]kinematics.Joint
	for k := range joints {
		axis := rapid.Custom(func(t *rapid.T) r3.Vec {
			one := rapid.Float64Range(-1, 1)
			return vec(one.Draw(t, "x"), one.Draw(t, "y"), one.Draw(t, "z"))
		}).Filter(func(v r3.Vec) bool { return r3.Norm(v) > 0.1 }).Draw(t, "axis")
		joints[k] = kinematics.Joint{At: points.Draw(t, "at"), Axis: axis, Min: -7, Max: 7, Speed: 1}
	}
	arm, err := kinematics.New(joints, poses.Draw(t, "flange"))
	if err != nil {
		panic(err)
	}
	return arm
})

// No point of an axis moves farther than MaxMove, seen from the base or from any link before its own, wherever the
// joints are on their way.
func TestNothingMovesFarther(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		arm := randomArms.Draw(t, "arm")
		body := rapid.SliceOfN(capsules, 1, 5).Draw(t, "body")
		for i := range body {
			body[i].Link = rapid.IntRange(0, 6).Draw(t, "link")
		}
		tool := kinematics.Tool{Name: "tool", Body: rapid.SliceOfN(capsules, 0, 2).Draw(t, "tool")}
		scene, err := clearance.NewScene(arm, body, tool, nil)
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range tool.Body {
			c = moved(arm.Flange, c)
			c.Link = 6
			body = append(body, c)
		}
		size := math.Pow(10, rapid.Float64Range(-6, 0.8).Draw(t, "log size"))
		var from, to kinematics.Joints
		for k := range from {
			from[k] = rapid.Float64Range(-3, 3).Draw(t, "from")
			to[k] = from[k] + size*rapid.OneOf(rapid.Just(0.0), rapid.Float64Range(-1, 1)).Draw(t, "turn")
		}
		most := scene.MaxMove(from, to)
		start := arm.Links(from)
		// Every joint goes its way in its own time, and none turns back.
		var pace [6]float64
		for k := range pace {
			pace[k] = rapid.Float64Range(0.2, 5).Draw(t, "pace")
		}
		for step := 1; step <= 8; step++ {
			q := from
			for k := range q {
				q[k] += (to[k] - from[k]) * math.Pow(float64(step)/8, pace[k])
			}
			now := arm.Links(q)
			for _, c := range body {
				for seen := range c.Link + 1 {
					before, after := start[seen].Inverse().Mul(start[c.Link]), now[seen].Inverse().Mul(now[c.Link])
					for _, p := range []r3.Vec{c.From, c.To, mix(c, 0.3)} {
						if move := r3.Norm(r3.Sub(after.Apply(p), before.Apply(p))); !(move <= most+1e-9) {
							t.Fatalf("a point of link %d moves %.15g seen from link %d, more than %.15g", c.Link, move, seen, most)
						}
					}
				}
			}
		}
	})
}

// The bound is no more than it must be: for one joint's small turn it is the longest lever where the links beyond are
// stretched out, and nothing where a capsule lies on the axis.
func TestMaxMoveByHand(t *testing.T) {
	arm := testArm(t)
	scene, err := clearance.NewScene(arm, testBody[:1], testTool, nil)
	if err != nil {
		t.Fatal(err)
	}
	tip := math.Hypot(70+140, 60) // the brush's tip from the wrist's centre
	for _, c := range []struct {
		name string
		turn kinematics.Joints
		want float64
	}{
		{"rest", kinematics.Joints{}, 0},
		// The tip is 60 mm off the axis of joint 6.
		{"joint 6", kinematics.Joints{5: 0.01}, 0.6},
		{"joint 6 back", kinematics.Joints{5: -0.01}, 0.6},
		// The way from the wrist's centre, along axis 6 to the flange at 70 mm, and on to the tip at (140, 60).
		{"joint 5", kinematics.Joints{4: 0.01}, 0.01 * (70 + math.Hypot(140, 60))},
	} {
		if got := scene.MaxMove(kinematics.Joints{}, c.turn); math.Abs(got-c.want) > 1e-12 {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
	// However the arm stands, the bound is not more than twice what is moved at full stretch.
	stretched := kinematics.Joints{1: 90 * degree, 2: -90 * degree}
	turned := stretched
	turned[1] += 0.001
	reach := 270.0 + 30 + 280 + tip
	if got := scene.MaxMove(stretched, turned); got < 0.001*0.8*reach || got > 0.001*1.5*reach {
		t.Errorf("joint 2: %v, want about %v", got, 0.001*reach)
	}
}

// staysClear reports whether the arm is clear all the way from one set of joint angles to the other, straight in joint space,
// as MaxMove's documentation says how. It gives up, and says no, when the halves are shorter than any gap that matters.
func staysClear(arm *kinematics.Arm, scene *clearance.Scene, from, to kinematics.Joints) bool {
	atFrom, atTo := scene.Smallest(arm.Links(from)).Distance, scene.Smallest(arm.Links(to)).Distance
	move := scene.MaxMove(from, to)
	switch {
	case atFrom <= 0 || atTo <= 0:
		return false
	case atFrom+atTo > move:
		return true
	case move < 1e-6:
		return false
	}
	var half kinematics.Joints
	for k := range half {
		half[k] = (from[k] + to[k]) / 2
	}
	return staysClear(arm, scene, from, half) && staysClear(arm, scene, half, to)
}

// A step of any size jumps over nothing: not over a wire that both its ends are clear of. And it is not called
// touching for no reason.
func TestNoTunnelling(t *testing.T) {
	arm := testArm(t)
	rng := rand.New(rand.NewPCG(9, 10))
	through, free := 0, 0
	for i := range 300 {
		wire := clearance.Thing{Name: "wire", Shape: clearance.Cylinder{Radius: 0.05, Height: 300}, Pose: kinematics.Pose{
			Position: vec(500*rng.Float64()-50, 800*rng.Float64()-400, 600*rng.Float64()),
			Rotation: kinematics.FixedXYZ(3*rng.Float64(), 3*rng.Float64(), 0)}}
		scene, err := clearance.NewScene(arm, testBody, testTool, []clearance.Thing{wire})
		if err != nil {
			t.Fatal(err)
		}
		from, to := anyJoints(rng, 1), anyJoints(rng, 1)
		said := staysClear(arm, scene, from, to)
		nearest := math.Inf(1)
		const samples = 2000
		for s := range samples + 1 {
			q := from
			for k := range q {
				q[k] += (to[k] - from[k]) * float64(s) / samples
			}
			nearest = min(nearest, scene.Smallest(arm.Links(q)).Distance)
		}
		switch {
		case said && nearest <= 0:
			t.Errorf("step %d is called clear, but touches: %v", i, nearest)
		case !said && nearest > 0.5+scene.MaxMove(from, to)/samples:
			t.Errorf("step %d is called touching, but stays %v away", i, nearest)
		}
		if said {
			free++
		} else if scene.Smallest(arm.Links(from)).Distance > 0 && scene.Smallest(arm.Links(to)).Distance > 0 {
			through++
		}
	}
	if through < 20 || free < 20 {
		t.Errorf("of 300 steps %d go through and %d are free; the test wants many of both", through, free)
	}
}
