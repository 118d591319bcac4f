package scenarios

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	_ "handrule/internal/draws"

	"handrule/kinematics"
	"handrule/kinematics/jog"
)

// The log of any session on the glazing bench, with every shipped arm, is read again as it was written: its entries are the
// same, and every undo from there on is the same motion bit for bit.
func TestALogThatIsReadAgainUndoesBitForBit(t *testing.T) {
	cell, err := OpenCell("glazing-bench")
	if err != nil {
		t.Fatal(err)
	}
	rapid.Check(t, func(t *rapid.T) {
		arm := rapid.SampledFrom(ShippedArms()).Draw(t, "arm")
		setup, err := cell.Setup(arm, arm.Tools[0], rapid.SampledFrom([]float64{0, 10}).Draw(t, "set distance"))
		if err != nil {
			t.Fatal(err)
		}
		var q kinematics.Joints
		for i, j := range arm.Geometry.Joints {
			q[i] = rapid.Float64Range(j.Min/2, j.Max/2).Draw(t, "joint")
		}
		d, err := jog.New(setup, q)
		if err != nil {
			t.Fatal(err)
		}
		var log jog.Log
		for range rapid.IntRange(1, 6).Draw(t, "jogs") {
			if log.CanUndo() && rapid.IntRange(0, 3).Draw(t, "undo") == 0 {
				if err := log.Undo(d); err != nil {
					t.Fatal(err)
				}
			} else if err := d.Start(anyJog(t, setup.Tasks)); err != nil {
				t.Fatal(err)
			}
			for held := rapid.IntRange(1, 400).Draw(t, "ticks"); d.Tick(); held-- {
				if held == 0 {
					d.Release()
				}
			}
			log.Record(d)
		}
		data, err := log.MarshalBinary()
		if err != nil {
			t.Fatal(err)
		}
		var again jog.Log
		if err := again.UnmarshalBinary(data); err != nil {
			t.Fatal(err)
		}
		// What all have in common, the tool and the frames, is written once.
		if most := 800 + 150*log.Len() + 48; len(data) > most {
			t.Fatalf("%d jogs take %d bytes", log.Len(), len(data))
		}
		for i, e := range log.Entries() {
			if got := again.Entry(i); got != e {
				t.Fatalf("entry %d is read as %+v, not %+v", i, got, e)
			}
		}
		other, err := jog.New(setup, d.Joints())
		if err != nil {
			t.Fatal(err)
		}
		for log.CanUndo() {
			if err, andHere := log.Undo(d), again.Undo(other); err != nil || andHere != nil {
				t.Fatal(err, andHere)
			}
			for going := true; going; {
				going = d.Tick()
				if other.Tick() != going || other.Joints() != d.Joints() {
					t.Fatalf("at %v, and after reading the log again at %v", d.Joints(), other.Joints())
				}
			}
			if e := log.Entry(log.Len() - 1); d.Stop().Reason != jog.Done || d.Joints() != e.From {
				t.Fatalf("back from %v (%v) to %v at %v: %v", e.To, e.Stop, e.From, d.Joints(), d.Stop())
			}
			log.Record(d)
			again.Record(other)
		}
		if again.CanUndo() || again.Len() != log.Len() {
			t.Fatalf("%d entries are left, and %d", log.Len(), again.Len())
		}
	})
}

// anyJog draws a jog of any kind: a step or a held one, along one direction or several, in any frame.
func anyJog(t *rapid.T, tasks []jog.TaskFrame) jog.Jog {
	frame := rapid.SampledFrom(jog.Frames).Draw(t, "frame")
	task := ""
	if frame.Traits().Named {
		if len(tasks) == 0 {
			frame = jog.BaseFrame
		} else {
			task = rapid.SampledFrom(tasks).Draw(t, "task").Name
		}
	}
	speed, turn := rapid.Float64Range(10, 250).Draw(t, "mm/s"), rapid.Float64Range(0.1, 1).Draw(t, "rad/s")
	var amounts [6]float64
	var ways []jog.Direction
	for _, axis := range rapid.SliceOfNDistinct(rapid.IntRange(0, 5), 1, 6, rapid.ID[int]).Draw(t, "axes") {
		way := jog.Direction{Frame: frame, Task: task, Axis: axis, Sign: rapid.SampledFrom([]int{-1, 1}).Draw(t, "sign")}
		ways = append(ways, way)
		size := 80.0
		if !way.Straight() {
			size = 0.6
		}
		amounts[axis] = float64(way.Sign) * size * rapid.Float64Range(0.1, 1).Draw(t, "amount")
	}
	if len(ways) == 1 {
		amount := math.Inf(1)
		if rapid.Bool().Draw(t, "step") {
			amount = math.Abs(amounts[ways[0].Axis])
		}
		if !ways[0].Straight() {
			speed = turn
		}
		return jog.Jog{Direction: ways[0], Amount: amount, Speed: speed}
	}
	j, err := jog.StepTogether(frame, task, amounts, speed, turn)
	if frame == jog.JointFrame {
		j, err = jog.StepTogether(frame, task, amounts, turn, turn)
	}
	if rapid.Bool().Draw(t, "held") {
		j, err = jog.HeldTogether(ways, speed, turn)
	}
	if err != nil {
		t.Skip(err)
	}
	return j
}
