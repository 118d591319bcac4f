package bench

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/kinematics/jog"
)

func TestTwoWaysToARememberedPlace(t *testing.T) {
	b, sent := testBench()
	ask(t, b, noon, `{"type":"cell","id":"glazing-bench"}`)
	ask(t, b, noon, `{"type":"increment","mm":50,"deg":90}`)
	step(t, b, bendWrist)
	ask(t, b, noon, `{"type":"ways","do":"here"}`)
	if m := last[WaysMessage](t, sent); m.Begun || m.Goal == nil {
		t.Fatalf("%+v; the arm is there already", m)
	}
	step(t, b, `{"type":"step","direction":{"frame":"base","axis":1,"sign":1}}`)
	step(t, b, `{"type":"step","direction":{"frame":"base","axis":2,"sign":1}}`)
	goal, start := b.ways.goal.pose, b.drive().Standing()
	ask(t, b, noon, `{"type":"ways","do":"begin"}`)
	think(b)
	m := last[WaysMessage](t, sent)
	if !m.Joint.Done || !m.Straight.Done || len(m.Straight.Jogs) != 2 {
		t.Fatalf("%+v, %+v", m.Joint, m.Straight)
	}
	// Both are driven again and cost what was told.
	for i, w := range []*WayView{m.Joint, m.Straight} {
		d := start.Copy()
		cost := d.NewCost()
		for _, j := range []foundWay{b.ways.found.joint, b.ways.found.straight}[i].Jogs {
			if err := d.Start(j); err != nil {
				t.Fatal(err)
			}
			for going := true; going; {
				going = d.Tick()
				cost.Add(d)
			}
		}
		shift, turn := d.TCP().Twist(goal)
		if r3.Norm(shift) > 1e-6 || r3.Norm(turn) > 1e-9 {
			t.Errorf("%v ends %g mm and %g rad off", w.Jogs, r3.Norm(shift), r3.Norm(turn))
		}
		if math.Abs(cost.Length-w.Cost.LengthMM) > 1e-6 || math.Abs(cost.Seconds()-w.Cost.Seconds) > 1e-9 || math.Abs(cost.Nearest.Distance-w.Cost.Clearance.DistanceMM) > 1e-6 {
			t.Errorf("%v: %g mm, %g s, %g mm clear; told were %+v", w.Jogs, cost.Length, cost.Seconds(), cost.Nearest.Distance, w.Cost)
		}
	}
	ask(t, b, noon, `{"type":"ways","do":"show","way":"joints"}`)
	p := last[WayMessage](t, sent)
	if n := len(p.Frames); n < 2 || n > mostFrames || p.Seconds != m.Joint.Cost.Seconds {
		t.Errorf("%d frames, %g s", n, p.Seconds)
	}
	first, end := p.Frames[0].TCP.Position, p.Frames[len(p.Frames)-1].TCP.Position
	at := start.TCP().Position
	if math.Abs(first[1]-at.Y) > 1e-3 || math.Abs(end[1]-goal.Position.Y) > 1e-3 || math.Abs(end[2]-goal.Position.Z) > 1e-3 {
		t.Errorf("it is played from %v to %v", first, end)
	}
}

// Another tool has its tool point elsewhere: the comparison begins anew there, and that leap is no way that was driven.
func TestAnotherToolIsNoWay(t *testing.T) {
	b, _ := testBench()
	err := b.Handle(&WaysRequest{Do: WaysNumbers, Numbers: &[6]float64{110, 100, 200, 0, 90, 0}}, noon)
	if err != nil {
		t.Fatal(err)
	}
	step(t, b, bendWrist)
	ask(t, b, noon, `{"type":"tool","name":"brush"}`)
	if a := b.ways.attempt; a.Length != 0 || a.Ticks != 0 || a.jogs != 0 {
		t.Errorf("%+v", a)
	}
	if b.ways.from.Setup().Tool.Name != "brush" || b.ways.from.Joints() != b.drive().Joints() {
		t.Error("the comparison does not begin with the tool that is mounted now")
	}
	step(t, b, `{"type":"step","direction":{"frame":"base","axis":2,"sign":1}}`)
	if want := b.drive().Stop().Travel; math.Abs(b.ways.attempt.Length-want) > 1e-6 {
		t.Errorf("%g mm are counted of %g", b.ways.attempt.Length, want)
	}
}

// The learner's own way is counted from where it begins until the place is reached, and no further.
func TestTheAttemptIsCounted(t *testing.T) {
	b, sent := testBench()
	ask(t, b, noon, `{"type":"increment","mm":50,"deg":90}`)
	step(t, b, bendWrist)
	ask(t, b, noon, `{"type":"read-in","frame":"base","task":""}`)
	p := b.state().TCP
	numbers := kinematics.Pose{Position: r3.Vec{X: p.PositionMM[0] + 50, Y: p.PositionMM[1] + 50, Z: p.PositionMM[2]}}.Position
	err := b.Handle(&WaysRequest{Do: WaysNumbers, Numbers: &[6]float64{numbers.X, numbers.Y, numbers.Z, p.FixedXYZDeg[0], p.FixedXYZDeg[1], p.FixedXYZDeg[2]}}, noon)
	if err != nil {
		t.Fatal(err)
	}
	if m := last[WaysMessage](t, sent); !m.Begun || m.Goal.Kind != WaysNumbers {
		t.Fatalf("%+v; the comparison begins at once", m)
	}
	length, ticks := 0.0, 0
	at := b.drive().TCP().Position
	for _, text := range []string{
		`{"type":"step","direction":{"frame":"base","axis":0,"sign":1}}`,
		`{"type":"step","direction":{"frame":"base","axis":2,"sign":1}}`,
		`{"type":"undo"}`,
		`{"type":"step","direction":{"frame":"base","axis":1,"sign":1}}`,
	} {
		ask(t, b, noon, text)
		ticks++ // the first tick is made at once
		for {
			to := b.drive().TCP().Position
			length += r3.Norm(r3.Sub(to, at))
			if at = to; !b.drive().Moving() {
				break
			}
			b.tick()
			ticks++
		}
	}
	a := last[WaysMessage](t, sent).Attempt
	if !a.Reached || a.Jogs != 4 || math.Abs(a.Cost.LengthMM-length) > 1e-9 || math.Abs(a.Cost.LengthMM-200) > 1e-6 || math.Abs(a.Cost.Seconds-float64(ticks)*jog.Tick) > 1e-9 {
		t.Errorf("%+v; driven were 4 jogs, %g mm, %d ticks", a, length, ticks)
	}
	step(t, b, `{"type":"step","direction":{"frame":"base","axis":1,"sign":1}}`)
	if again := last[WaysMessage](t, sent).Attempt; again.Jogs != 4 {
		t.Error("what is driven after the place was reached counts too")
	}
}

func TestAWayThatStopsSaysWhyAndWhere(t *testing.T) {
	b, sent := testBench()
	p := b.state().TCP.PositionMM
	rotation := b.state().TCP.FixedXYZDeg
	numbers := [6]float64{p[0], p[1] + 60, p[2], rotation[0], rotation[1], rotation[2]}
	if err := b.Handle(&WaysRequest{Do: WaysNumbers, Numbers: &numbers}, noon); err != nil {
		t.Fatal(err)
	}
	think(b)
	w := last[WaysMessage](t, sent).Straight
	if w.Done || w.Stop == nil || w.Stop.Reason != jog.Singularity || math.Abs(w.ShortMM-60) > 0.1 || math.Abs(w.StopAtMM[1]-p[1]) > 0.1 {
		t.Errorf("%+v; the straight wrist stops a straight jog along Y where it stands", w)
	}
	numbers[0] = 5000
	if err := b.Handle(&WaysRequest{Do: WaysNumbers, Numbers: &numbers}, noon); err != nil {
		t.Fatal(err)
	}
	think(b)
	if w := last[WaysMessage](t, sent).Joint; w.Done || !w.Nowhere || w.Stop != nil {
		t.Errorf("%+v; no joint angles reach 5 m", w)
	}
	refused(t, b, `{"type":"ways","do":"show","way":"flying"}`, "no way")
	refused(t, b, `{"type":"ways","do":"numbers","numbers":[1e5,0,0,100001,0,0]}`, "go from")
	refused(t, b, `{"type":"ways","do":"numbers"}`, "six numbers")
	refused(t, b, `{"type":"ways","do":"lesson"}`, "no target")
	ask(t, b, noon, `{"type":"ways","do":"clear"}`)
	refused(t, b, `{"type":"ways","do":"begin"}`, "which place")
	refused(t, b, `{"type":"ways","do":"show","way":"joints"}`, "still being computed")
}

// Another speed, tool or set distance is another question; the same is asked once only.
func TestWaysAreComparedBesideTheBench(t *testing.T) {
	b, sent := testBench()
	if err := b.Handle(&WaysRequest{Do: WaysNumbers, Numbers: &[6]float64{300, 120, 300, 0, 90, 0}}, noon); err != nil {
		t.Fatal(err)
	}
	old := b.Question()
	if old == nil || old.topic != aboutWays || b.Question() != nil {
		t.Fatal("the ways are not asked for once")
	}
	if err := b.Handle(&SpeedRequest{MMS: 10, DegS: 5}, noon); err != nil {
		t.Fatal(err)
	}
	for !old.Work() {
	}
	if b.Wanted(old) {
		t.Error("what was asked at another speed is still wanted")
	}
	b.Answer(old)
	if last[WaysMessage](t, sent).Joint != nil {
		t.Error("an old answer was taken")
	}
	think(b)
	if m := last[WaysMessage](t, sent); m.Joint == nil || m.Straight == nil {
		t.Error("the page does not hear the answer")
	}
}

// A lesson's target is taken with its tolerance; where the lesson shows no ghost, no ways are given away either.
func TestWaysToALessonsTarget(t *testing.T) {
	stage := "stages:\n  - title: There\n    text: Go there.\n    reach: {position_mm: [350, 100, 110], tolerance_mm: 5}\n"
	b, sent := lessonBench(t, head+stage)
	ask(t, b, noon, `{"type":"ways","do":"lesson"}`)
	m := last[WaysMessage](t, sent)
	if !m.LessonGoal || m.Goal.Target.ToleranceMM != 5 || m.Goal.Target.HasRotation || !m.Begun {
		t.Fatalf("%+v", m)
	}
	think(b)
	if w := last[WaysMessage](t, sent).Straight; !w.Done || w.ShortMM != 0 {
		t.Errorf("%+v", w)
	}
	b, sent = lessonBench(t, head+"allow: {hide: [ghost]}\n"+stage)
	refused(t, b, `{"type":"ways","do":"lesson"}`, "compares no ways")
	if last[WaysMessage](t, sent).LessonGoal {
		t.Error("the lesson's target is offered")
	}
}

// A comparison that is begun once more from the same place has its ways again.
func TestTheSameComparisonAgain(t *testing.T) {
	b, h := testBench()
	for range 2 {
		ask(t, b, noon, `{"type":"ways","do":"numbers","numbers":[300,100,200,0,90,0],"way":""}`)
		for range 2 {
			ask(t, b, noon, `{"type":"ways","do":"begin","numbers":null,"way":""}`)
			if m := last[WaysMessage](t, h); m.Joint == nil || m.Straight == nil {
				t.Fatalf("there is no way: %+v", m)
			}
		}
	}
}
