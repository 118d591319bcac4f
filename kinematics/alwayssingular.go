package kinematics

import (
	"fmt"

	"gonum.org/v1/gonum/spatial/r3"
)

const (
	// singularTries is at how many poses all over its joints an arm must be singular to be called so in every one. Any other arm is
	// found out at the first or second, because its singular poses have no volume.
	singularTries = 200
	// singularBelow is the smallest singular value that a tape measure's error leaves of none.
	singularBelow = 1e-3
)

// AlwaysSingular says why the arm is singular in every pose, so that its six joints move the tool in fewer than six ways; "" where
// it is not.
func (a *Arm) AlwaysSingular() string {
	for k := range singularTries {
		if a.Singularity(spreadFrom(Joints{}, k+1), Identity).Smallest > singularBelow {
			return ""
		}
	}
	for size := len(a.Joints); size > 1; size-- {
		for from := 0; from+size <= len(a.Joints); from++ {
			if alike := alike(a.Joints[from : from+size]); alike != "" {
				return fmt.Sprintf("the axes of %s to %s %s", JointNames[from], JointNames[from+size-1], alike)
			}
		}
	}
	return "its axes stand so to one another that the tool always lacks one way to move"
}

// alike says why joints in a row move what they carry in fewer ways than they are; "" where it is not seen. What their
// axes are to one another they stay in every pose.
func alike(joints []Joint) string {
	parallels, line := true, true
	for i := range joints[1:] {
		before, j := &joints[i], &joints[i+1]
		parallels = parallels && parallel(before, j)
		line = line && r3.Norm(r3.Sub(j.At, footOn(before, j.At))) < meetTolerance
	}
	_, meet := meeting(joints)
	switch {
	case parallels && line:
		return "lie in one line, so they all turn the tool alike"
	case parallels && len(joints) > 3:
		return "are parallel, and the third of such joints already does all that they can"
	case meet && len(joints) > 3:
		return "meet in one point, and the third of such joints already does all that they can"
	}
	return ""
}
