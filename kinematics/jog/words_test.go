package jog_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"handrule/kinematics"
	"handrule/kinematics/jog"
	"handrule/words"
)

// Whatever makes the arm stop can be said in a word or two on a button, in every language; an ordinary end needs none.
func TestEveryCauseHasABriefName(t *testing.T) {
	for _, in := range words.Languages {
		seen := map[string]jog.Reason{}
		for _, reason := range jog.Reasons {
			stop := jog.Stop{Reason: reason, Joint: 2}
			brief := stop.Brief(in)
			if (brief != "") != stop.Trouble() {
				t.Errorf("%s, %s: %q", in.Code, reason, brief)
			}
			if brief == "" {
				continue
			}
			if was, twice := seen[brief]; twice || len([]rune(brief)) > 12 {
				t.Errorf("%s, %s: %q is long, or says %q as well", in.Code, reason, brief, was)
			}
			seen[brief] = reason
		}
	}
}

// The joint that is named as the one to move is the one that the advice speaks of.
func TestTheAdvisedJointIsInTheAdvice(t *testing.T) {
	for _, stop := range []jog.Stop{
		{Reason: jog.JointLimit, Joint: 3},
		{Reason: jog.Singularity, Kind: "wrist", Joint: 3},
		{Reason: jog.Singularity, Kind: "wrist", Joint: 5, InLine: true},
		{Reason: jog.Singularity, Kind: "elbow", Joint: 1},
	} {
		joint, ok := stop.Advised()
		if !ok || !strings.Contains(stop.Advice(words.English), kinematics.JointNames[joint]) {
			t.Errorf("%+v: joint %d, %q", stop, joint, stop.Advice(words.English))
		}
	}
	for _, stop := range []jog.Stop{{Reason: jog.Done}, {Reason: jog.Contact}, {Reason: jog.OutOfReach}, {Reason: jog.Singularity, Kind: "shoulder"}} {
		if joint, ok := stop.Advised(); ok {
			t.Errorf("%+v: joint %d", stop, joint)
		}
	}
}

// A jog that has ended says which way it went.
func TestAStopSaysItsWay(t *testing.T) {
	held := jog.Jog{Direction: base(1, -1), Amount: math.Inf(1)}
	joint := jog.Jog{Direction: jog.Direction{Frame: jog.JointFrame, Axis: 4, Sign: 1}, Amount: 5 * degree}
	for _, c := range []struct {
		stop jog.Stop
		want string
	}{
		{jog.Stop{Reason: jog.Released, Jog: held, Travel: 62}, "62.0 mm straight along −Y of the base frame."},
		{jog.Stop{Reason: jog.Done, Jog: joint, Travel: 5 * degree}, "5.0° of J5 to plus."},
	} {
		if got := c.stop.Numbers(words.English); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
}

// Which joints turned for a straight jog, and by how much, is said to the tenth of a degree; of a joint's own jog it is not.
func TestWhichJointsTurnedIsSaid(t *testing.T) {
	for _, j5 := range []float64{0.04, 60} { // close to the straight wrist, and well away from it
		before := kinematics.Joints{4: j5 * degree}
		d := jog.NewDrive(testArm(t), pen, before)
		stop := run(t, d, jog.Jog{Direction: base(1, 1), Amount: 10, Speed: 50}, nil)
		var want []string
		for i, q := range d.Joints() {
			if turned := math.Round((q-before[i])/degree*10) / 10; turned != 0 {
				want = append(want, strings.Replace(fmt.Sprintf("J%d %+.1f°", i+1, turned), "-", "−", 1))
			}
		}
		if len(want) < 2 || stop.Reason != jog.Done || !strings.Contains(stop.Sentence(), "the joints turned: "+strings.Join(want, ", ")+".") {
			t.Errorf("J5 at %g°: %s; the joints turned by %v", j5, stop.Sentence(), want)
		}
	}
	d := jog.NewDrive(testArm(t), pen, kinematics.Joints{})
	if stop := run(t, d, jog.Jog{Direction: jog.Direction{Frame: jog.JointFrame, Axis: 4, Sign: 1}, Amount: 5 * degree, Speed: 1}, nil); strings.Contains(stop.Sentence(), "turned") {
		t.Error(stop.Sentence())
	}
}

// An undo tells how the joints turned back, which is what they turned before with the other sign.
func TestAnUndoSaysWhichJointsTurnedBack(t *testing.T) {
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
