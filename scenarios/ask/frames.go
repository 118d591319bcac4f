package ask

import (
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/kinematics/jog"
	"handrule/scenarios/spoken"
	"handrule/words"
)

// named is a frame with its name, where it has one of its own.
type named struct {
	Frame jog.Frame
	Task  string
}

func frameOf(j jog.Jog) named { return named{j.Frame, j.Task} }

func (f named) say(in *words.Language) string { return spoken.FrameName(f.Frame, f.Task, in) }

// in is the same jog in another frame.
func in(j jog.Jog, f named) jog.Jog {
	j.Frame, j.Task = f.Frame, f.Task
	return j
}

// mostTasks is how many task frames of a cell are thought of.
const mostTasks = 4

// otherFrames are those with axes in which the jog could be meant as well: the base frame, the tool frame, the world frame where it
// is another than the base frame, and task frames.
func (a *Asked) otherFrames() (all []named) {
	add := func(f named) {
		if f != frameOf(a.jog) && len(all) < 3+mostTasks {
			all = append(all, f)
		}
	}
	setup := a.d.Setup()
	add(named{Frame: jog.BaseFrame})
	add(named{Frame: jog.ToolFrame})
	if a.jog.Frame == jog.WorldFrame || !alike(setup.Mount.Rotation, kinematics.NoRotation) {
		add(named{Frame: jog.WorldFrame})
	}
	for _, task := range setup.Tasks {
		add(named{Frame: jog.TaskFrames, Task: task.Name})
	}
	return slices.DeleteFunc(all, func(f named) bool { // the base frame by another name
		return f.Frame == jog.BaseFrame && a.jog.Frame == jog.WorldFrame && alike(setup.Mount.Rotation, kinematics.NoRotation)
	})
}

// alike reports whether two frames have the same axes.
func alike(r, s kinematics.Rotation) bool {
	return r3.Norm(r3.Sub(r.X, s.X))+r3.Norm(r3.Sub(r.Y, s.Y)) < 1e-9
}

// withoutTool is the arm with the bare flange, whose TCP is the flange.
func (a *Asked) withoutTool() *jog.Drive {
	bare := a.d.Standing()
	_ = bare.SetTool(kinematics.Identity) // which only a moving arm refuses
	return bare
}
