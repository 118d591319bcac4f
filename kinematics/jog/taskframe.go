package jog

import (
	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
)

// TaskFrame is a named frame of the cell, given in the world frame (ISO 9787: task coordinate system). Its name is
// one word.
type TaskFrame struct {
	Name   string
	Pose   kinematics.Pose
	Taught *[3]r3.Vec // the origin, the point on +X and the one towards +Y that a learner taught it by; nil for any other
}
