package armfile

import (
	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
)

// Skeleton returns a slim body for links of an arm of which only the axes are known: a capsule from axis to axis, from the
// base out. It is there so that something is drawn, and is no measure of the arm. Of the links of no length there is none.
func Skeleton(arm *kinematics.Arm, mountHeight float64, wanted func(link int) bool) (body []kinematics.Capsule) {
	reach := max(arm.Reach(), 1)
	at := r3.Vec{Z: -mountHeight}
	for link := range 7 {
		next := arm.Flange.Position
		if link < 6 {
			j := arm.Joints[link]
			start := at
			if link == 0 {
				start = r3.Vec{} // the base's own point of axis 1 is at the origin's height
			}
			next = r3.Add(j.At, r3.Scale(r3.Dot(j.Axis, r3.Sub(start, j.At)), j.Axis))
		}
		radius := reach / float64(18+3*link)
		if r3.Norm(r3.Sub(next, at)) > reach/1000 && wanted(link) {
			body = append(body, kinematics.Capsule{Link: link, From: at, To: next, Radius: radius})
		}
		at = next
	}
	return body
}
