package cellfile

import (
	"slices"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/kinematics/jog"
	"handrule/scenarios/armfile"
	"handrule/words"
)

// Stand is an arm where it stands, with what was made there: task frames that were taught, a TCP that was found.
type Stand struct {
	Arm    *armfile.Arm
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

// mostTaught is how many task frames can be taught, as many as a cell file may hold.
const mostTaught = 40

// Teach adds a task frame, or puts it in the place of the one that was taught by that name before. The error says that there
// are too many.
func (s *Stand) Teach(frame jog.TaskFrame) error {
	s.Taught = slices.Clone(s.Taught)
	if i := slices.IndexFunc(s.Taught, func(f jog.TaskFrame) bool { return f.Name == frame.Name }); i >= 0 {
		s.Taught[i] = frame
		return nil
	}
	if len(s.Taught) == mostTaught {
		return words.NewProblem("problem.taught", "most", strconv.Itoa(mostTaught))
	}
	s.Taught = append(s.Taught, frame)
	return nil
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

// FoundTCP returns a tool's name without the mark that its TCP was found, and whether it had that.
func FoundTCP(name string) (plain string, found bool) { return strings.CutSuffix(name, foundSuffix) }
