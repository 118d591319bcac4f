package armfile

import (
	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/scenarios/form"
)

// Skeleton returns a slim body for links of an arm of which only the axes are known: a capsule from axis to axis, from the
// base out. It is there so that something is drawn, and is no measure of the arm. Of the links of no length there is none.
func Skeleton(arm *kinematics.Arm, mountHeight float64, wanted func(link int) bool) (body []kinematics.Capsule) {
	reach := max(arm.Reach(), 1)
	lines := (&Arm{Geometry: arm, MountHeight: mountHeight}).lines()
	if base, turning := &lines[0], &lines[1]; r3.Norm(r3.Sub(base[1], base[0])) < reach/20 {
		// The base frame's origin lies on the mounting surface, and so does the point of axis 1 that was taken. One halfway up the axis parts
		// what stands from what turns, which would rub on the surface else.
		axis := arm.Joints[0].Axis
		base[1] = r3.Add(turning[0], r3.Scale(0.45*r3.Dot(axis, r3.Sub(turning[1], turning[0])), axis))
		turning[0] = base[1]
	}
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

// lines are the ends of every link at the measured pose: where the way from axis to axis, each time to the nearest point, meets its own
// joint's axis and the next one's.
func (a *Arm) lines() (ends [7][2]r3.Vec) {
	points := wayAlong(a.MountHeight, a.Geometry.Joints[:], &a.Geometry.Flange.Position)
	for link := range ends {
		ends[link] = [2]r3.Vec{points[link], points[link+1]}
	}
	return ends
}

// wayAlong is the way from the mounting surface along joints, from axis to axis each time to the nearest point, and on to an end.
func wayAlong(mountHeight float64, joints []kinematics.Joint, end *r3.Vec) []r3.Vec {
	at := r3.Vec{Z: -mountHeight}
	points := []r3.Vec{at}
	for i, j := range joints {
		if i == 0 {
			at = footOn(j, r3.Vec{}) // the base's own point of axis 1 is at the origin's height
		} else {
			at = footOn(j, at)
		}
		points = append(points, at)
	}
	if end != nil {
		points = append(points, *end)
	}
	return points
}

// Measured returns an arm of that geometry, which somebody measured: named after the file that it comes from, or "Arm" where that is no
// name, with a stand-in for every part of its body.
func Measured(file string, geometry *kinematics.Arm, mountHeight float64) *Arm {
	arm := &Arm{Name: "Arm", MountHeight: mountHeight, Geometry: geometry}
	if id := form.FileID(file); len(id) > 0 && len(id) <= 40 && form.IsWord(id) {
		arm.Name = id
	}
	arm.Body = Skeleton(geometry, mountHeight, func(int) bool { return true })
	return arm
}
