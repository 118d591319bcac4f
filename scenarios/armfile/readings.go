package armfile

import (
	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
)

// ReadAs returns the arm with its joints named as another display shows them: where the arm is measured they read so, and those that are
// reversed count the other way. The arm itself, and how far its joints go, stay as they are.
func (a *Arm) ReadAs(reads kinematics.Joints, reversed [6]bool) (*Arm, error) {
	joints := a.Geometry.Joints
	for i := range joints {
		j := &joints[i]
		low, high := j.Min-j.Measured, j.Max-j.Measured
		if reversed[i] {
			j.Axis, low, high = r3.Scale(-1, j.Axis), -high, -low
		}
		j.Measured, j.Min, j.Max = reads[i], reads[i]+low, reads[i]+high
	}
	return a.With(joints)
}

// With returns the arm with these joints.
func (a *Arm) With(joints [6]kinematics.Joint) (*Arm, error) {
	geometry, err := kinematics.New(joints, a.Geometry.Flange)
	if err != nil {
		return nil, err
	}
	other := *a
	other.Geometry = geometry
	return &other, nil
}
