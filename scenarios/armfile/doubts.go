package armfile

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/scenarios/form"
)

// What an arm file says may be possible and wrong all the same: a measure in another unit, a sign, a body in the wrong place. Doubts
// tell what is unlike most arms, each with the number and what would be usual. What is usual is common practice, no source.

// Where doubt begins.
const (
	radiansBelow   = 7    // degrees: the widest limits, or the quickest speed, of an arm that is written in radians
	metresBelow    = 10   // mm of reach
	inchesBelow    = 100  // mm of reach; no arm for people to jog is smaller
	longestReach   = 5000 // mm
	nearlySquare   = 0.5  // degrees
	roundingSquare = 1e-4 // degrees
	nearlyMeeting  = 10.0 // mm
	meeting        = 0.1  // mm, what counts as meeting in a file
	besideAxis     = 0.05 // mm
	oddlyBeside    = 5.0  // mm
	intoTable      = 1.0  // mm
	slowest        = 5.0  // degrees/s
	quickest       = 1000 // degrees/s
	narrowTurn     = 90.0 // degrees of range
)

// doubts are what is unlike most arms, sentences of a few words each.
func (a *Arm) doubts() (all []string) {
	add := func(format string, args ...any) { all = append(all, "note: "+fmt.Sprintf(format, args...)) }
	a.doubtUnits(add)
	a.doubtAxes(add)
	a.doubtFlange(add)
	a.doubtLimits(add)
	a.doubtBody(add)
	a.doubtTools(add)
	return all
}

type adder func(format string, args ...any)

func (a *Arm) doubtUnits(add adder) {
	reach := a.Geometry.Reach()
	switch {
	case reach < metresBelow:
		add("the arm reaches %s mm, as if its lengths were metres; they are mm here: %s mm would be usual", form.Decimal(reach), form.Decimal(math.Round(reach*1000)))
	case reach < inchesBelow:
		add("the arm reaches %s mm, as if its lengths were inches; they are mm here, and an inch is 25.4: %s mm would be usual", form.Decimal(reach), form.Decimal(math.Round(reach*25.4)))
	case reach > longestReach:
		add("the arm reaches %s m; most reach 0.4 to 3.5 m. Is a length a number too long?", form.Decimal(math.Round(reach/100)/10))
	}
	widest, fastest := 0.0, 0.0
	for _, j := range a.Geometry.Joints {
		widest = max(widest, kinematics.Degrees(max(-j.Min, j.Max)))
		fastest = max(fastest, kinematics.Degrees(j.Speed))
	}
	if widest < radiansBelow {
		add("the widest limit is %s°, as if limits were written in radians; they are degrees here: %s° would be usual", form.Decimal(widest), form.Decimal(math.Round(widest*180/math.Pi)))
	}
	if fastest < radiansBelow {
		add("the quickest joint turns %s °/s, as if speeds were written in radians/s; they are degrees/s here: %s °/s would be usual", form.Decimal(fastest), form.Decimal(math.Round(fastest*180/math.Pi)))
		return
	}
	for _, j := range a.Geometry.Joints {
		if deg := kinematics.Degrees(j.Speed); deg < slowest || deg > quickest {
			add("%s turns at most %s °/s; 50 to 700 would be usual", j.Name, form.Decimal(deg))
		}
	}
}

// offMain is by how many degrees a direction is off the nearest main axis of the base frame, and which that is.
func offMain(v r3.Vec) (deg float64, main string) {
	deg = math.Inf(1)
	for _, name := range []string{"x", "-x", "y", "-y", "z", "-z"} {
		if off := between(v, Direction(name)); off < deg {
			deg, main = off, name
		}
	}
	return deg, main
}

// between is the angle between two directions in degrees.
func between(a, b r3.Vec) float64 {
	return kinematics.Degrees(math.Atan2(r3.Norm(r3.Cross(a, b)), r3.Dot(a, b)))
}

func (a *Arm) doubtAxes(add adder) {
	j := &a.Geometry.Joints
	for i := range j {
		if off, main := offMain(j[i].Axis); off > roundingSquare && off < nearlySquare {
			d := Direction(main)
			add("the axis of %s is %s° off square; exactly along %s would be usual: axis: %s", j[i].Name, form.Decimal(off), main, vector(d, 0))
		}
	}
	if upright := between(j[0].Axis, r3.Vec{Z: 1}); upright > 135 {
		add("the axis of %s points down, so that plus turns clockwise seen from above; up, [0, 0, 1], would be usual", j[0].Name)
	} else if upright > nearlySquare {
		add("the axis of %s is %s° from upright; the base frame's Z along it would be usual (ISO 9787)", j[0].Name, form.Decimal(math.Round(upright*10)/10))
	}
	if beside := r3.Norm(r3.Cross(j[0].At, j[0].Axis)); beside > besideAxis {
		add("the axis of %s passes the base frame's origin %s mm beside it; through it would be usual (ISO 9787)", j[0].Name, form.Decimal(beside))
	}
	if between(j[1].Axis, j[2].Axis) > 180-nearlySquare {
		add("the axes of %s and %s point against each other, so that plus bends the arm up with the one and down with the other; the same way would be usual. Jog both by +10° on the arm and look", j[1].Name, j[2].Name)
	}
	if between(j[3].Axis, j[5].Axis) > 180-nearlySquare {
		add("the axes of %s and %s point against each other; at this pose the same way would be usual. Jog both by +10° on the arm and look", j[3].Name, j[5].Name)
	}
	if off := a.wristOff(); off > meeting && off < nearlyMeeting {
		add("nearly a spherical wrist: the axes of %s, %s and %s miss one point by %s mm; to meet would be usual. Such an arm is solved by search", j[3].Name, j[4].Name, j[5].Name, form.Decimal(off))
	}
}

// wristOff is the least distance, of all points, to the farthest of the axes of joints 4 to 6, nearly: from the point where axes 4 and 5
// come closest, and 5 and 6. Infinite where two of them are parallel.
func (a *Arm) wristOff() float64 {
	j := a.Geometry.Joints[3:]
	var feet [2]r3.Vec
	gaps := 0.0
	for i := range feet {
		n := r3.Cross(j[i].Axis, j[i+1].Axis)
		if r3.Norm(n) < 1e-3 {
			return math.Inf(1)
		}
		across := r3.Cross(n, j[i].Axis) // in the plane of joint i+1's axis and the common perpendicular
		along := r3.Dot(across, r3.Sub(j[i].At, j[i+1].At)) / r3.Dot(across, j[i+1].Axis)
		feet[i] = r3.Add(j[i+1].At, r3.Scale(along, j[i+1].Axis)) // on joint i+1's axis, nearest to joint i's
		gaps = max(gaps, math.Abs(r3.Dot(r3.Unit(n), r3.Sub(j[i+1].At, j[i].At))))
	}
	foot := footOn(j[1], feet[1]) // of joint 6 on axis 5
	return max(gaps, r3.Norm(r3.Sub(foot, feet[0])))
}

// footOn is the point of a joint's axis nearest to p.
func footOn(j kinematics.Joint, p r3.Vec) r3.Vec {
	return r3.Add(j.At, r3.Scale(r3.Dot(j.Axis, r3.Sub(p, j.At)), j.Axis))
}

func (a *Arm) doubtFlange(add adder) {
	last, flange := a.Geometry.Joints[5], a.Geometry.Flange
	off := between(flange.Rotation.Z, last.Axis)
	off = min(off, 180-off)
	outwards := last.Axis
	if r3.Dot(outwards, r3.Sub(flange.Position, a.Geometry.Joints[3].At)) < 0 {
		outwards = r3.Scale(-1, outwards)
	}
	switch {
	case off > nearlySquare:
		add("the flange's Z is %s° off the axis of %s; along it, out of the flange, would be usual: along (%s, %s, %s), which rotation_deg: %s gives", form.Decimal(math.Round(off*10)/10), last.Name,
			form.Decimal(outwards.X), form.Decimal(outwards.Y), form.Decimal(outwards.Z), angles(ShortestTurn(flange.Rotation, outwards)))
	case off > roundingSquare:
		add("the flange's Z is %s° off the axis of %s; exactly along it would be usual", form.Decimal(off), last.Name)
	}
	if beside := r3.Norm(r3.Sub(flange.Position, footOn(last, flange.Position))); beside > besideAxis && beside < nearlyMeeting {
		add("the flange's middle is %s mm beside the axis of %s; on it would be usual", form.Decimal(beside), last.Name)
	}
}

// ShortestTurn returns r turned the shortest way so that its Z is along the unit vector z.
func ShortestTurn(r kinematics.Rotation, z r3.Vec) kinematics.Rotation {
	axis := r3.Cross(r.Z, z)
	if r3.Norm(axis) < 1e-9 {
		axis = r.X
	}
	return kinematics.RotationAbout(r3.Unit(axis), kinematics.Radians(between(r.Z, z))).Mul(r)
}

func (a *Arm) doubtLimits(add adder) {
	widest := 0.0
	for _, j := range a.Geometry.Joints {
		widest = max(widest, max(-j.Min, j.Max))
	}
	if kinematics.Degrees(widest) < radiansBelow {
		return // told already
	}
	start := a.Geometry.Start()
	for i, j := range a.Geometry.Joints {
		low, high := form.Decimal(kinematics.Degrees(j.Min)), form.Decimal(kinematics.Degrees(j.Max))
		if start[i] != 0 {
			add("the limits of %s, %s° to %s°, leave out 0, so that the arm starts with it at %s°", j.Name, low, high, form.Decimal(kinematics.Degrees(start[i])))
		}
		if j.Measured != 0 && (j.Measured < j.Min || j.Measured > j.Max) {
			add("%s reads %s° where the arm was measured, which its limits of %s° to %s° leave out; an arm is measured where it can stand", j.Name, form.Decimal(kinematics.Degrees(j.Measured)), low, high)
		}
		if turn := kinematics.Degrees(j.Max - j.Min); turn < narrowTurn {
			add("%s turns through %s° in all; 150° and more would be usual", j.Name, form.Decimal(turn))
		}
	}
	if joint, deg, ok := a.bendDown(); ok {
		j := a.Geometry.Joints[joint]
		others := "at 0"
		if a.Geometry.Measured() != (kinematics.Joints{}) {
			others = "as they were measured"
		}
		add("the flange points straight down with %s at %s° and the others %s, which the limits of %s° to %s° leave out; most work is done so", j.Name, form.Decimal(deg), others,
			form.Decimal(kinematics.Degrees(j.Min)), form.Decimal(kinematics.Degrees(j.Max)))
	}
}

// bendDown finds the joint that bends the flange down from the measured pose, joint 5 or else 4, and the angle in degrees with which it does. It
// is false where none does, or where the limits let the flange come near to it.
func (a *Arm) bendDown() (joint int, deg float64, leftOut bool) {
	const near = 20.0 // degrees
	for _, joint := range []int{4, 3} {
		best, nearest, within := math.Inf(1), 0.0, false
		measured := kinematics.Degrees(a.Geometry.Joints[joint].Measured)
		for deg := measured - 180; deg <= measured+180; deg++ {
			q := a.Geometry.Measured()
			q[joint] = kinematics.Radians(deg)
			off := between(a.Geometry.Forward(q).Rotation.Z, r3.Vec{Z: -1})
			if off < best {
				best, nearest = off, deg
			}
			within = within || off < near && q[joint] >= a.Geometry.Joints[joint].Min && q[joint] <= a.Geometry.Joints[joint].Max
		}
		if best < near {
			return joint, nearest, !within
		}
	}
	return 0, 0, false
}

func (a *Arm) doubtBody(add adder) {
	if len(a.Body) == 0 {
		add("there is no body, so that nothing is drawn and nothing can touch; a capsule or two a link would be usual")
		return
	}
	lines, reach := a.lines(), a.Geometry.Reach()
	var of [7][]kinematics.Capsule
	for _, c := range a.Body {
		of[c.Link] = append(of[c.Link], c)
	}
	lowest := math.Inf(1)
	for _, c := range of[0] {
		lowest = min(lowest, min(c.From.Z, c.To.Z)-c.Radius)
	}
	switch above := lowest + a.MountHeight; {
	case above < -intoTable:
		add("the body of link 0, the base, goes %s mm into the mounting surface; to end at it would be usual. A round end reaches a radius beyond from_mm and to_mm", form.Decimal(-above))
	case above > max(50, reach/10) && above < math.Inf(1):
		add("the body of link 0, the base, begins %s mm above the mounting surface; at it would be usual. Is mount_height_mm right?", form.Decimal(above))
	}
	swapped := [7]bool{}
	for i := range of {
		for k := i + 1; k < 7; k++ {
			if len(of[i]) == 0 || len(of[k]) == 0 {
				continue
			}
			now := farOff(of[i], lines[i]) + farOff(of[k], lines[k])
			if gain := now - farOff(of[i], lines[k]) - farOff(of[k], lines[i]); gain > 0.15*reach && !swapped[i] && !swapped[k] {
				add("the bodies of links %d and %d look swapped: each lies along the other, and they would be %s mm nearer there", i, k, form.Decimal(math.Round(gain)))
				swapped[i], swapped[k] = true, true
			}
		}
	}
	for i := range of {
		if swapped[i] {
			continue
		}
		for _, c := range of[i] {
			if gap := segmentsApart(c.From, c.To, lines[i][0], lines[i][1]) - c.Radius; gap > max(50, reach/10) {
				add("a body of link %d is %s mm away from the link, which goes from %s to %s mm; to lie along it would be usual", i, form.Decimal(math.Round(gap)), vector(lines[i][0], 1), vector(lines[i][1], 1))
			}
		}
	}
	for i, line := range lines {
		if long := r3.Norm(r3.Sub(line[1], line[0])); i > 0 && len(of[i]) == 0 && long > reach/5 {
			add("link %d is %s mm long and has no body, so that it is not drawn and cannot touch", i, form.Decimal(math.Round(long)))
		}
	}
}

// farOff is how far the ends of capsules are from a link's line, in the mean.
func farOff(capsules []kinematics.Capsule, line [2]r3.Vec) float64 {
	sum := 0.0
	for _, c := range capsules {
		sum += max(0, max(segmentsApart(c.From, c.From, line[0], line[1]), segmentsApart(c.To, c.To, line[0], line[1]))-c.Radius)
	}
	return sum / float64(len(capsules))
}

// segmentsApart is the distance between two segments, to a hundredth of the first one's length.
func segmentsApart(a, b, c, d r3.Vec) float64 {
	const steps = 100
	best := math.Inf(1)
	along, long := r3.Sub(d, c), r3.Norm2(r3.Sub(d, c))
	for i := range steps + 1 {
		p := r3.Add(a, r3.Scale(float64(i)/steps, r3.Sub(b, a)))
		s := 0.0
		if long > 0 {
			s = min(1, max(0, r3.Dot(r3.Sub(p, c), along)/long))
		}
		best = min(best, r3.Norm(r3.Sub(p, r3.Add(c, r3.Scale(s, along)))))
		if a == b {
			break
		}
	}
	return best
}

func (a *Arm) doubtTools(add adder) {
	reach := a.Geometry.Reach()
	if reach < inchesBelow {
		return // told already
	}
	for _, t := range a.Tools {
		at := t.TCP.Position
		long := r3.Norm(at)
		switch beside := math.Hypot(at.X, at.Y); {
		case long > 0 && long < 1:
			add("the TCP of tool %s is %s mm from the flange, as if its lengths were metres; they are mm here: %s mm would be usual", t.Name, form.Decimal(long), form.Decimal(math.Round(long*1000)))
			continue
		case beside > besideAxis && beside < oddlyBeside:
			add("the TCP of tool %s is %s mm beside the axis of the flange; on it, or well beside it, would be usual", t.Name, form.Decimal(beside))
		case long > reach:
			add("the TCP of tool %s is %s mm from the flange, farther than the arm reaches", t.Name, form.Decimal(math.Round(long)))
		}
		if at.Z < -besideAxis {
			add("the TCP of tool %s lies %s mm behind the face of the flange, whose Z points out of it", t.Name, form.Decimal(-at.Z))
		}
		if len(t.Body) == 0 && long > 20 {
			add("tool %s has no body, so that it is not drawn and cannot touch", t.Name)
		}
	}
	slim := slices.ContainsFunc(a.Body, func(c kinematics.Capsule) bool { return c.Radius < 1 })
	if slim {
		add("a body has a radius of less than 1 mm, as if it were metres; lengths are mm here")
	}
}
