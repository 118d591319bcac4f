package bench

import (
	"errors"
	"fmt"

	"handrule/kinematics"
	"handrule/scenarios/cellfile"
)

// scene puts an arm in a cell with a tool, standing at those joints, which "start pose" then leads back to. An error has
// changed nothing.
func (b *Bench) scene(r *SceneRequest) error {
	arm := b.offer.arm(r.Arm)
	if arm == nil {
		return errors.New(b.in.Say("problem.no-arm", "name", clip(r.Arm)))
	}
	var cell *cellfile.Cell
	if r.Cell != "" {
		if cell = b.offer.cell(r.Cell); cell == nil {
			return errors.New(b.in.Say("problem.no-cell", "name", clip(r.Cell)))
		}
	}
	var start kinematics.Joints
	for i, deg := range r.JointsDeg {
		start[i] = kinematics.Radians(deg)
	}
	if !arm.Geometry.Within(start) {
		return fmt.Errorf("the joints %v° are not within the limits of %s", r.JointsDeg, arm.Name)
	}
	b.release()
	b.closeLesson()
	b.mounted.found = nil
	b.enter(cell)
	b.mount(arm, r.Tool, start)
	return nil
}
