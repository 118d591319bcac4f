package armfile

import (
	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
)

// Skeleton returns a slim body for links of an arm of which only the axes are known: a capsule from axis to axis, from the
// base out. It is there so that something is drawn, and is no measure of the arm. Of the links of no length there is none.
func Skeleton(arm *kinematics.Arm, mountHeight float64, wanted func(link int) bool) (body []kinematics.Capsule) {
	reach := max(arm.Reach(), 1)
	lines := (&Arm{Geometry: arm, MountHeight: mountHeight}).lines()
	for link, line := range lines {
		long, radius := r3.Norm(r3.Sub(line[1], line[0])), reach/float64(18+3*link)
		if link == 0 && long > radius { // so that its round end stands on the mounting surface
			line[0] = r3.Add(line[0], r3.Scale(radius/long, r3.Sub(line[1], line[0])))
			long -= radius
		}
		if long > reach/1000 && wanted(link) {
			body = append(body, kinematics.Capsule{Link: link, From: line[0], To: line[1], Radius: radius})
		}
	}
	return body
}

// lines are the ends of every link at the zero pose: where the way from axis to axis, each time to the nearest point, meets its own
// joint's axis and the next one's.
func (a *Arm) lines() (ends [7][2]r3.Vec) {
	at := r3.Vec{Z: -a.MountHeight}
	for link := range 7 {
		next := a.Geometry.Flange.Position
		switch {
		case link == 0:
			next = footOn(a.Geometry.Joints[0], r3.Vec{}) // the base's own point of axis 1 is at the origin's height
		case link < 6:
			next = footOn(a.Geometry.Joints[link], at)
		}
		ends[link] = [2]r3.Vec{at, next}
		at = next
	}
	return ends
}
