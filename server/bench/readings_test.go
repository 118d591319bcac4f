package bench

import (
	"math"
	"testing"

	"handrule/kinematics"
	"handrule/scenarios"
	"handrule/words"
)

// On an arm whose display counts J3 the other way round and from elsewhere, the page shows the display's numbers: at the start, beyond which limits
// it may not go, after a step to plus, and in the log. The link turns the way plus of the display is.
func TestThePageShowsTheDisplaysNumbers(t *testing.T) {
	arm, err := scenarios.OpenArm("wren")
	if err != nil {
		t.Fatal(err)
	}
	const reads = -100 // degrees of J3 where the arm is measured
	other, err := arm.ReadAs(kinematics.Joints{2: kinematics.Radians(reads)}, [6]bool{2: true})
	if err != nil {
		t.Fatal(err)
	}
	j := other.Geometry.Joints[2]
	was := arm.Geometry.Joints[2]
	if math.Abs(j.Min-kinematics.Radians(reads)+was.Max) > 1e-12 {
		t.Fatalf("limits of %g° to %g°", kinematics.Degrees(j.Min), kinematics.Degrees(j.Max))
	}
	other.Geometry.Joints[2].Max = kinematics.Radians(-20) // so that 0 is beyond its limits
	if other, err = other.With(other.Geometry.Joints); err != nil {
		t.Fatal(err)
	}
	offer := shipped()
	offer.Arms[0] = other
	b := New(&offer, testEnv())
	b.Connect(Welcome{}, words.English)
	h := &hearing{b: b}
	view := last[ArmMessage](t, h)
	if limits := view.Joints[2].LimitsDeg; math.Abs(limits[1]+20) > 1e-9 || view.Joints[2].Axis != [3]float64{0, -1, 0} {
		t.Errorf("told of J3: %+v", view.Joints[2])
	}
	start := b.state()
	if math.Abs(start.JointsDeg[2]+20) > 1e-9 {
		t.Errorf("starts at %v", start.JointsDeg)
	}
	minus := `{"type":"step","direction":{"frame":"joint","task":"","axis":2,"sign":-1}}`
	ask(t, b, noon, minus)
	finish(t, b, noon)
	ask(t, b, noon, minus)
	finish(t, b, noon)
	ask(t, b, noon, stepUp)
	finish(t, b, noon)
	now := b.state()
	if math.Abs(now.JointsDeg[2]+25) > 1e-9 {
		t.Errorf("after two steps to minus and one to plus it shows %v", now.JointsDeg)
	}
	// The same arm by its own numbers: 25 is -100 - q.
	want := arm.Geometry.Forward(kinematics.Joints{2: kinematics.Radians(-75)})
	if got := other.Geometry.Forward(b.drive().Joints()); math.Abs(got.Position.X-want.Position.X) > 1e-9 || math.Abs(got.Position.Z-want.Position.Z) > 1e-9 {
		t.Errorf("the flange is at %v, not %v", got.Position, want.Position)
	}
	ask(t, b, noon, `{"type":"restart"}`)
	if got := b.state().JointsDeg; got != start.JointsDeg {
		t.Errorf("the start pose is now %v", got)
	}
	// What is kept of a learner is in the display's numbers too.
	ask(t, b, noon, minus)
	finish(t, b, noon)
	kept, log, err := b.Snapshot()
	if err != nil {
		t.Fatal(err)
	}
	again, err := Restore(&offer, testEnv(), kept, log)
	if err != nil || again.state().JointsDeg != b.state().JointsDeg {
		t.Errorf("%v, %v", err, again.state().JointsDeg)
	}
}
