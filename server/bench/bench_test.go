package bench

import (
	"math"
	"reflect"
	"strings"
	"testing"
	"time"

	"handrule/kinematics/jog"
	"handrule/scenarios"
)

func TestAHoldEndsWithItsLease(t *testing.T) {
	b, _ := testBench()
	ask(t, b, noon, `{"type":"hold","press":1,"directions":[{"frame":"joint","axis":0,"sign":1}]}`)
	b.Advance(4, noon.Add(100*time.Millisecond))
	ask(t, b, noon.Add(200*time.Millisecond), `{"type":"hold","press":1,"directions":[{"frame":"joint","axis":0,"sign":1}]}`)
	b.Advance(4, noon.Add(400*time.Millisecond))
	if !b.drive().Moving() {
		t.Fatal("the arm stopped although the lease was renewed")
	}
	distance, rest := b.drive().StoppingDistance()
	where := b.drive().Travel()
	b.Advance(1, noon.Add(450*time.Millisecond))
	if !b.drive().Ending() {
		t.Fatal("the arm goes on after its lease")
	}
	b.Advance(int(rest*jog.TickRate)+1, noon.Add(460*time.Millisecond))
	if b.drive().Moving() || math.Abs(b.drive().Travel()-where-distance) > 1e-9 {
		t.Fatal("the arm does not stand where it was to stand after its lease")
	}
	if b.driven.stopped.Reason != jog.LinkLost {
		t.Errorf("stopped by %q, want the lost link", b.driven.stopped.Reason)
	}
	ask(t, b, noon.Add(460*time.Millisecond), `{"type":"hold","press":1,"directions":[{"frame":"joint","axis":0,"sign":1}]}`)
	if b.drive().Moving() {
		t.Error("a press that had ended moved the arm again")
	}
}

func TestTheGhostEndsWhereTheStepEnds(t *testing.T) {
	for _, arm := range scenarios.ShippedArms() {
		b, _ := testBench()
		ask(t, b, noon, `{"type":"arm","id":"`+arm.ID+`"}`)
		ask(t, b, noon, `{"type":"step","direction":{"frame":"joint","axis":4,"sign":1}}`)
		finish(t, b, noon)
		for axis := range 6 {
			d := jog.Direction{Frame: jog.ToolFrame, Axis: axis, Sign: -1}
			if err := b.Handle(&AimRequest{Direction: &d}, noon); err != nil {
				t.Fatal(err)
			}
			think(b)
			ghost := b.thoughts.ghost.view
			if err := b.Handle(&StepRequest{Direction: d}, noon); err != nil {
				t.Fatal(err)
			}
			finish(t, b, noon)
			if got := b.state().Links; got != ghost.Links {
				t.Errorf("%s, %v: the step ends elsewhere than its ghost", arm.Name, d)
			}
			sum := 0.0
			for _, share := range ghost.Share {
				sum += share
			}
			if ghost.Travel > 0 && math.Abs(sum-1) > 1e-9 {
				t.Errorf("%s, %v: shares sum to %v", arm.Name, d, sum)
			}
		}
	}
}

func TestBadRequestsChangeNothing(t *testing.T) {
	for _, test := range []struct{ text, says string }{
		{`{`, "unexpected end"},
		{`[]`, "cannot be a array"},
		{`{"type":"dance"}`, "unknown message type"},
		{`{"type":"step","direction":{"frame":"base","axis":9,"sign":1}}`, "axis 9"},
		{`{"type":"step","direction":{"frame":"moon","axis":0,"sign":1}}`, "unknown frame"},
		{`{"type":"step","direction":{"frame":"base","axis":0,"sign":3}}`, "sign"},
		{`{"type":"step","direction":{"frame":"base","axis":1e400,"sign":1}}`, "cannot be"},
		{`{"type":"step","wish":1}`, "unknown field"},
		{`{"type":"speed","mm_s":251,"deg_s":10}`, "from 1 to 250 mm/s, not 251"},
		{`{"type":"speed","mm_s":NaN,"deg_s":10}`, "invalid character"},
		{`{"type":"speed","mm_s":-1,"deg_s":10}`, "from 1 to 250"},
		{`{"type":"increment","mm":0,"deg":1}`, "from 0.01 to 500 mm, not 0"},
		{`{"type":"tool","name":"hammer"}`, "has no tool"},
		{`{"type":"arm","id":"gull"}`, "no arm"},
		{`{"type":"lesson","id":"flying"}`, "no lesson"},
		{`{"type":"hold","press":1,"directions":[{"frame":"joint","axis":0,"sign":1},{"frame":"joint","axis":1,"sign":1}],"bound":5}`, "several directions"},
		{`{"type":"hold","press":1,"directions":[{"frame":"joint","axis":0,"sign":1}],"speed_part":1.5}`, "at most 1"},
		{`{"type":"hold","press":1,"directions":[{"frame":"joint","axis":0,"sign":1}],"speed_part":0}`, "above 0"},
	} {
		b, _ := testBench()
		before, setup := b.state(), b.chosen
		request, err := Decode([]byte(test.text))
		if err == nil {
			err = b.Handle(request, noon)
		}
		if err == nil || !strings.Contains(err.Error(), test.says) {
			t.Errorf("%s: %v, want it to say %q", test.text, err, test.says)
		}
		if !reflect.DeepEqual(b.state(), before) || b.chosen != setup {
			t.Errorf("%s: changed the bench", test.text)
		}
	}
}
