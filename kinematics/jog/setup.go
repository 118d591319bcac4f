package jog

import (
	"fmt"
	"math"

	"handrule/kinematics"
	"handrule/kinematics/clearance"
)

// Setup is what stands around a motion: the arm, what it carries, how it is mounted, and what it can touch.
type Setup struct {
	Arm         *kinematics.Arm
	Tool        kinematics.Tool
	Mount       kinematics.Pose  // the base frame in the world frame
	Tasks       []TaskFrame      // in the world frame
	Scene       *clearance.Scene // of this arm and this tool; nil where nothing can touch
	SetDistance float64          // mm of clearance at which the arm stops; 0 lets it go until it touches
}

// check says what is wrong with the setup.
func (s *Setup) check() error {
	if s.Arm == nil {
		return fmt.Errorf("a setup needs an arm")
	}
	if !(s.SetDistance >= 0) || math.IsInf(s.SetDistance, 1) {
		return fmt.Errorf("the set distance is a clearance in mm and not negative; 0 switches it off")
	}
	return nil
}

// Scene returns what the arm and the tool can touch, for things given in the world frame. Mount is the base frame in
// the world frame.
func Scene(arm *kinematics.Arm, body []kinematics.Capsule, tool kinematics.Tool, mount kinematics.Pose, things []clearance.Thing) (*clearance.Scene, error) {
	inBase := make([]clearance.Thing, len(things))
	fromWorld := mount.Inverse()
	for i, t := range things {
		t.Pose = fromWorld.Mul(t.Pose)
		t.Pose.Rotation = t.Pose.Rotation.Orthonormal()
		inBase[i] = t
	}
	return clearance.NewScene(arm, body, tool, inBase)
}

// task returns the task frame of that name.
func (s *Setup) task(name string) (TaskFrame, error) {
	for _, t := range s.Tasks {
		if t.Name == name {
			return t, nil
		}
	}
	if len(s.Tasks) == 0 {
		return TaskFrame{}, fmt.Errorf("there is no task frame %q; the cell has none", name)
	}
	return TaskFrame{}, fmt.Errorf("there is no task frame %q; one of them is %q", name, s.Tasks[0].Name)
}

// Frame returns the pose of a frame in the base frame; see Setup.Frame.
func (d *Drive) Frame(f Frame, task string, tcp kinematics.Pose) (kinematics.Pose, error) {
	return d.setup.Frame(f, task, tcp)
}
