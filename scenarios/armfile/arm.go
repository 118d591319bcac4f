// Package armfile reads arm files: the geometry of an arm, what it is made of and what it can carry.
package armfile

import (
	"fmt"
	"handrule/scenarios/translation"

	"handrule/kinematics"
	"handrule/scenarios/form"
)

// Arm is an arm file: the geometry, what it is made of, and what it can carry.
type Arm struct {
	ID          string // the file's name without its ending
	Name        string
	About       string
	MountHeight float64 // the base frame's origin above the mounting surface, mm
	Geometry    *kinematics.Arm
	Body        []kinematics.Capsule // at the measured pose, in the base frame
	Tools       []kinematics.Tool
	Meshes      []Mesh          // what is drawn instead of bodies
	Files       []string        // the files that these are in, which have been looked at: paths in the arm file's folder
	Texts       translation.All // in other languages
}

// Tool returns the arm's own tool of that name; see ToolAmong.
func (a *Arm) Tool(name string) (kinematics.Tool, error) { return a.ToolAmong(a.Tools, name) }

// ToolAmong returns the tool of that name among those the arm has where it stands. "" is the tool mounted at the start:
// the first, or the bare flange where there is none; "none" is the bare flange.
func (a *Arm) ToolAmong(tools []kinematics.Tool, name string) (kinematics.Tool, error) {
	switch {
	case name == kinematics.NoTool.Name, name == "" && len(tools) == 0:
		return kinematics.NoTool, nil
	case name == "":
		return tools[0], nil
	}
	for _, tool := range tools {
		if tool.Name == name {
			return tool, nil
		}
	}
	return kinematics.Tool{}, fmt.Errorf("%s has no tool %s; %s", a.Name, form.Quoted(name), form.UnknownWord(name, toolNames(tools)))
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

func toolNames(tools []kinematics.Tool) []string {
	names := make([]string, 0, len(tools)+1)
	for _, tool := range tools {
		names = append(names, tool.Name)
	}
	return append(names, kinematics.NoTool.Name)
}
