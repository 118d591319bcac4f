package scenarios

import (
	"fmt"
	"slices"
	"sync"

	"handrule/kinematics"
)

// Arm is an arm file: the geometry, what it is made of, and what it can carry.
type Arm struct {
	ID          string // the file's name without its ending
	Name        string
	About       string
	MountHeight float64 // the base frame's origin above the mounting surface, mm
	Geometry    *kinematics.Arm
	Body        []kinematics.Capsule // at the zero pose, in the base frame
	Tools       []kinematics.Tool
}

// Tool returns the tool of that name. "" is the tool mounted at the start: the first, or the bare flange where the
// arm has none; "none" is the bare flange.
func (a *Arm) Tool(name string) (kinematics.Tool, error) {
	switch {
	case name == kinematics.NoTool.Name, name == "" && len(a.Tools) == 0:
		return kinematics.NoTool, nil
	case name == "":
		return a.Tools[0], nil
	}
	for _, tool := range a.Tools {
		if tool.Name == name {
			return tool, nil
		}
	}
	return kinematics.Tool{}, fmt.Errorf("%s has no tool %s; %s", a.Name, quoted(name), unknownWord(name, a.toolNames()))
}

// OutsideLimits says of every joint of q that is outside its limits that it is, in words.
func (a *Arm) OutsideLimits(q kinematics.Joints) (outside []string) {
	for i, j := range a.Geometry.Joints {
		if q[i] < j.Min || q[i] > j.Max {
			outside = append(outside, fmt.Sprintf("%s at %.6g° is outside its limits of %.4g° to %.4g°",
				j.Name, kinematics.Degrees(q[i]), kinematics.Degrees(j.Min), kinematics.Degrees(j.Max)))
		}
	}
	return outside
}

func (a *Arm) toolNames() []string {
	names := make([]string, 0, len(a.Tools)+1)
	for _, tool := range a.Tools {
		names = append(names, tool.Name)
	}
	return append(names, kinematics.NoTool.Name)
}

// shippedArms are the names of the arms that ship; the first is the default.
var shippedArms = []string{"wren", "curlew", "plover"}

var loadArms = sync.OnceValue(func() []*Arm { return loadShipped("arms", shippedArms, ReadArm) })

// ShippedArms returns the arms that come with handrule, the default first. They are shared and not to be changed.
func ShippedArms() []*Arm { return slices.Clone(loadArms()) }

// OpenArm returns the shipped arm of that name, or reads the arm file at that path.
func OpenArm(ref string) (*Arm, error) { return open("arm", ref, shippedArms, loadArms, ReadArm) }
