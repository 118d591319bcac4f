package kinematics

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Joints are the six joint angles in rad, from the base.
type Joints [6]float64

// JointNames are what the joints are called where nothing else is said.
var JointNames = [6]string{"J1", "J2", "J3", "J4", "J5", "J6"}

// Joint is one revolute joint at the pose in which the arm is measured, in the base frame.
type Joint struct {
	Name     string
	Measured float64 // the joint's angle at that pose, rad; 0 for an arm that is measured at its zero pose
	At       r3.Vec  // any point on the axis, mm
	Axis     r3.Vec  // direction of the axis; turning is positive about it by the right-hand rule
	Min, Max float64 // limits, rad
	Speed    float64 // highest speed, rad/s
	Accel    float64 // highest acceleration, rad/s²; 0 where it is not known
}

// Arm is six revolute joints in a row and a flange. Make one with New; the fields are for reading.
type Arm struct {
	Joints [6]Joint // axes made unit vectors
	Flange Pose     // the flange at the measured pose, in the base frame

	chain  chain   // the same geometry, ready for use
	length float64 // mm that count as one rad
	method method  // of the inverse problem
	quick  quick   // its part that tracks small steps
	spare  int     // the joint that takes up what is left in a family, see settle
}

// New returns the arm with these joints and, at the measured pose, this flange. The axes need not be unit vectors.
// Values that no arm can have (not finite, an axis of no length, limits the wrong way round, a speed that is not
// positive) are refused with an error that names the joint.
func New(joints [6]Joint, flange Pose) (*Arm, error) {
	a := &Arm{Joints: joints, Flange: flange}
	for i := range a.Joints {
		j := &a.Joints[i]
		if j.Name == "" {
			j.Name = JointNames[i]
		}
		if err := j.check(); err != nil {
			return nil, fmt.Errorf("joint %s: %w", j.Name, err)
		}
		j.Axis = r3.Unit(j.Axis)
	}
	if !finite(flange.Position) || !finite(flange.Rotation.X) || !finite(flange.Rotation.Y) || !finite(flange.Rotation.Z) {
		return nil, fmt.Errorf("flange: its pose has a number that is not finite")
	}
	a.prepare()
	a.method = a.recognise()
	a.quick = a.newQuick()
	if _, ok := a.method.(mirrored); ok {
		a.spare = 0
	}
	return a, nil
}

// prepare derives from joints and flange what forward and Jacobian need.
func (a *Arm) prepare() {
	var origin [6]r3.Vec
	for i, j := range a.Joints {
		origin[i] = j.At
	}
	a.chain = newChain(&a.Joints, origin, a.Flange)
	a.length = a.halfLength()
	a.spare = 5
}

// halfLength returns half the arm's length in mm: from the flange to the nearest point of axis 6, from there to the
// nearest of axis 5, and so on to axis 1. For an arm of no length it is one.
func (a *Arm) halfLength() float64 {
	sum := 0.0
	from := a.Flange.Position
	for i := 5; i >= 0; i-- {
		to := footOn(&a.Joints[i], from)
		sum += r3.Norm(r3.Sub(to, from))
		from = to
	}
	return max(1, sum/2)
}

func (j Joint) check() error {
	switch {
	case !finite(j.At):
		return fmt.Errorf("its position has a number that is not finite")
	case !finite(j.Axis) || r3.Norm(j.Axis) < 1e-9:
		return fmt.Errorf("its axis must be a direction of some length, not %v", j.Axis)
	case math.IsNaN(j.Measured) || math.IsInf(j.Measured, 0):
		return fmt.Errorf("its angle where it is measured must be finite")
	case !(j.Min < j.Max) || math.IsInf(j.Min, 0) || math.IsInf(j.Max, 0):
		return fmt.Errorf("its limits must be two numbers, the lower first")
	case !(j.Speed > 0) || math.IsInf(j.Speed, 0):
		return fmt.Errorf("its speed must be more than zero")
	case !(j.Accel >= 0) || math.IsInf(j.Accel, 0):
		return fmt.Errorf("its acceleration must not be negative")
	}
	return nil
}

// Measured returns the joint angles of the pose in which the arm is measured.
func (a *Arm) Measured() (q Joints) {
	for i := range q {
		q[i] = a.Joints[i].Measured
	}
	return q
}

// Start returns the joint angles with which the arm starts: every joint at zero, or at the limit that is nearest to it.
func (a *Arm) Start() (q Joints) {
	for i, j := range a.Joints {
		q[i] = max(j.Min, min(j.Max, 0))
	}
	return q
}

// Within reports whether every joint of q is within its limits.
func (a *Arm) Within(q Joints) bool {
	for i := range a.Joints {
		j := &a.Joints[i]
		if !(q[i] >= j.Min && q[i] <= j.Max) {
			return false
		}
	}
	return true
}

func finite(v r3.Vec) bool {
	s := v.X + v.Y + v.Z
	return s-s == 0 // not so for an infinite number and what is no number
}
