package bench

import (
	"math"
	"testing"
)

// A frame, read by its layout, holds the pose of the arm: what is drawn in single precision, what is read to its last digit.
func TestAFrameHoldsThePose(t *testing.T) {
	b, _ := testBench()
	ask(t, b, noon, `{"type":"cell","id":"glazing-bench"}`)
	ask(t, b, noon, `{"type":"show","room":false,"plot":false,"of":"flange","form":"quaternion"}`)
	ask(t, b, noon, `{"type":"hold","press":1,"directions":[{"frame":"joint","axis":4,"sign":1}]}`)
	b.Advance(20, noon)
	if !b.makeFrame(noon) {
		t.Fatal("there is no new frame of an arm that has moved")
	}
	numbers, orientation := readFrame(t, b.page.frame.text)
	want, p := b.state(), b.pose()
	near := func(what string, got, want []float64, within float64) {
		t.Helper()
		if len(got) != len(want) {
			t.Fatalf("%s: %d numbers, want %d", what, len(got), len(want))
		}
		for i := range got {
			if math.Abs(got[i]-want[i]) > within {
				t.Errorf("%s: %v, want %v", what, got, want)
				return
			}
		}
	}
	near("tick", numbers["tick"], []float64{float64(b.drive().Ticks)}, 0)
	near("joints", numbers["joints"], want.JointsDeg[:], 1e-5)
	near("speeds", numbers["speeds"], want.SpeedsDegS[:], 0.011)
	for i, link := range want.Links[1:] {
		near("link", numbers["links"][7*i:7*i+7], append(link.Position[:], link.Quaternion[:]...), 1e-3)
	}
	tcp := place(p.tcp)
	near("tcp", numbers["tcp"], append(tcp.Position[:], tcp.Quaternion[:]...), 1e-3)
	near("tcp read", numbers["tcp_mm"], want.TCP.PositionMM[:], 1e-4)
	near("angles read", numbers["fixed_xyz"], want.TCP.FixedXYZDeg[:], 1e-5)
	near("speed", numbers["tcp_speed"], []float64{want.TCPSpeedMMS}, 1e-3)
	near("clearance", numbers["clearance"], []float64{want.Clearance.DistanceMM}, 1e-3)
	near("on a", numbers["on_a"], want.Clearance.OnA[:], 1e-3)
	near("on b", numbers["on_b"], want.Clearance.OnB[:], 1e-3)
	q := b.seen(p.flange).Rotation.Quaternion()
	near("orientation", orientation, []float64{q.Real, q.Imag, q.Jmag, q.Kmag}, 1e-6)
}
