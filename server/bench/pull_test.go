package bench

import (
	"fmt"
	"math"
	"testing"
	"time"

	"handrule/kinematics/jog"
)

// puller drags the arm in the base frame along or about an axis.
type puller struct {
	t     *testing.T
	b     *Bench
	sent  *hearing
	axis  int
	press int
	now   time.Time
}

// to renews the hold with that bound and lets the clock run for a while.
func (p *puller) to(bound float64) {
	p.t.Helper()
	for range 60 {
		ask(p.t, p.b, p.now, fmt.Sprintf(`{"type":"hold","press":%d,"directions":[{"frame":"base","axis":%d,"sign":1}],"bound":%g}`, p.press, p.axis, bound))
		p.now = p.now.Add(32 * time.Millisecond)
		p.b.Advance(8, p.now)
	}
}

func newPuller(t *testing.T, axis int) *puller {
	b, sent := testBench()
	ask(t, b, noon, `{"type":"increment","mm":10,"deg":90}`)
	ask(t, b, noon, `{"type":"step","direction":{"frame":"joint","axis":4,"sign":1}}`)
	finish(t, b, noon)
	return &puller{t: t, b: b, sent: sent, axis: axis, press: 1, now: noon}
}

func TestADraggedArmComesToWhereThePointerIs(t *testing.T) {
	p := newPuller(t, 2)
	from := p.b.state().TCP.PositionMM
	for _, bound := range []float64{30, 31.5, 12, -20, -20.5, 5} {
		p.to(bound)
		at := p.b.state().TCP.PositionMM
		if math.Abs(at[2]-from[2]-bound) > turnBack || math.Abs(at[0]-from[0])+math.Abs(at[1]-from[1]) > 1e-6 {
			t.Errorf("dragged by %g mm the TCP went from %v to %v", bound, from, at)
		}
		if !p.b.drive().Waiting() {
			t.Errorf("the arm does not wait after %g mm", bound)
		}
	}
	ask(t, p.b, p.now, `{"type":"release"}`)
	finish(t, p.b, p.now)
	// Each change of way ends a jog: +31.5, back to -20.5, and +25.5.
	want := []float64{31.5, 52, 25.5}
	var got []float64
	for _, e := range p.b.driven.log.Entries() {
		if step, went := e.Step(); went {
			got = append(got, step.Amount)
		}
	}
	got = got[1:] // joint 5
	if len(got) != len(want) {
		t.Fatalf("jogs of %v mm, want %v", got, want)
	}
	for i := range want {
		if math.Abs(got[i]-want[i]) > 2*turnBack {
			t.Errorf("jogs of %v mm, want %v", got, want)
		}
	}
}

func TestADragIsMeasuredFromWhereTheJogBeforeItEnds(t *testing.T) {
	p := newPuller(t, 2)
	ask(t, p.b, p.now, `{"type":"step","direction":{"frame":"base","axis":0,"sign":-1}}`) // still under way
	from := p.b.state().TCP.PositionMM
	p.to(15)
	if at := p.b.state().TCP.PositionMM; math.Abs(at[2]-from[2]-15) > 1e-6 {
		t.Errorf("dragged by 15 mm the TCP went from %v to %v", from, at)
	}
}

func TestADraggedTurnGoesByDegrees(t *testing.T) {
	p := newPuller(t, 5)
	before := p.b.state()
	p.to(-25)
	after := p.b.state()
	turned := after.JointsDeg[5] - before.JointsDeg[5] // pen straight down: J6 alone turns it about Z, the other way
	if math.Abs(turned-25) > 1e-6 {
		t.Errorf("J6 turned by %g°", turned)
	}
}

func TestAPulledArmIsStillAndSaysNothingWhileItWaits(t *testing.T) {
	p := newPuller(t, 2)
	p.to(10)
	p.sent.forget()
	frames := p.sent.frames
	p.to(10)
	if heard := p.sent.all(); len(heard) != 0 || p.sent.frames != frames {
		t.Errorf("%d messages and %d frames from an arm that waits: %+v", len(heard), p.sent.frames-frames, heard)
	}
	if speed := p.b.state().TCPSpeedMMS; speed != 0 {
		t.Errorf("it waits at %g mm/s", speed)
	}
}

func TestADragIsALeaseToo(t *testing.T) {
	p := newPuller(t, 2)
	p.to(10)
	p.b.Advance(4, p.now.Add(Lease+time.Millisecond))
	finish(t, p.b, p.now)
	if p.b.driven.stopped.Reason != jog.LinkLost {
		t.Fatalf("ended by %q", p.b.driven.stopped.Reason)
	}
	at := p.b.state().TCP.PositionMM
	p.to(50)
	if p.b.state().TCP.PositionMM != at {
		t.Error("a drag that had ended moved the arm again")
	}
}

func TestTroubleEndsADrag(t *testing.T) {
	p := newPuller(t, 2)
	for range 5 {
		p.to(5000)
	}
	if !p.b.driven.stopped.Trouble() {
		t.Fatalf("ended by %q", p.b.driven.stopped.Reason)
	}
	at := p.b.state().TCP.PositionMM
	p.to(0)
	if p.b.state().TCP.PositionMM != at {
		t.Error("the arm came back although the drag had ended")
	}
	p.press = 2
	p.to(-20)
	if moved := p.b.state().TCP.PositionMM[2] - at[2]; math.Abs(moved+20) > turnBack {
		t.Errorf("a new drag moved it by %g mm", moved)
	}
}

func TestAStickPushedHalfWayIsHalfTheSpeed(t *testing.T) {
	b, _ := testBench()
	ask(t, b, noon, `{"type":"speed","mm_s":50,"deg_s":20}`)
	for _, part := range []float64{0.5, 1, 0.25} {
		ask(t, b, noon, fmt.Sprintf(`{"type":"hold","press":1,"directions":[{"frame":"joint","axis":0,"sign":1}],"speed_part":%g}`, part))
		b.Advance(60, noon)
		if speed := b.state().SpeedsDegS[0]; math.Abs(speed-20*part) > 1e-6 {
			t.Errorf("%g°/s at %g of 20", speed, part)
		}
	}
}
