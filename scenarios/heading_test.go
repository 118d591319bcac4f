package scenarios_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"handrule/kinematics"
	"handrule/kinematics/jog"
	"handrule/scenarios"
)

// A task turned about axis 1 with the arm comes to the same motion, however joint 1's angle is rounded: the same stop, after the
// same way and time, the other joints the same. Here the arm is jogged in its own plane, over axis 1 and past it too.
func TestTheSameAtEveryHeading(t *testing.T) {
	rnd := rand.New(rand.NewPCG(1, 92))
	passed := 0
	for _, file := range scenarios.ShippedArms() {
		arm := file.Geometry
		for n := range 30 {
			var q kinematics.Joints
			for i := range q {
				q[i] = kinematics.Radians(float64(rnd.IntN(9)-4) * 15)
			}
			q[3], q[4], q[5] = 0, kinematics.Radians([]float64{45, 60, 90}[n%3]), 0
			if n < 4 && file.ID == "curlew" {
				q = kinematics.Joints{0, kinematics.Radians(-60), kinematics.Radians(17), 0, kinematics.Radians(90), 0}
			}
			if file.ID == "plover" {
				q[4] = 0
			}
			if q[0] = 0; !arm.Within(q) {
				continue
			}
			axis, sign := []int{0, 2}[n%2], 1-2*(n/2%2)
			j := jog.Jog{Direction: jog.Direction{Frame: jog.ToolFrame, Axis: axis, Sign: sign}, Amount: math.Inf(1), Speed: 250}
			drive := func(heading float64) (jog.Stop, kinematics.Joints, int64) {
				at := q
				at[0] = kinematics.Radians(heading)
				d := jog.NewDrive(arm, file.Tools[0].TCP, at)
				if err := d.Start(j); err != nil {
					t.Fatal(err)
				}
				for d.Tick() {
				}
				end := d.Joints()
				end[0] -= at[0]
				return d.Stop(), end, d.Ticks
			}
			stop, end, ticks := drive(0)
			if arm.Indicators(q).Shoulder*arm.Indicators(end).Shoulder < 0 {
				passed++
			}
			headings := []float64{90, -90, 30, 77.7, 160, -160}
			if arm.Within(kinematics.Joints{0: math.Pi}) {
				headings = append(headings, 180, -180)
			}
			for _, heading := range headings {
				other, otherEnd, otherTicks := drive(heading)
				most := 0.0
				for i := range end {
					most = math.Max(most, math.Abs(end[i]-otherEnd[i]))
				}
				if stop.Reason != other.Reason || stop.Joint != other.Joint || math.Abs(stop.Travel-other.Travel) > 1e-3 || most > 1e-4 || ticks-otherTicks > 2 || otherTicks-ticks > 2 {
					t.Errorf("%s from %.6g° %v: %v in %d ticks at %.9g°; at heading %g %v in %d ticks at %.9g°", file.ID, q.Degrees(), j.Direction, stop, ticks, end.Degrees(), heading, other, otherTicks, otherEnd.Degrees())
				}
			}
		}
	}
	if passed < 10 {
		t.Errorf("only %d motions pass axis 1: the test says little", passed)
	}
}
