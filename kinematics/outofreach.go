package kinematics

import "math"

// OutOfReach returns by how many mm the arm is too short, or too stiff, for the flange to be at this pose; zero where
// it can be there, limits aside. Where upper arm and forearm make a triangle it is the wrist centre's distance from
// where it can be. For other arms it is the miss of the best attempt from near and the poses around it: mm, and rad
// times half the arm's length, taken together.
func (a *Arm) OutOfReach(flange Pose, near Joints) float64 {
	s := a.Shortage(flange, near)
	for done := false; !done; {
		_, done = s.Advance()
	}
	return s.Short()
}

// short returns by how many mm the wrist centre is out of reach, zero where it is not.
func (e *elbowArm) short(flange Pose) float64 {
	centre, _, _ := lastFrame(&e.base, e.upright, &e.wrist.centre, &e.wrist.untip, &flange)
	// Where the wrist centre is too near to axis 1 for the plane of the arm, it has to go out to the plane first.
	l := &e.first
	y := l.step.Y + l.cosTwist*(centre.Z-l.step.Z)/l.sinTwist
	r := math.Hypot(centre.X, centre.Y)
	inside := max(0, math.Abs(y)-r)
	if inside > 0 {
		scale := math.Abs(y) / r
		if r == 0 {
			centre.X = math.Abs(y)
		} else {
			centre.X, centre.Y = centre.X*scale, centre.Y*scale
		}
	}
	var sides [2]side
	n, _ := e.sides(centre, 0, &sides)
	least := math.Inf(1)
	for i := range n {
		d := sides[i].distance
		beyond := max(d-(e.planar.triangle.upper+e.planar.triangle.fore), math.Abs(e.planar.triangle.upper-e.planar.triangle.fore)-d)
		least = min(least, max(0, beyond))
	}
	if inside+least < reachSlack {
		return 0
	}
	return inside + least
}

// spreadFrom returns the k-th of a sequence of joint angles that fills the turns of the joints evenly (the additive
// recurrence by powers of the root of x⁷ = x + 1, after Roberts).
func spreadFrom(q Joints, k int) Joints {
	for i, step := range [6]float64{5.6464, 5.0742, 4.5599, 4.0978, 3.6825, 3.3093} {
		q[i] += float64(k) * step
	}
	return q
}
