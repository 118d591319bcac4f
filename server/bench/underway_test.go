package bench

import (
	"testing"

	"pgregory.net/rapid"

	"handrule/kinematics/jog"
)

// A bench that is lost while a control is held is found as it would be if the connection had been lost at the moment when that was kept: arm, log,
// lesson and all that a page is told.
func TestAHoldIsFoundWhereItWasKept(t *testing.T) {
	offer := shipped()
	kept := 0
	rapid.Check(t, func(t *rapid.T) {
		b, press := anySession(t, &offer, 6)
		rest, err := b.AtRest()
		if err != nil {
			t.Fatal(err)
		}
		for range rapid.IntRange(1, 4).Draw(t, "presses") { // the next before the arm stands
			press++
			way := jog.Direction{
				Frame: rapid.SampledFrom([]jog.Frame{jog.JointFrame, jog.BaseFrame, jog.ToolFrame}).Draw(t, "frame"),
				Axis:  rapid.IntRange(0, 5).Draw(t, "axis"), Sign: rapid.SampledFrom([]int{1, -1}).Draw(t, "sign"),
			}
			b.Handle(&HoldRequest{Press: press, Directions: []jog.Direction{way}}, noon)
			b.Advance(rapid.IntRange(1, 400).Draw(t, "ticks"), noon)
		}
		since := b.UnderWay(rest.Mark())
		if since == nil {
			return
		}
		kept++
		state, log, err := rest.Write(NewPacker())
		if err != nil {
			t.Fatal(err)
		}
		again, err := Restore(&offer, testEnv(), state, log)
		if err != nil {
			t.Fatal(err)
		}
		again.GoOn(since)
		b.Leave()
		if at, is := b.drive().Joints(), again.drive().Joints(); at != is {
			t.Fatalf("found at %v, it was at %v", is, at)
		}
		think(b)
		think(again)
		sameTold(t, "found", allTold(b), allTold(again))
	})
	if kept == 0 {
		t.Error("no hold was kept")
	}
	t.Logf("%d holds were kept", kept)
}

// What cannot be driven again as it was is not kept as if it could: a hold at a part of the speed, a jog undone, and what belongs to another rest.
func TestWhatCannotBeDrivenAgainIsNotKept(t *testing.T) {
	part, press := 0.5, 0
	hold := func(b *Bench, part *float64) {
		press++
		if err := b.Handle(&HoldRequest{Press: press, Directions: []jog.Direction{{Frame: jog.JointFrame, Axis: 4, Sign: 1}}, SpeedPart: part}, noon); err != nil {
			t.Fatal(err)
		}
		b.Advance(50, noon)
	}
	b, _ := testBench()
	rest, _ := b.AtRest()
	if b.UnderWay(rest.Mark()) != nil {
		t.Error("an arm that stands is under way")
	}
	hold(b, &part)
	if b.UnderWay(rest.Mark()) != nil {
		t.Error("a hold at half the speed is kept")
	}
	b.Leave()
	hold(b, nil)
	other, _ := testBench()
	mark := rest.Mark()
	mark.put++
	if b.UnderWay(mark) != nil {
		t.Error("what was driven from elsewhere is kept")
	}
	since := b.UnderWay(rest.Mark())
	if since != nil {
		t.Error("a hold after one at half the speed is kept")
	}
	b.Leave()
	rest, _ = b.AtRest()
	hold(b, nil)
	if since = b.UnderWay(rest.Mark()); since == nil {
		t.Fatal("a hold is not kept")
	}
	stands := other.drive().Joints()
	if other.GoOn(since); other.drive().Joints() != stands {
		t.Error("an arm that stands elsewhere is moved")
	}
}

// What is kept of a hold may be anything: the arm stands, within its limits.
func FuzzGoOn(f *testing.F) {
	offer := shipped()
	b := New(&offer, testEnv())
	rest, _ := b.AtRest()
	b.Handle(&HoldRequest{Press: 1, Directions: []jog.Direction{{Frame: jog.JointFrame, Axis: 4, Sign: 1}}}, noon)
	b.Advance(50, noon)
	f.Add(b.UnderWay(rest.Mark()))
	f.Add([]byte("{}"))
	f.Fuzz(func(t *testing.T, since []byte) {
		b := New(&offer, testEnv())
		b.GoOn(since)
		if q := b.drive().Joints(); b.Busy() || !b.mounted.arm.Geometry.Within(q) {
			t.Errorf("it is at %v, busy %t", q, b.Busy())
		}
	})
}

// What it costs to write down a hold that is under way, and to drive ten seconds of it again.
func BenchmarkUnderWay(b *testing.B) {
	bench, _ := testBench()
	rest, _ := bench.AtRest()
	bench.Handle(&HoldRequest{Press: 1, Directions: []jog.Direction{{Frame: jog.JointFrame, Axis: 0, Sign: 1}}}, noon)
	bench.Advance(10*jog.TickRate, noon)
	if !bench.holding() {
		b.Fatal("it is not under way")
	}
	b.Run("write", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			bench.UnderWay(rest.Mark())
		}
	})
	since := bench.UnderWay(rest.Mark())
	b.Run("again", func(b *testing.B) {
		for b.Loop() {
			other, _ := testBench()
			other.GoOn(since)
		}
	})
}
