package jog

import "handrule/kinematics"

// TaskFrame is a named frame of the cell, given in the world frame (ISO 9787: task coordinate system). Its name is
// one word.
type TaskFrame struct {
	Name string
	Pose kinematics.Pose
}
