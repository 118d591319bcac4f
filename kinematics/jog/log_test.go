package jog_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"handrule/kinematics"
	"handrule/kinematics/jog"
)

// drive runs a jog, lets go after so many ticks if it is held, and takes it down in the log.
func drive(t rapid.TB, d *jog.Drive, log *jog.Log, j jog.Jog, ticks int) (trace []kinematics.Joints) {
	t.Helper()
	if err := d.Start(j); err != nil {
		t.Fatal(err)
	}
	for n := 1; d.Tick(); n++ {
		trace = append(trace, d.Joints())
		if j.Held() && n == ticks {
			d.Release()
		}
		if n > 100_000 {
			t.Fatal("does not end")
		}
	}
	log.Record(d)
	return append(trace, d.Joints())
}

// A log of any jogs, some let go, some stopped, leads back jog by jog to where it began. Driven again, each let go when it
// was, the jogs are the same to the last bit.
func TestLogUndoneAndPlayedAgain(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		start := joints(t, testArm(t))
		things := someThings(t, 3)
		d := inCell(t, start, 0, things...)
		var log jog.Log
		for range rapid.IntRange(1, 4).Draw(t, "jogs") {
			j := someJog(t, somewhere(t))
			if rapid.Bool().Draw(t, "held") {
				j.Amount = math.Inf(1)
			}
			drive(t, d, &log, j, rapid.IntRange(1, 300).Draw(t, "ticks"))
		}
		again := inCell(t, start, 0, things...)
		var second jog.Log
		for i, e := range log.Entries() {
			drive(t, again, &second, e.Jog, int(e.LetGo))
			if again.Joints() != e.To || !sameStop(again.Stop(), e.Stop) || took(&second, i) != e.Ended-e.Began {
				t.Fatalf("jog %d driven again ends %v at %v, not %v at %v", i, again.Stop(), again.Joints(), e.Stop, e.To)
			}
		}
		for log.CanUndo() {
			if err := log.Undo(d); err != nil {
				t.Fatal(err)
			}
			for d.Tick() {
			}
			before := log.Len()
			last := log.Entry(before - 1)
			log.Record(d)
			if log.Len() >= before || d.Joints() != last.From {
				t.Fatalf("back from %v (%v) to %v: at %v by %v", last.To.Degrees(), last.Stop, last.From.Degrees(), d.Joints().Degrees(), d.Stop())
			}
		}
		samePose(t, d, start)
	})
}

func took(log *jog.Log, i int) int64 {
	e := log.Entry(i)
	return e.Ended - e.Began
}

// sameStop reports whether two stops are told alike in a few words.
func sameStop(a, b jog.Stop) bool {
	return a.Reason == b.Reason && a.Jog == b.Jog && a.Travel == b.Travel && a.Joint == b.Joint && a.Kind == b.Kind && a.Touch.A == b.Touch.A && a.Touch.B == b.Touch.B
}

// samePose checks that the TCP is where it is at these joint angles and, unless they are as good as singular, where the
// joints may share their turn in another way, that so are the joints.
func samePose(t *rapid.T, d *jog.Drive, q kinematics.Joints) {
	move, turn := d.Arm().Forward(q).Mul(d.Tool()).Twist(d.TCP())
	if r3.Norm(move) > 1e-6 || r3.Norm(turn) > 1e-8 {
		t.Fatalf("stands %.3g mm and %.3g rad off", r3.Norm(move), r3.Norm(turn))
	}
	if d.Arm().Singularity(q, d.Tool()).Smallest > 1e-3 && apart(d.Joints(), q) > 1e-6 {
		t.Fatalf("stands at %v, want %v", d.Joints(), q)
	}
}

func apart(p, q kinematics.Joints) (most float64) {
	for i := range p {
		most = math.Max(most, math.Abs(p[i]-q[i]))
	}
	return most
}

// A held jog that was let go, played again as a step, is the same motion tick by tick: both brake at the same moment.
func TestHeldJogPlayedAgainTickByTick(t *testing.T) {
	for _, speed := range []float64{5, 50, 250} {
		for _, ticks := range []int{3, 20, 60, 150} {
			d, again := inCell(t, bent, 0), inCell(t, bent, 0)
			var log jog.Log
			first := drive(t, d, &log, jog.Jog{Direction: base(1, 1), Amount: math.Inf(1), Speed: speed}, ticks)
			step, _ := log.Entry(0).Step()
			second := drive(t, again, &log, step, 0)
			if len(first) != len(second) {
				t.Fatalf("%v mm/s, %d ticks: %d and %d ticks", speed, ticks, len(first), len(second))
			}
			for k := range first {
				if apart(first[k], second[k]) > 1e-9 {
					t.Fatalf("%v mm/s, %d ticks: %.3g rad apart at tick %d", speed, ticks, apart(first[k], second[k]), k)
				}
			}
		}
	}
}

// An undo that is let go half way leaves the other half in the log.
func TestUndoLetGoLeavesTheRest(t *testing.T) {
	d := inCell(t, bent, 0)
	var log jog.Log
	drive(t, d, &log, jog.Jog{Direction: base(1, 1), Amount: 100, Speed: 50}, 0)
	if err := log.Undo(d); err != nil {
		t.Fatal(err)
	}
	for range 200 {
		d.Tick()
	}
	d.Release()
	for d.Tick() {
	}
	log.Record(d)
	if log.Len() != 1 || math.Abs(log.Entry(0).Stop.Travel-d.TCP().Position.Y) > 1e-9 {
		t.Fatalf("%+v at Y %v", log.Entries(), d.TCP().Position.Y)
	}
	if err := log.Undo(d); err != nil {
		t.Fatal(err)
	}
	for d.Tick() {
	}
	log.Record(d)
	if log.Len() != 0 || math.Abs(d.TCP().Position.Y) > 1e-9 {
		t.Fatalf("%d entries left at Y %v", log.Len(), d.TCP().Position.Y)
	}
	if log.Undo(d) == nil {
		t.Error("undid what is not there")
	}
}

// The sum of steps is the long jog.
func TestStepsAddUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		start := joints(t, testArm(t))
		j := someJog(t, cartesian(t))
		long := jog.NewDrive(testArm(t), pen, start)
		if run(t, long, j, nil).Reason != jog.Done {
			t.Skip("it stopped")
		}
		short := jog.NewDrive(testArm(t), pen, start)
		parts := rapid.IntRange(2, 8).Draw(t, "parts")
		j.Amount /= float64(parts)
		for range parts {
			if run(t, short, j, nil).Reason != jog.Done {
				t.Skip("it stopped")
			}
		}
		move, turn := long.TCP().Twist(short.TCP())
		if r3.Norm(move) > 1e-6 || r3.Norm(turn) > 1e-9 {
			t.Fatalf("%.3g mm and %.3g rad off", r3.Norm(move), r3.Norm(turn))
		}
	})
}

// An undo tells how the joints turned back, which is what they turned before with the other sign.
func TestAnUndoTellsHowTheJointsTurnedBack(t *testing.T) {
	d := jog.NewDrive(testArm(t), pen, kinematics.Joints{4: 60 * degree})
	there := run(t, d, jog.Jog{Direction: base(1, 1), Amount: 10, Speed: 50}, nil)
	var log jog.Log
	log.Record(d)
	if err := log.Undo(d); err != nil {
		t.Fatal(err)
	}
	for d.Tick() {
	}
	back := d.Stop()
	for i, turn := range there.Turned {
		if math.Abs(back.Turned[i]+turn) > 1e-9 {
			t.Errorf("J%d turned by %g there and by %g back", i+1, turn, back.Turned[i])
		}
	}
	if math.Abs(there.Turned[0]) < degree {
		t.Errorf("J1 hardly turned: %v", there.Turned)
	}
}
