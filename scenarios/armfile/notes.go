package armfile

import (
	"fmt"
	"slices"
	"strings"

	"handrule/kinematics"
	"handrule/kinematics/clearance"
	"handrule/scenarios/form"
)

// Notes say what is worth comparing with the arm itself: its size, where its tools end at the measured pose, which links
// are never said to touch, and what is unlike most arms.
func (a *Arm) Notes() (notes []string) {
	notes = append(notes, fmt.Sprintf("the flange gets about %.0f mm from the axis of J2", a.Geometry.Reach()))
	tools := append(slices.Clone(a.Tools), kinematics.NoTool)
	flange := a.Geometry.Flange
	for _, tool := range tools {
		at := flange.Mul(tool.TCP).Position
		notes = append(notes, fmt.Sprintf("%s, the TCP with tool %s is at X %s, Y %s, Z %s mm of the base frame",
			a.measuredPose(), tool.Name, form.Decimal(at.X), form.Decimal(at.Y), form.Decimal(at.Z)))
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

// measuredPose names the pose of the measurement, and what the joints read there where that is not zero.
func (a *Arm) measuredPose() string {
	if a.Geometry.Measured() == (kinematics.Joints{}) {
		return "at the zero pose"
	}
	var reads []string
	for _, j := range a.Geometry.Joints {
		reads = append(reads, form.Decimal(kinematics.Degrees(j.Measured)))
	}
	return "where it was measured, at joints " + strings.Join(reads, ", ")
}

// neverTouching names the parts that are never looked at because they overlap at the measured pose.
func (a *Arm) neverTouching(tool kinematics.Tool) (notes []string) {
	scene, err := clearance.NewScene(a.Geometry, a.Body, tool, nil)
	if err != nil {
		return []string{"note: " + err.Error()}
	}
	for _, pair := range scene.Excepted() {
		notes = append(notes, fmt.Sprintf("note: %s and %s overlap %s, so they are never said to touch, in any pose; make their bodies shorter or slimmer if they should be",
			pair.A.Name, pair.B.Name, a.measuredPose()))
	}
	return notes
}
