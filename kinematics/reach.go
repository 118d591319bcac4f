package kinematics

import "gonum.org/v1/gonum/spatial/r3"

// Reach returns about how far the flange gets from joint 2's axis point within the limits, in mm: the farthest of
// the poses on a coarse grid of joints 2, 3 and 5, the others where the arm is measured. It is a size to draw by, not a bound.
func (a *Arm) Reach() float64 {
	const steps = 16
	at := func(joint, step int) float64 {
		j := a.Joints[joint]
		return j.Min + (j.Max-j.Min)*float64(step)/steps
	}
	far := 0.0
	for i := range steps + 1 {
		for j := range steps + 1 {
			for k := range steps + 1 {
				q := a.Measured()
				q[1], q[2], q[4] = at(1, i), at(2, j), at(4, k)
				flange := a.Forward(q).Position
				far = max(far, r3.Norm(r3.Sub(flange, a.Joints[1].At)))
			}
		}
	}
	return far
}
