package compare

import (
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/scenarios/armfile"
	"handrule/scenarios/form"
)

// Mend returns the arm with the cause put right: what a file of it says then is what the real arm shows. Limits stay as they are written,
// for they are what the display shows. It reports false where there is nothing in the arm to mend, as with a display in inches.
func (c Cause) Mend(arm *armfile.Arm, tool string) (*armfile.Arm, bool) {
	joints := arm.Geometry.Joints
	switch c.Kind {
	case Sign:
		j := &joints[c.Joint]
		j.Axis = r3.Scale(-1, j.Axis)
	case Zero:
		joints[c.Joint].Measured = written(joints[c.Joint].Measured - c.Value)
	case Tool:
		return withTCP(arm, tool, func(p r3.Vec) r3.Vec { return r3.Add(p, r3.Vec{Z: c.Value}) })
	default:
		return arm, false
	}
	mended, err := arm.With(joints)
	return mended, err == nil
}

// Mend returns the arm with the fitted zeros and TCP. It reports false where the tool is the bare flange or not the arm's own: its TCP stays.
func (f Fit) Mend(arm *armfile.Arm, tool string) (*armfile.Arm, bool) {
	joints := arm.Geometry.Joints
	for i := range joints {
		joints[i].Measured = written(joints[i].Measured - f.Zeros[i])
	}
	mended, err := arm.With(joints)
	if err != nil {
		return arm, false
	}
	return withTCP(mended, tool, func(r3.Vec) r3.Vec { return f.TCP })
}

// written is an angle to as many decimals as anybody would write, and more than any display shows.
func written(rad float64) float64 { return kinematics.Radians(form.Round(kinematics.Degrees(rad), 5)) }

func withTCP(arm *armfile.Arm, name string, to func(r3.Vec) r3.Vec) (*armfile.Arm, bool) {
	i := slices.IndexFunc(arm.Tools, func(t kinematics.Tool) bool { return t.Name == name })
	if i < 0 {
		return arm, false
	}
	other := *arm
	other.Tools = slices.Clone(arm.Tools)
	other.Tools[i].TCP.Position = to(other.Tools[i].TCP.Position)
	return &other, true
}
