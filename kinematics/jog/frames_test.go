package jog_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"handrule/kinematics"
	"handrule/kinematics/jog"
)

// An arm that hangs from the ceiling goes down in its own base frame when it goes up in the world's (ISO 9787: each
// system has its own axes; by hand for a half turn about X).
func TestWorldAndTaskFrames(t *testing.T) {
	setup := jog.Setup{
		Arm: testArm(t), Tool: testPen,
		Mount: kinematics.Pose{Position: r3.Vec{Z: 2000}, Rotation: kinematics.FixedXYZ(180*degree, 0, 0)},
		Tasks: []jog.TaskFrame{{Name: "tray", Pose: kinematics.Pose{Position: r3.Vec{X: 300}, Rotation: kinematics.FixedXYZ(0, 0, 90*degree)}}},
	}
	for _, c := range []struct {
		way  jog.Direction
		want r3.Vec // in the base frame
	}{
		{jog.Direction{Frame: jog.WorldFrame, Axis: 2, Sign: 1}, r3.Vec{Z: -10}},
		{jog.Direction{Frame: jog.WorldFrame, Axis: 0, Sign: 1}, r3.Vec{X: 10}},
		{jog.Direction{Frame: jog.WorldFrame, Axis: 1, Sign: -1}, r3.Vec{Y: 10}},
		{jog.Direction{Frame: jog.TaskFrames, Task: "tray", Axis: 0, Sign: 1}, r3.Vec{Y: -10}}, // its X is the world's Y
	} {
		d, err := jog.New(setup, bent)
		if err != nil {
			t.Fatal(err)
		}
		from := d.TCP().Position
		if stop := run(t, d, jog.Jog{Direction: c.way, Amount: 10, Speed: 50}, nil); stop.Reason != jog.Done {
			t.Fatal(stop)
		}
		if moved := r3.Sub(d.TCP().Position, from); r3.Norm(r3.Sub(moved, c.want)) > 1e-9 {
			t.Errorf("%v moved %v, want %v", c.way, moved, c.want)
		}
	}
	d, _ := jog.New(setup, bent)
	if err := d.Start(jog.Jog{Direction: jog.Direction{Frame: jog.TaskFrames, Task: "moon", Sign: 1}, Amount: 1, Speed: 1}); err == nil {
		t.Error("jogged in a frame that does not exist")
	}
}

// Directions held together: straight ones along their sum at the chosen speed, turns about the sum of their vectors,
// joints all at the chosen speed, and a straight one with a turn at both speeds.
func TestHeldTogether(t *testing.T) {
	together := func(speed, turn float64, ways ...jog.Direction) *jog.Drive {
		t.Helper()
		d := jog.NewDrive(testArm(t), pen, bent)
		j, err := jog.HeldTogether(ways, speed, turn)
		if err != nil {
			t.Fatal(err)
		}
		if err := d.Start(j); err != nil {
			t.Fatal(err)
		}
		for range 100 { // long after the ramp
			d.Tick()
		}
		return d
	}
	at := jog.NewDrive(testArm(t), pen, bent).TCP()
	half := math.Sqrt(0.5)

	d := together(20, 10*degree, base(0, -1), base(1, 1))
	move, turn := at.Twist(d.TCP())
	if v, _ := d.PathSpeed(); math.Abs(v-20) > 1e-9 || r3.Norm(r3.Sub(move, r3.Scale(d.Travel(), r3.Vec{X: -half, Y: half}))) > 1e-6 || r3.Norm(turn) > 1e-9 {
		t.Errorf("X− and Y+: moved %v at %v mm/s, turned %v", move, v, turn)
	}
	d = together(20, 10*degree, base(3, 1), base(4, 1))
	move, turn = at.Twist(d.TCP())
	if v, _ := d.PathSpeed(); math.Abs(v-10*degree) > 1e-9 || r3.Norm(move) > 1e-6 || r3.Norm(r3.Sub(turn, r3.Scale(d.Travel(), r3.Vec{X: half, Y: half}))) > 1e-9 {
		t.Errorf("about X+ and Y+: moved %v, turned %v at %v", move, turn, v/degree)
	}
	d = together(20, 10*degree, base(1, 1), base(5, -1))
	move, turn = at.Twist(d.TCP())
	if v, _ := d.PathSpeed(); math.Abs(v-20) > 1e-9 || r3.Norm(r3.Sub(move, r3.Vec{Y: d.Travel()})) > 1e-6 || r3.Norm(r3.Sub(turn, r3.Vec{Z: -d.Travel() / 2 * degree})) > 1e-9 {
		t.Errorf("Y+ and about Z−: moved %v at %v mm/s, turned %v", move, v, turn)
	}
	d = together(20, 10*degree, joint(0, 1), joint(2, -1))
	if s := d.Speeds; math.Abs(s[0]-10*degree) > 1e-9 || math.Abs(s[2]+10*degree) > 1e-9 || s[1] != 0 {
		t.Errorf("J1+ and J3−: speeds %v", s.Degrees())
	}
	for name, ways := range map[string][]jog.Direction{
		"opposite": {base(0, 1), base(0, -1)}, "two frames": {base(0, 1), tool(1, 1)}, "none": nil,
	} {
		if _, err := jog.HeldTogether(ways, 1, 1); err == nil {
			t.Errorf("%s: accepted", name)
		}
	}
}

// Neither TCP nor flange is faster than the reduced speed when several joints turn together.
func TestReducedSpeedOfSeveralJoints(t *testing.T) {
	arm := testArm(t)
	rapid.Check(t, func(t *rapid.T) {
		d := jog.NewDrive(arm, pen, joints(t, arm))
		var amounts [6]float64
		for i := range amounts {
			amounts[i] = rapid.Float64Range(-1, 1).Draw(t, "amount")
		}
		j, err := jog.StepTogether(jog.JointFrame, "", amounts, 5, 5)
		if err != nil {
			t.Skip("it goes nowhere")
		}
		tcp, flange := d.TCP().Position, arm.Forward(d.Joints()).Position
		run(t, d, j, func() {
			nowTCP, nowFlange := d.TCP().Position, arm.Forward(d.Joints()).Position
			for _, moved := range []r3.Vec{r3.Sub(nowTCP, tcp), r3.Sub(nowFlange, flange)} {
				if speed := r3.Norm(moved) / jog.Tick; speed > jog.ReducedSpeed*(1+1e-6) {
					t.Fatalf("%v: %.3f mm/s", j, speed)
				}
			}
			tcp, flange = nowTCP, nowFlange
		})
	})
}
