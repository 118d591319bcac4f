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

// An arm whose first three axes are parallel can stand in infinitely many ways everywhere. Where its wrist is also nearly straight, with
// axis 5 nearly parallel to those, the way on passes close by one that leads to the other side of a straight wrist. The room to move is what
// happens, and the joints go on without a leap.
func TestInfinitelyManyWaysHideNoSingularity(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 62))
	passed := 0
	for range 30 {
		arm := foldingArm(t, r)
		near := func(rad float64) float64 { return rad + 0.05*(2*r.Float64()-1) }
		q := kinematics.Joints{near(-0.356), near(1.572), near(0.247), near(1.308), math.Pow(10, -6+3*r.Float64())}
		j := jog.Jog{Direction: base(0, 1), Amount: 40, Speed: 22}
		d := jog.NewDrive(arm, kinematics.Identity, q)
		room, err := jog.RoomIn(d, j.Direction, j.Speed)
		if err != nil {
			t.Fatal(err)
		}
		stop := straight(t, d, j)
		switch {
		case room.Free < j.Amount && (stop.Reason != room.Stop.Reason || stop.Joint != room.Stop.Joint || math.Abs(stop.Travel-room.Free) > 0.01):
			t.Errorf("%s from %.12g°: room until %v, but went until %v", j.Direction, q.Degrees(), room.Stop, stop)
		case room.Free >= j.Amount && stop.Reason != jog.Done:
			t.Errorf("%s from %.12g°: room of %g, but went until %v", j.Direction, q.Degrees(), room.Free, stop)
		}
		if stop.Travel > 10 {
			passed++
		}
	}
	if passed < 15 {
		t.Errorf("only %d jogs went anywhere", passed)
	}
}

// foldingArm is an arm with axes 1, 2 and 3 parallel and a spherical wrist.
func foldingArm(t *testing.T, r *rand.Rand) *kinematics.Arm {
	x, y := r3.Vec{X: 1}, r3.Vec{Y: 1}
	length := func(least float64) float64 { return least + 5*r.Float64() }
	wrist := r3.Vec{X: -length(8), Y: 90, Z: length(68)}
	var joints [6]kinematics.Joint
	for i, at := range []r3.Vec{{}, {Y: 60, Z: length(8)}, {X: length(38), Y: 80, Z: 10}, wrist, wrist, wrist} {
		axis := [6]r3.Vec{r3.Scale(-1, y), y, y, x, {Z: -1}, x}[i]
		joints[i] = kinematics.Joint{At: at, Axis: axis, Min: -1, Max: 1, Speed: 1 + 5*r.Float64()}
	}
	joints[1].Max, joints[3].Max = 1.7, 3
	arm, err := kinematics.New(joints, kinematics.Pose{Position: r3.Add(wrist, r3.Vec{X: length(170), Y: -length(0), Z: -length(88)}), Rotation: kinematics.FixedXYZ(0, 0, 0.75)})
	if err != nil {
		t.Fatal(err)
	}
	return arm
}
