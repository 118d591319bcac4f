package jog

import (
	"slices"

	"handrule/kinematics"
)

// Frame is what a jog's directions are measured in (ISO 9787).
type Frame string

const (
	JointFrame Frame = "joint" // each joint about its own axis
	WorldFrame Frame = "world" // along and about the axes of the world frame, which the arm may be mounted askew in
	BaseFrame  Frame = "base"  // along and about the axes of the base frame
	TaskFrames Frame = "task"  // along and about the axes of a named frame of the cell
	ToolFrame  Frame = "tool"  // along and about the axes of the tool frame as it stands when the jog starts
)

// FrameTraits is what a frame is. Whoever treats frames alike or apart goes by this, and by no list of their own.
type FrameTraits struct {
	Frame Frame
	Key   string // the key of a keyboard that chooses it
	Axes  bool   // it has axes in space; a jog goes straight along them or turns the tool about them
	Fixed bool   // it stands still while the arm moves, so that positions can be read in it
	Named bool   // there may be several, each with a name of its own

	code byte // stands for it in the bytes of a log, and is never given to another
	// pose returns where its axes are in the base frame, for a TCP that is there; nil: where the base frame's are.
	pose func(setup *Setup, task string, tcp kinematics.Pose) (kinematics.Pose, error)
}

// frameTable has a row for every frame, in the order in which they are offered: the joints, then from the outside in.
var frameTable = []FrameTraits{
	{Frame: JointFrame, Key: "j", code: 'j'},
	{Frame: WorldFrame, Key: "w", code: 'w', Axes: true, Fixed: true, pose: worldPose},
	{Frame: BaseFrame, Key: "b", code: 'b', Axes: true, Fixed: true},
	{Frame: TaskFrames, Key: "k", code: 'k', Axes: true, Fixed: true, Named: true, pose: taskPose},
	{Frame: ToolFrame, Key: "t", code: 't', Axes: true, pose: toolPose},
}

// Frames are all of them, in the order in which they are offered.
var Frames = FramesWith(func(FrameTraits) bool { return true })

// FramesWith returns the frames of which that is true, in the order in which they are offered.
func FramesWith(wanted func(FrameTraits) bool) (frames []Frame) {
	for _, row := range frameTable {
		if wanted(row) {
			frames = append(frames, row.Frame)
		}
	}
	return frames
}

// Traits returns what the frame is; the zero value for a word that is no frame.
func (f Frame) Traits() FrameTraits {
	i := slices.IndexFunc(frameTable, func(row FrameTraits) bool { return row.Frame == f })
	if i < 0 {
		return FrameTraits{}
	}
	return frameTable[i]
}

// frameOf returns the frame that the byte of a log stands for, "" where there is none.
func frameOf(code byte) Frame {
	for _, row := range frameTable {
		if row.code == code {
			return row.Frame
		}
	}
	return ""
}

func (f Frame) known() bool { return slices.Contains(Frames, f) }

// Frame returns the pose of a frame in the base frame when the TCP is at tcp. The joint frame has no axes in space; it
// is given as the base frame.
func (s *Setup) Frame(f Frame, task string, tcp kinematics.Pose) (kinematics.Pose, error) {
	if pose := f.Traits().pose; pose != nil {
		return pose(s, task, tcp)
	}
	return kinematics.Identity, nil
}

func worldPose(s *Setup, _ string, _ kinematics.Pose) (kinematics.Pose, error) {
	return s.Mount.Inverse(), nil
}

func toolPose(_ *Setup, _ string, tcp kinematics.Pose) (kinematics.Pose, error) { return tcp, nil }

func taskPose(s *Setup, task string, _ kinematics.Pose) (kinematics.Pose, error) {
	t, err := s.task(task)
	return s.Mount.Inverse().Mul(t.Pose), err
}
