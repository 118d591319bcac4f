package jog_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"handrule/kinematics"
	"handrule/kinematics/jog"
)

// specialStart is joint angles at multiples of 15°, at limits and right beside them.
func specialStart(r *rand.Rand, arm *kinematics.Arm) (q kinematics.Joints) {
	for {
		for i, j := range arm.Joints {
			q[i] = float64(r.IntN(25)-12) * math.Pi / 12
			switch r.IntN(12) {
			case 0:
				q[i] = j.Min
			case 1:
				q[i] = j.Max
			case 2:
				q[i] = j.Max - math.Pow(10, -12+10*r.Float64())
			}
		}
		if arm.Within(q) {
			return q
		}
	}
}

// From special starts too every tick keeps the path, the limits, the speeds and the bounds on acceleration and jerk, and the room
// to move is what happens.
func TestSpecialStartsKeepThePath(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 61))
	arm := testArm(t)
	for range 300 {
		q := specialStart(r, arm)
		way := jog.Direction{Frame: []jog.Frame{jog.BaseFrame, jog.ToolFrame}[r.IntN(2)], Axis: r.IntN(6), Sign: 1 - 2*r.IntN(2)}
		j := jog.Jog{Direction: way, Amount: 300, Speed: []float64{50, 250}[r.IntN(2)]}
		if !way.Straight() {
			j.Amount, j.Speed = 170*degree, []float64{15, 60}[r.IntN(2)]*degree
		}
		d := jog.NewDrive(arm, pen, q)
		room, err := jog.RoomIn(d, way, j.Speed)
		if err != nil {
			t.Fatal(err)
		}
		stop := straight(t, d, j)
		switch {
		case room.Free < j.Amount && (stop.Reason != room.Stop.Reason || stop.Joint != room.Stop.Joint || math.Abs(stop.Travel-room.Free) > 0.01):
			t.Errorf("from %.12g°: room until %v, but went until %v", q.Degrees(), room.Stop, stop)
		case room.Free >= j.Amount && stop.Reason != jog.Done:
			t.Errorf("from %.12g°: room of %g, but went until %v", q.Degrees(), room.Free, stop)
		}
	}
}
