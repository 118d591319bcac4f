package jog_test

import (
	"math"
	"testing"

	"handrule/kinematics"
	"handrule/kinematics/jog"
)

// recorded runs the jog, and returns its recording and what the drive itself said after every tick.
func recorded(t *testing.T, r *jog.Recorder, d *jog.Drive, j jog.Jog) (*jog.Recording, []kinematics.Joints) {
	t.Helper()
	ticks := []kinematics.Joints{d.Joints()}
	var of *jog.Recording
	run(t, d, j, func() {
		r.Take(d)
		if of = r.Now(); of == nil {
			if of = r.InFrame; j.Frame == jog.JointFrame {
				of = r.OfJoint
			}
		}
		ticks = append(ticks, d.Joints())
	})
	if !of.Done || r.Now() != nil {
		t.Fatal("the arm stands, and the recording goes on")
	}
	return of, ticks
}

func TestARecordingIsWhatTheDriveDid(t *testing.T) {
	d := jog.NewDrive(testArm(t), pen, kinematics.Joints{0, 0, 0, 0, 90 * degree, 0})
	var r jog.Recorder
	for _, j := range []jog.Jog{
		{Direction: base(1, 1), Amount: 3, Speed: 50},   // fewer ticks than are kept
		{Direction: base(0, -1), Amount: 100, Speed: 5}, // many more
		{Direction: jog.Direction{Frame: jog.JointFrame, Axis: 1, Sign: -1}, Amount: 20 * degree, Speed: 1 * degree},
	} {
		of, ticks := recorded(t, &r, d, j)
		samples := of.Samples()
		if len(samples) > 200 || len(samples) < min(len(ticks), 90) {
			t.Errorf("%v: %d samples of %d ticks", j, len(samples), len(ticks))
		}
		for i, s := range samples {
			tick := int(math.Round(s.Time * jog.TickRate))
			if s.Joints != ticks[tick] {
				t.Fatalf("%v: at %g s the recording has %v, the drive had %v", j, s.Time, s.Joints, ticks[tick])
			}
			for joint := range s.Speeds {
				if tick > 0 && !d.Moving() && i < len(samples)-1 && math.Abs(s.Speeds[joint]-(ticks[tick][joint]-ticks[tick-1][joint])*jog.TickRate) > 1e-9 {
					t.Fatalf("%v: at %g s J%d has the speed %g", j, s.Time, joint+1, s.Speeds[joint])
				}
			}
			if i > 1 && i < len(samples)-1 && math.Abs(s.Time-samples[i-1].Time-samples[1].Time) > 1e-9 {
				t.Fatalf("%v: samples are not evenly spaced", j)
			}
		}
		if first, last := samples[0], samples[len(samples)-1]; first.Travel != 0 || last.Joints != d.Joints() || math.Abs(last.Travel-j.Amount) > 1e-9 {
			t.Errorf("%v: from %g to %g of %g", j, first.Travel, last.Travel, j.Amount)
		}
		var work kinematics.Joints
		for i := 1; i < len(ticks); i++ {
			for joint := range work {
				work[joint] += math.Abs(ticks[i][joint] - ticks[i-1][joint])
			}
		}
		for joint := range work {
			if math.Abs(work[joint]-of.Work[joint]) > 1e-9 {
				t.Errorf("%v: J%d worked %g, the ticks say %g", j, joint+1, of.Work[joint], work[joint])
			}
		}
	}
	if r.InFrame.Jog.Axis != 0 || r.OfJoint.Jog.Axis != 1 {
		t.Error("the last straight jog and the last of a joint are not what is kept")
	}
}

// The arm is symmetrical about its X-Z plane: on a line across it that begins and ends as far to either side, joints 2, 3
// and 5 go one way and come back, and turn round in the middle. Joint 1 does not.
func TestTurnsAreInTheMiddleOfALineAcross(t *testing.T) {
	d := jog.NewDrive(testArm(t), pen, kinematics.Joints{0, 0, 0, 0, 90 * degree, 0})
	var r jog.Recorder
	recorded(t, &r, d, jog.Jog{Direction: base(1, -1), Amount: 150, Speed: 100})
	of, _ := recorded(t, &r, d, jog.Jog{Direction: base(1, 1), Amount: 300, Speed: 100})
	turned := map[int]int{}
	for _, turn := range of.Turns {
		turned[turn.Joint]++
		if turn.Joint == 3 {
			continue // it follows J1 and need not turn there
		}
		if math.Abs(turn.Travel-150) > 0.5 { // a tick is 0.4 mm
			t.Errorf("J%d turns round after %g mm, not in the middle", turn.Joint+1, turn.Travel)
		}
	}
	for _, joint := range []int{1, 2, 4} {
		if turned[joint] != 1 {
			t.Errorf("J%d turns round %d times", joint+1, turned[joint])
		}
	}
	if turned[0] != 0 {
		t.Error("J1 turns round")
	}
}

func TestApproachingALimit(t *testing.T) {
	arm := testArm(t)
	for _, c := range []struct {
		from, by float64
		near     bool
		left     float64
	}{
		{90, 25, true, 5}, {90, 15, false, 15}, {115, -10, false, 5}, {-90, -28, true, 2}, {-113, 0.01, false, 7},
	} {
		d := jog.NewDrive(arm, pen, kinematics.Joints{4: c.from * degree})
		var r jog.Recorder
		sign := 1
		if c.by < 0 {
			sign = -1
		}
		of, _ := recorded(t, &r, d, jog.Jog{
			Direction: jog.Direction{Frame: jog.JointFrame, Axis: 4, Sign: sign}, Amount: math.Abs(c.by) * degree, Speed: 30 * degree,
		})
		near := of.Nearest(4)
		if of.Approached(4, arm) != c.near || math.Abs(near.Left-c.left*degree) > 1e-9 || near.Upper != (c.from > 0) {
			t.Errorf("%v: approached %v, %g° left, upper %v", c, of.Approached(4, arm), near.Left/degree, near.Upper)
		}
		if of.Approached(0, arm) {
			t.Error("J1 rests, and is said to approach its limit")
		}
	}
}

func TestRecordingAllocatesNothingOnTheWay(t *testing.T) {
	d := jog.NewDrive(testArm(t), pen, kinematics.Joints{0, 0, 0, 0, 90 * degree, 0})
	if err := d.Start(jog.Jog{Direction: base(0, -1), Amount: 200, Speed: 5}); err != nil {
		t.Fatal(err)
	}
	var r jog.Recorder
	step := func() {
		d.Tick()
		r.Take(d)
	}
	step()
	if n := testing.AllocsPerRun(2000, step); n != 0 {
		t.Errorf("%g allocations a tick", n)
	}
}
