package jog_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

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

// flatArm is an arm with axes 2, 3 and 4 parallel and with axes 5 and 6 so many mm apart; where joint 5 is at 0 axis 6 is parallel to
// them too.
func flatArm(t *testing.T, apart float64) *kinematics.Arm {
	y, z := r3.Vec{Y: 1}, r3.Vec{Z: 1}
	var joints [6]kinematics.Joint
	for i, at := range []r3.Vec{{}, {}, {X: 340}, {X: 770}, {X: 770, Y: 70}, {X: 770 + apart, Y: 70, Z: -75}} {
		axis := y
		if i == 0 || i == 4 {
			axis = z
		}
		joints[i] = kinematics.Joint{At: at, Axis: axis, Min: -180 * degree, Max: 180 * degree, Speed: 200 * degree}
	}
	arm, err := kinematics.New(joints, kinematics.Pose{Position: r3.Vec{X: 770 + apart, Y: 135, Z: -75}, Rotation: kinematics.FixedXYZ(-90*degree, 0, 0)})
	if err != nil {
		t.Fatal(err)
	}
	return arm
}

// Where axis 6 is parallel to axes 2, 3 and 4 the arm goes on.
func TestAxis6ParallelIsNoEnd(t *testing.T) {
	for _, apart := range []float64{0, 10} {
		d := jog.NewDrive(flatArm(t, apart), kinematics.Identity, kinematics.Joints{0, -50 * degree, 40 * degree, -30 * degree, 0, 0})
		j := jog.Jog{Direction: jog.Direction{Frame: jog.BaseFrame, Axis: 2, Sign: 1}, Amount: 20, Speed: 50}
		if stop := straight(t, d, j); stop.Reason != jog.Done {
			t.Errorf("%g mm apart: %v", apart, stop)
		}
	}
}

// From special starts too every tick keeps the path, the limits, the speeds and the bounds on acceleration and jerk, and the room
// to move is what happens.
func TestSpecialStartsKeepThePath(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 61))
	arms := [3]*kinematics.Arm{testArm(t), flatArm(t, 0), flatArm(t, 10)}
	for n := range 450 {
		arm := arms[n%3]
		q := specialStart(r, arm)
		if n%2 == 0 && n%3 > 0 {
			q[4] = 0
		}
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
			t.Errorf("%s from %.12g°: room until %v, but went until %v", arm.Solver(), q.Degrees(), room.Stop, stop)
		case room.Free >= j.Amount && stop.Reason != jog.Done:
			t.Errorf("%s from %.12g°: room of %g, but went until %v", arm.Solver(), q.Degrees(), room.Free, stop)
		}
	}
}
