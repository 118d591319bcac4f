package kinematics

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// What counts as meeting and as parallel in an arm file measured by hand.
const (
	meetTolerance     = 0.1  // mm
	parallelTolerance = 2e-4 // rad
)

// exactGeometry is how far in mm an arm may be from its ideal form and still be solved as it. It is rounding.
const exactGeometry = 1e-10

// recognise returns the method that fits the arm's axes. An arm that is a special form only within the tolerance of
// a tape measure is named and described as that form, and solved on the arm as it is.
func (a *Arm) recognise() method {
	ideal := a.Joints
	m := closedForm(&ideal, a.Flange)
	if m == nil {
		image, base := mirror(a.Joints, a.Flange)
		if form := closedForm(&image, base); form != nil {
			m = mirrored{form}
			ideal, _ = mirror(image, base)
		}
	}
	switch {
	case m == nil:
		return newSearch(a)
	case a.distanceFrom(&ideal) > exactGeometry:
		return approximate{ideal: m, search: newSearch(a)}
	}
	return m
}

// closedForm returns the closed form for the arm with these joints, which it mends to be exactly of that form, or nil.
func closedForm(joints *[6]Joint, flange Pose) method {
	if centre, ok := meeting(joints[3:]); ok {
		for i := 3; i < 6; i++ {
			joints[i].At = centre
		}
		if !parallel(&joints[0], &joints[1]) && parallel(&joints[1], &joints[2]) {
			joints[2].Axis = r3.Scale(sign(r3.Dot(joints[1].Axis, joints[2].Axis)), joints[1].Axis)
			return newElbowArm(joints, flange, centre)
		}
		return newPieperArm(joints, flange, centre)
	}
	if !parallel(&joints[0], &joints[1]) && parallel(&joints[1], &joints[2]) && parallel(&joints[2], &joints[3]) && !parallel(&joints[3], &joints[4]) {
		return newParallelArm(joints, flange)
	}
	return nil
}

// exactArm returns an arm with these joints that is only good for forward, Jacobian and refining.
func exactArm(joints *[6]Joint, flange Pose) *Arm {
	a := &Arm{Joints: *joints, Flange: flange}
	a.prepare()
	return a
}

// distanceFrom returns by how many mm the flange may be elsewhere if the arm's axes were those of joints.
func (a *Arm) distanceFrom(joints *[6]Joint) (most float64) {
	for i := range joints {
		real, other := &a.Joints[i], &joints[i]
		shift := r3.Norm(r3.Sub(other.At, footOn(real, other.At)))
		lever := r3.Norm(r3.Sub(a.Flange.Position, other.At)) + 1
		most = math.Max(most, shift+lever*r3.Norm(r3.Cross(real.Axis, other.Axis)))
	}
	return most
}

// parallel reports whether two axes are parallel, in the same or opposite sense.
func parallel(a, b *Joint) bool { return r3.Norm(r3.Cross(a.Axis, b.Axis)) < parallelTolerance }

// meeting returns the point nearest to the axes of these joints, by least squares, and whether it is on all of
// them and each is at an angle to the next.
func meeting(joints []Joint) (p r3.Vec, ok bool) {
	for i := range joints[1:] {
		if parallel(&joints[i], &joints[i+1]) {
			return p, false
		}
	}
	// The sum of the projections square to each axis, applied to p, is the same sum of the axes' points.
	var m [3]r3.Vec
	var b r3.Vec
	for i := range joints {
		axis := joints[i].Axis
		for k := range m {
			m[k] = r3.Add(m[k], squareTo(axis, NoRotation.Axis(k)))
		}
		b = r3.Add(b, squareTo(axis, joints[i].At))
	}
	p = solve3(m[0], m[1], m[2], b)
	for i := range joints {
		if !(r3.Norm(r3.Sub(p, footOn(&joints[i], p))) < meetTolerance) {
			return p, false
		}
	}
	return p, !math.IsNaN(p.X)
}

// squareTo returns the part of v that is at right angles to a unit vector.
func squareTo(unit, v r3.Vec) r3.Vec { return r3.Sub(v, r3.Scale(r3.Dot(unit, v), unit)) }

// footOn returns the point of j's axis nearest to p.
func footOn(j *Joint, p r3.Vec) r3.Vec {
	return r3.Add(j.At, r3.Scale(r3.Dot(j.Axis, r3.Sub(p, j.At)), j.Axis))
}
