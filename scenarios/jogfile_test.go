package scenarios

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"handrule/kinematics"
	"handrule/kinematics/jog"
)

func TestJogFileSaysEverything(t *testing.T) {
	steps, err := ReadJogs("jogs", []byte(`
world y -20
mount-tool brush
guard 5
task tray about-z +30
guard 0
base x +30 y -40    # five to the unit
tool z +10 about-z +90
joint J1 +10 J3 -20
`))
	if err != nil || len(steps) != 5 {
		t.Fatalf("%d steps, %v", len(steps), err)
	}
	if s := steps[0]; s.Frame != jog.WorldFrame || s.Axis != 1 || s.Sign != -1 || s.Amount != 20 || s.MountTool != "" || s.Guard != nil {
		t.Errorf("%+v", s)
	}
	if s := steps[1]; s.Frame != jog.TaskFrames || s.Task != "tray" || s.Amount != kinematics.Radians(30) || s.MountTool != "brush" || s.Guard == nil || *s.Guard != 5 {
		t.Errorf("%+v", s)
	}
	if s := steps[2]; math.Abs(s.Amount-50) > 1e-12 || s.Parts != [6]float64{0.6, -0.8} || s.Guard == nil || *s.Guard != 0 || s.Speed != 50 {
		t.Errorf("%+v", s)
	}
	// 90° in 10 mm at 15°/s is 10 mm in 6 s.
	if s := steps[3]; s.Amount != 10 || math.Abs(s.Speed-10.0/6) > 1e-12 {
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
		{"guard -1", "f:1:7: a guard is a clearance and not negative"},
		{"guard", "something is missing; write it like: guard 5"},
		{"mount-tool a b", "nothing may follow here"},
		{"wrold x 10", "unknown word"},
	} {
		if _, err := ReadJogs("f", []byte(test.line)); err == nil || !strings.Contains(err.Error(), test.says) {
			t.Errorf("%s: want %q in %v", test.line, test.says, err)
		}
	}
}

// Whatever is driven, its log as a jog file is read as the same jogs again.
func TestLogIsReadAsItWasDriven(t *testing.T) {
	wren := ShippedArms()[0]
	rapid.Check(t, func(t *rapid.T) {
		d := jog.NewDrive(wren.Geometry, wren.Tools[0].TCP, kinematics.Joints{0, 0, 0, 0, 1.2, 0})
		var log jog.Log
		for range rapid.IntRange(1, 4).Draw(t, "jogs") {
			frame := rapid.SampledFrom([]jog.Frame{jog.JointFrame, jog.BaseFrame, jog.WorldFrame, jog.ToolFrame}).Draw(t, "frame")
			var ways []jog.Direction
			for range rapid.IntRange(1, 3).Draw(t, "together") {
				ways = append(ways, jog.Direction{Frame: frame, Axis: rapid.IntRange(0, 5).Draw(t, "axis"), Sign: rapid.SampledFrom([]int{-1, 1}).Draw(t, "sign")})
			}
			held, err := jog.HeldTogether(ways, rapid.Float64Range(1, 250).Draw(t, "mm/s"), rapid.Float64Range(0.02, 1).Draw(t, "rad/s"))
			if err != nil {
				continue // they cancel
			}
			if err := d.Start(held); err != nil {
				t.Fatal(err)
			}
			for n := 0; d.Tick(); n++ {
				if n == 100 {
					d.Release()
				}
			}
			log.Record(d)
		}
		text := WriteJogs(log.Entries)
		again, err := ReadJogs("log", []byte(text))
		if err != nil && strings.Contains(text, "\n") && !strings.HasPrefix(text, "#") {
			t.Fatalf("%v in\n%s", err, text)
		}
		k := 0
		for i := range log.Entries {
			want, went := log.Entries[i].Step()
			if !went {
				continue
			}
			got := again[k].Jog
			k++
			same := got.Direction == want.Direction && math.Abs(got.Amount-want.Amount) <= 1e-12*want.Amount && math.Abs(got.Speed-want.Speed) <= 1e-12*want.Speed
			for axis := range got.Parts {
				same = same && math.Abs(got.Parts[axis]-want.Parts[axis]) < 1e-12*math.Max(1, math.Abs(want.Parts[axis]))
			}
			if !same {
				t.Fatalf("read %+v, drove %+v, in\n%s", got, want, text)
			}
		}
		if k != len(again) {
			t.Fatalf("%d jogs read, %d driven", len(again), k)
		}
	})
}
