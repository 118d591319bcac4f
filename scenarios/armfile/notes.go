package armfile

import (
	"fmt"
	"slices"

	"handrule/kinematics"
	"handrule/kinematics/clearance"
	"handrule/scenarios/form"
)

// Notes say what is worth comparing with the arm itself: its size, where its tools end at the zero pose, which links
// are never said to touch, and what is unlike most arms.
func (a *Arm) Notes() (notes []string) {
	notes = append(notes, fmt.Sprintf("the flange gets about %.0f mm from the axis of J2", a.Geometry.Reach()))
	tools := append(slices.Clone(a.Tools), kinematics.NoTool)
	flange := a.Geometry.Forward(kinematics.Joints{})
	for _, tool := range tools {
		at := flange.Mul(tool.TCP).Position
		notes = append(notes, fmt.Sprintf("at the zero pose, the TCP with tool %s is at X %s, Y %s, Z %s mm of the base frame",
			tool.Name, form.Decimal(at.X), form.Decimal(at.Y), form.Decimal(at.Z)))
	}
	for _, tool := range tools {
		for _, note := range a.neverTouching(tool) {
			if !slices.Contains(notes, note) {
				notes = append(notes, note)
			}
		}
	}
	return append(notes, a.doubts()...)
}

// neverTouching names the parts that are never looked at because they overlap at the zero pose.
func (a *Arm) neverTouching(tool kinematics.Tool) (notes []string) {
	scene, err := clearance.NewScene(a.Geometry, a.Body, tool, nil)
	if err != nil {
		return []string{"note: " + err.Error()}
	}
	for _, pair := range scene.Excepted() {
		notes = append(notes, fmt.Sprintf("note: %s and %s overlap at the zero pose, so they are never said to touch, in any pose; make their bodies shorter or slimmer if they should be",
			pair.A.Name, pair.B.Name))
	}
	return notes
}
