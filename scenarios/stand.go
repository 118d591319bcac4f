package scenarios

import (
	"errors"
	"slices"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/kinematics/jog"
	"handrule/scenarios/spoken"
	"handrule/words"
)

// Stand is an arm where it stands, with what was made there: task frames that were taught, a TCP that was found.
type Stand struct {
	Arm    *Arm
	Cell   *Cell
	Taught []jog.TaskFrame  // in the world frame; they stand in for those of the cell with the same names
	Found  *kinematics.Tool // nil: none
}

// foundSuffix marks the name of a tool whose TCP was found.
const foundSuffix = " (TCP found)"

// WithTCP returns the tool with its TCP at a place that was found, in the flange's frame.
func WithTCP(tool kinematics.Tool, at r3.Vec) kinematics.Tool {
	tool.TCP.Position = at
	tool.Name = strings.TrimSuffix(tool.Name, foundSuffix) + foundSuffix
	return tool
}

// TeachFrame returns the task frame with that origin, a point on its +X and one in its X-Y plane towards +Y, in the world
// frame.
func TeachFrame(name string, origin, x, xy r3.Vec) (jog.TaskFrame, error) {
	pose, err := kinematics.TeachFrame(origin, x, xy)
	return jog.TaskFrame{Name: name, Pose: pose, Taught: &[3]r3.Vec{origin, x, xy}}, err
}

// Teach adds a task frame, or puts it in the place of the one that was taught by that name before.
func (s *Stand) Teach(frame jog.TaskFrame) {
	s.Taught = slices.Clone(s.Taught)
	if i := slices.IndexFunc(s.Taught, func(f jog.TaskFrame) bool { return f.Name == frame.Name }); i >= 0 {
		s.Taught[i] = frame
	} else {
		s.Taught = append(s.Taught, frame)
	}
}

// Tools are what the arm can carry: its own tools, those of the cell, and the one whose TCP was found.
func (s *Stand) Tools() []kinematics.Tool {
	tools := s.Cell.ToolsFor(s.Arm)
	if s.Found != nil {
		tools = append(tools, *s.Found)
	}
	return tools
}

// Tasks are the frames that were taught, and those of the cell.
func (s *Stand) Tasks() []jog.TaskFrame {
	all := slices.Clone(s.Taught)
	for _, f := range s.Cell.Tasks {
		if !slices.ContainsFunc(s.Taught, func(own jog.TaskFrame) bool { return own.Name == f.Name }) {
			all = append(all, f)
		}
	}
	return all
}

// Setup is what the motion needs to know of the arm with this tool; see Cell.Setup for the error.
func (s *Stand) Setup(tool kinematics.Tool, setDistance float64) (jog.Setup, error) {
	around, err := s.Cell.Setup(s.Arm, tool, setDistance)
	around.Tasks = s.Tasks()
	return around, err
}

// Prepare makes the changes that a step of a jog file asks for before it, on the drive and on the stand. Where there is an
// error neither is changed.
func (s *Stand) Prepare(d *jog.Drive, step *JogStep) error {
	if !step.Changes() {
		return nil
	}
	now, next := d.Setup(), *s
	for _, frame := range step.Teach {
		next.Teach(frame)
	}
	tool, setDistance := now.Tool, now.SetDistance
	var err error
	if step.MountTool != "" {
		if tool, err = s.Arm.ToolAmong(s.Tools(), step.MountTool); err != nil {
			return err
		}
		if step.TCP != nil {
			tool = WithTCP(tool, *step.TCP)
			next.Found = &tool
		}
	}
	if step.SetDistance != nil {
		setDistance = *step.SetDistance
	}
	around, err := next.Setup(tool, setDistance)
	if err != nil {
		return err
	}
	if err := d.Refit(around); err != nil {
		return err
	}
	*s = next
	return nil
}

// Rehearse drives the steps of a jog file one after the other, in no time. Each is told what happens: before the first tick
// of a step its line, after a tick nothing, and after its last why it ended. The first step that does not end as its line
// says is the last; unlike then says how it ended. The error is of a step that asks for what there is not.
func (s *Stand) Rehearse(d *jog.Drive, file string, steps []JogStep, each func(event string)) (unlike Errors, err error) {
	for i := range steps {
		step := &steps[i]
		if err := s.Prepare(d, step); err != nil {
			return nil, step.Problem(file, err)
		}
		each("start " + step.text)
		if err := d.Start(step.Jog); err != nil {
			return nil, step.Problem(file, err)
		}
		for step.Tick(d) {
			each("")
		}
		stop := d.Stop()
		event := string(stop.Reason)
		if stop.Trouble() {
			event += ": " + spoken.Sentence(stop, words.English)
		}
		each(event)
		if !step.Completed(stop) {
			return step.Problem(file, errors.New(step.Unlike(stop))), nil
		}
	}
	return nil, nil
}
