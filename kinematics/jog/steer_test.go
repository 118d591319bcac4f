package jog_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/kinematics/jog"
)

// settle ticks until the arm waits or stands, and checks on every tick that it keeps to the bounds of its profile.
func settle(t *testing.T, d *jog.Drive, speed float64) {
	t.Helper()
	v, a := d.PathSpeed()
	for range 10_000 {
		d.Tick()
		nextV, nextA := d.PathSpeed()
		if nextV > speed*(1+1e-9) && nextV > v {
			t.Fatalf("%.3f mm/s, faster than %.3f", nextV, speed)
		}
		if math.Abs(nextA) > jog.PathAccel*(1+1e-9) || math.Abs(nextA-a) > jog.PathAccel/jog.RampTime*jog.Tick*(1+1e-6) {
			t.Fatalf("acceleration from %.3f to %.3f mm/s² in a tick", a, nextA)
		}
		if v, a = nextV, nextA; d.Waiting() || !d.Moving() {
			return
		}
	}
	t.Fatal("the arm does not come to rest")
}

func heldAlongZ(t *testing.T, speed float64) *jog.Drive {
	t.Helper()
	d := jog.NewDrive(testArm(t), pen, kinematics.Joints{4: 90 * degree})
	held, err := jog.HeldTogether([]jog.Direction{base(2, 1)}, speed, 1)
	if err == nil {
		err = d.Start(held)
	}
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func TestAHeldJogWaitsAtItsBoundAndGoesOnFromThere(t *testing.T) {
	d := heldAlongZ(t, 50)
	from := d.TCP().Position
	for _, bound := range []float64{20, 20.01, 23, 60} {
		d.Bound(bound)
		settle(t, d, 50)
		if !d.Waiting() || d.Ending() || math.Abs(d.Travel()-bound) > 1e-9 {
			t.Fatalf("at %.9f mm instead of waiting at %g mm", d.Travel(), bound)
		}
		moved := r3.Sub(d.TCP().Position, from)
		if off := r3.Norm(r3.Sub(moved, r3.Vec{Z: bound})); off > 1e-6 {
			t.Errorf("the TCP is %.2g mm off", off)
		}
		q := d.Joints()
		if d.Tick(); d.Joints() != q || d.Speeds != (kinematics.Joints{}) {
			t.Error("the arm moves while it waits")
		}
	}
	d.Release()
	settle(t, d, 50)
	if stop := d.Stop(); d.Moving() || stop.Reason != jog.Released || math.Abs(stop.Travel-60) > 1e-9 {
		t.Errorf("ended with %q after %g mm", stop.Reason, stop.Travel)
	}
}

func TestABoundThatIsDrawnInTooLateIsBrakedFor(t *testing.T) {
	for _, speed := range []float64{10, 50, 250} {
		d := heldAlongZ(t, speed)
		for range 60 {
			d.Tick()
		}
		more, _ := d.StoppingDistance()
		want := d.Travel() + more
		d.Bound(d.Travel() - 1)
		settle(t, d, speed)
		if math.Abs(d.Travel()-want) > 1e-9 {
			t.Errorf("at %g mm/s it stands after %.6f mm; it could have after %.6f", speed, d.Travel(), want)
		}
		// Drawn out again a little, it goes there.
		d.Bound(want + 0.5)
		settle(t, d, speed)
		if math.Abs(d.Travel()-want-0.5) > 1e-9 {
			t.Errorf("at %g mm/s it stands %g mm from its bound", speed, d.Travel()-want-0.5)
		}
	}
}

func TestTheBoundDoesNotHideWhatBlocksThePath(t *testing.T) {
	d := heldAlongZ(t, 100)
	d.Bound(1e6)
	settle(t, d, 100)
	free := heldAlongZ(t, 100)
	settle(t, free, 100)
	if d.Moving() || d.Stop() != free.Stop() {
		t.Errorf("stopped by %+v instead of %+v", d.Stop(), free.Stop())
	}
}

func TestPaceIsAPartOfTheSpeed(t *testing.T) {
	d := heldAlongZ(t, 50)
	for _, part := range []float64{0.5, 1, 0.1, 0.01, 0.7} {
		d.Pace(part)
		a, speed := 0.0, 0.0
		for range 60 {
			d.Tick()
			next := 0.0
			if speed, next = d.PathSpeed(); math.Abs(next-a) > jog.PathAccel/jog.RampTime*jog.Tick*(1+1e-6) {
				t.Fatalf("acceleration from %.3f to %.3f mm/s² in a tick", a, next)
			}
			a = next
		}
		if math.Abs(speed-50*part) > 1e-9 {
			t.Errorf("%g mm/s at %g of 50", speed, part)
		}
	}
	d.Pace(7)
	settle(t, d, 50) // up to its speed is as much as there is
}
