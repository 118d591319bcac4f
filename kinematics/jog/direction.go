package jog

import (
	"fmt"
	"math"
)

// Frame is what a jog's directions are measured in.
type Frame string

const (
	JointFrame Frame = "joint" // each joint about its own axis
	BaseFrame  Frame = "base"  // along and about the axes of the base frame
	ToolFrame  Frame = "tool"  // along and about the axes of the tool frame as it stands when the jog starts
)

// Frames are all of them, in the order in which they are offered.
var Frames = []Frame{JointFrame, BaseFrame, ToolFrame}

// Direction is one of the twelve ways to jog in a frame. In the joint frame Axis 0…5 is J1…J6. In the others 0, 1
// and 2 are straight along X, Y and Z, and 3, 4 and 5 are turns about X, Y and Z through the TCP. Sign is +1 or -1.
type Direction struct {
	Frame Frame `json:"frame"`
	Axis  int   `json:"axis"`
	Sign  int   `json:"sign"`
}

// Straight reports whether the jog is measured in mm; every other is an angle.
func (d Direction) Straight() bool { return d.Frame != JointFrame && d.Axis < 3 }

// Check refuses what is no direction.
func (d Direction) Check() error {
	switch {
	case d.Frame != JointFrame && d.Frame != BaseFrame && d.Frame != ToolFrame:
		return fmt.Errorf("unknown frame %q; it is one of joint, base, tool", d.Frame)
	case d.Axis < 0 || d.Axis > 5:
		return fmt.Errorf("axis %d does not exist; there are 0 to 5", d.Axis)
	case d.Sign != 1 && d.Sign != -1:
		return fmt.Errorf("sign is +1 or -1, not %d", d.Sign)
	}
	return nil
}

// String is the direction as the trade says it: "J5 +", "base X -", "about tool Z +".
func (d Direction) String() string {
	sign := map[int]string{1: "+", -1: "−"}[d.Sign]
	switch {
	case d.Frame == JointFrame:
		return fmt.Sprintf("J%d %s", d.Axis+1, sign)
	case d.Axis < 3:
		return fmt.Sprintf("%s %c %s", d.Frame, "XYZ"[d.Axis], sign)
	default:
		return fmt.Sprintf("about %s %c %s", d.Frame, "XYZ"[d.Axis-3], sign)
	}
}

// Jog is one manual motion: a direction, how far (mm, or rad for turns; +Inf for as long as it is held) and how
// fast (mm/s or rad/s).
type Jog struct {
	Direction
	Amount float64
	Speed  float64
}

// Held reports whether the jog goes on until it is released.
func (j Jog) Held() bool { return math.IsInf(j.Amount, 1) }

// Check refuses what is no jog.
func (j Jog) Check() error {
	if err := j.Direction.Check(); err != nil {
		return err
	}
	if !(j.Amount > 0) {
		return fmt.Errorf("a jog's amount must be more than zero")
	}
	if !(j.Speed > 0) || math.IsInf(j.Speed, 1) {
		return fmt.Errorf("a jog's speed must be more than zero")
	}
	return nil
}
