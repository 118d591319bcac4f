package jogfile_test

import (
	"fmt"
	"handrule/kinematics"
	"handrule/kinematics/jog"
	"handrule/scenarios"
	"handrule/scenarios/cellfile"
	"handrule/scenarios/jogfile"
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	_ "handrule/internal/draws"
)

func TestJogFileSaysEverything(t *testing.T) {
	steps, err := jogfile.Parse("jogs", []byte(`
world y -20
mount-tool brush
set-distance 5
task tray about-z +30
set-distance 0
base x +30 y -40    # five to the unit
tool z +10 about-z +90
joint J1 +10 J3 -20
speed 100 30
base x + y - about-z + let-go 1.2
base z -5 let-go 0.5 until-stopped
mount-tool long pen tcp 0 1.5 -2
teach-frame tray 0 0 10 100 0 10 0 50 10
joint J2 - until-stopped
`))
	if err != nil || len(steps) != 8 {
		t.Fatalf("%d steps, %v", len(steps), err)
	}
	if s := steps[0]; s.Frame != jog.WorldFrame || s.Axis != 1 || s.Sign != -1 || s.Amount != 20 || s.MountTool != "" || s.SetDistance != nil {
		t.Errorf("%+v", s)
	}
	if s := steps[1]; s.Frame != jog.TaskFrames || s.Task != "tray" || s.Amount != kinematics.Radians(30) || s.MountTool != "brush" || s.SetDistance == nil || *s.SetDistance != 5 {
		t.Errorf("%+v", s)
	}
	if s := steps[2]; math.Abs(s.Amount-50) > 1e-12 || s.Parts != [6]float64{0.6, -0.8} || s.SetDistance == nil || *s.SetDistance != 0 || s.Speed != 50 {
		t.Errorf("%+v", s)
	}
	// 90° in 10 mm at 15°/s is 10 mm in 6 s.
	if s := steps[3]; s.Amount != 10 || math.Abs(s.Speed-10.0/6) > 1e-12 {
		t.Errorf("%+v", s)
	}
	held, err := jog.HeldTogether([]jog.Direction{{Frame: "base", Axis: 0, Sign: 1}, {Frame: "base", Axis: 1, Sign: -1}, {Frame: "base", Axis: 5, Sign: 1}}, 100, kinematics.Radians(30))
	if s := steps[5]; err != nil || s.Jog != held || s.LetGo != 300 || s.Until {
		t.Errorf("%+v", s)
	}
	if s := steps[6]; s.Amount != 5 || s.Speed != 100 || s.LetGo != 125 || !s.Until {
		t.Errorf("%+v", s)
	}
	if s := steps[7]; !s.Held() || s.Speed != kinematics.Radians(30) || !s.Until || s.MountTool != "long pen" || *s.TCP != (r3.Vec{Y: 1.5, Z: -2}) ||
		len(s.Teach) != 1 || s.Teach[0].Name != "tray" || s.Teach[0].Pose.Position != (r3.Vec{Z: 10}) {
		t.Errorf("%+v", s)
	}
	if s := steps[4]; math.Abs(s.Amount-kinematics.Radians(20)) > 1e-15 || math.Abs(s.Parts[0]-0.5) > 1e-15 || s.Parts[2] != -1 {
		t.Errorf("%+v", s)
	}
}

func TestJogFileRefuses(t *testing.T) {
	for _, test := range []struct{ line, says string }{
		{"task x +10", "f:1:11: something is missing; write it like: task tray x +100"},
		{"task", "something is missing"},
		{"base x +10 y", "something is missing"},
		{"base x +10 x +5", "f:1:12: x is named twice"},
		{"base x +10 q +5", "f:1:12: unknown direction"},
		{"base x +10 y 0", "a jog of 0 goes nowhere"},
		{"set-distance -1", "f:1:14: a set distance is a clearance and not negative"},
		{"set-distance", "something is missing; write it like: set-distance 5"},
		{"mount-tool", "something is missing; write it like: mount-tool pen"},
		{"mount-tool pen tcp 0 0 far", "f:1:24: \"far\" is not a number"},
		{"speed 0 5", "f:1:7: a speed must be more than 0"},
		{"speed 5 5 5", "f:1:9: nothing may follow here"},
		{"base x +", "f:1:9: a jog that is held needs its end"},
		{"base x + y -5 let-go 1", "f:1:6: give an amount for every axis, or for none"},
		{"base x + let-go", "let-go is followed by the time in seconds"},
		{"base x + let-go 1 y -", "f:1:19: let-go is followed by the time in seconds"},
		{"base x + let-go 0", "f:1:17: a control is held for at least 0.004 s"},
		{"base x + let-go 1e9", "is too large"},
		{"until-stopped", "unknown word"},
		{"base until-stopped", "something is missing"},
		{"base x + x - until-stopped", "cancel each other"},
		{"teach-frame tray 0 0 0 1 0 0", "something is missing; write it like: teach-frame tray"},
		{"teach-frame base 0 0 0 100 0 0 0 100 0", "f:1:13: a task frame's name is one word"},
		{"teach-frame tray 0 0 0 100 0 0 200 0 0", "f:1:18: "},
		{"wrold x 10", "unknown word"},
	} {
		if _, err := jogfile.Parse("f", []byte(test.line)); err == nil || !strings.Contains(err.Error(), test.says) {
			t.Errorf("%s: want %q in %v", test.line, test.says, err)
		}
	}
}

// Whatever is driven, its log as a jog file is read as the same jogs again, to the last bit.
func TestLogIsReadAsItWasDriven(t *testing.T) {
	wren := scenarios.ShippedArms()[0]
	rapid.Check(t, func(t *rapid.T) {
		d := jog.NewDrive(wren.Geometry, wren.Tools[0].TCP, kinematics.Joints{0, 0, 0, 0, 1.2, 0})
		var log jog.Log
		for range rapid.IntRange(1, 4).Draw(t, "jogs") {
			frame := rapid.SampledFrom([]jog.Frame{jog.JointFrame, jog.BaseFrame, jog.WorldFrame, jog.ToolFrame}).Draw(t, "frame")
			speed, turnSpeed := rapid.Float64Range(1, 250).Draw(t, "mm/s"), kinematics.Radians(rapid.Float64Range(1, 60).Draw(t, "deg/s"))
			var j jog.Jog
			var err error
			if rapid.Bool().Draw(t, "held") {
				var ways []jog.Direction
				for range rapid.IntRange(1, 3).Draw(t, "together") {
					ways = append(ways, jog.Direction{Frame: frame, Axis: rapid.IntRange(0, 5).Draw(t, "axis"), Sign: rapid.SampledFrom([]int{-1, 1}).Draw(t, "sign")})
				}
				j, err = jog.HeldTogether(ways, speed, turnSpeed)
			} else {
				var amounts [6]float64
				for range rapid.IntRange(1, 3).Draw(t, "together") {
					axis := rapid.IntRange(0, 5).Draw(t, "axis")
					if amounts[axis] = rapid.Float64Range(-20, 20).Draw(t, "amount"); frame == jog.JointFrame || axis > 2 {
						amounts[axis] = kinematics.Radians(amounts[axis])
					}
				}
				if frame == jog.JointFrame || [3]float64(amounts[:3]) == [3]float64{} {
					speed = turnSpeed // as what is jogged by degrees is asked for
				}
				j, err = jog.StepTogether(frame, "", amounts, speed, turnSpeed)
			}
			if err != nil {
				continue // they cancel
			}
			if err := d.Start(j); err != nil {
				t.Fatal(err)
			}
			for n := 1; d.Tick(); n++ {
				if n == 100 {
					d.Release()
				}
			}
			log.Record(d)
		}
		if log.Len() == 0 {
			t.Skip("nothing was driven")
		}
		text := jogfile.Write(log.Entries())
		again, err := jogfile.Parse("log", []byte(text))
		if err != nil || len(again) != log.Len() {
			t.Fatalf("%v: %d jogs read, %d driven, in\n%s", err, len(again), log.Len(), text)
		}
		for i, e := range log.Entries() {
			got := again[i]
			if got.Jog != e.Jog || got.LetGo != e.LetGo || got.Until != e.Stop.Trouble() || !got.Completed(e.Stop) {
				t.Fatalf("read %+v, drove %+v, in\n%s", got, e.Jog, text)
			}
		}
	})
}

// A file cannot teach frames without end, in many lines or before one jog; the same ones again it can.
func TestAFileTeachesABoundedNumberOfFrames(t *testing.T) {
	arm := scenarios.ShippedArms()[0]
	run := func(frames, names int, between string) error {
		var text strings.Builder
		for i := range frames {
			fmt.Fprintf(&text, "teach-frame f%d 0 0 10 100 0 10 0 50 10\n%s", i%names, between)
		}
		steps, err := jogfile.Parse("jogs", []byte(text.String()+"joint J1 +0.01\n"))
		if err != nil {
			t.Fatal(err)
		}
		stand := &cellfile.Stand{Arm: arm, Cell: cellfile.Alone(arm)}
		around, err := stand.Setup(kinematics.NoTool, 0)
		if err != nil {
			t.Fatal(err)
		}
		d, err := jog.New(around, kinematics.Joints{})
		if err != nil {
			t.Fatal(err)
		}
		_, err = jogfile.Rehearse(stand, d, "jogs", steps, func(string) {})
		return err
	}
	for _, between := range []string{"", "joint J1 +0.01\n"} {
		if err := run(41, 41, between); err == nil || !strings.Contains(err.Error(), "40 task frames are enough") {
			t.Errorf("%v", err)
		}
		if err := run(400, 40, between); err != nil {
			t.Error(err)
		}
	}
}

func TestBadJogFilesSayWhereAndWhat(t *testing.T) {
	for _, test := range []struct{ text, says string }{
		{"joint J5 +90\nbsae x +1\n", `jogs:2:1: unknown word "bsae"; did you mean "base"`},
		{"base w +1\n", "jogs:1:6: unknown direction"},
		{"joint J7 +1\n", `jogs:1:7: unknown direction "J7"`},
		{"base x\n", "something is missing"},
		{"base x +1 mm\n", "jogs:1:11: nothing may follow"},
		{"base x far\n", `"far" is not a number`},
		{"base x NaN\n", "is not a number"},
		{"base x inf\n", "is not a number"},
		{"base x 1e9\n", "is too large"},
		{"base x 0\n", "goes nowhere"},
		{"speed -5\n", "more than 0"},
		{"# only talk\n", "holds no jog"},
	} {
		if _, err := jogfile.Parse("jogs", []byte(test.text)); err == nil || !strings.Contains(err.Error(), test.says) {
			t.Errorf("%q: want %q in\n%v", test.text, test.says, err)
		}
	}
}

func TestJogsAreReadInTheirUnits(t *testing.T) {
	jogs, err := jogfile.Parse("jogs", []byte("speed 100 # fast\nbase x -12.5\ntool about-z +15\n"))
	if err != nil {
		t.Fatal(err)
	}
	want := []jog.Jog{
		{Direction: jog.Direction{Frame: jog.BaseFrame, Axis: 0, Sign: -1}, Amount: 12.5, Speed: 100},
		{Direction: jog.Direction{Frame: jog.ToolFrame, Axis: 5, Sign: 1}, Amount: kinematics.Radians(15), Speed: kinematics.Radians(100)},
	}
	if len(jogs) != 2 || jogs[0].Jog != want[0] || jogs[1].Jog != want[1] {
		t.Errorf("%+v", jogs)
	}
	if line := jogfile.Line(jogs[1].Jog); line != "tool about-z +15" {
		t.Errorf("written as %q", line)
	}
}

func TestJogsThatWouldNotEndAreRefused(t *testing.T) {
	for _, test := range []struct{ text, says string }{
		{"speed 1e-300\nbase x +1\n", "f:1:7: a speed must be more than 0, and at least 0.01"},
		{"speed 1e5\nbase x +1\n", "f:1:7: \"1e5\" is too large"},
		{"base x 0x1p3\n", "f:1:8: \"0x1p3\" is not a number"},
		{"base " + strings.Repeat("x", 500) + "\n", "f:1:400: the line is too long"},
		{strings.Repeat("base x +1\n", 10_000+1), "f:10001:1: a file holds at most 10000 jogs"},
		{"base x +1\x00\n", "f:1:10: is not plain text"},
	} {
		if _, err := jogfile.Parse("f", []byte(test.text)); err == nil || !strings.Contains(err.Error(), test.says) {
			t.Errorf("%.30q: want %q in\n%.300v", test.text, test.says, err)
		}
	}
}
