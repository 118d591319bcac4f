package jog

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
)

// explain turns what blocks the path into a Stop: nearest is what blocks it at the place where the arm stands,
// wanted is what was found at the end of the tick it could not complete, which was to go over want.
func (d *Drive) explain(nearest, wanted attempt, want float64) Stop {
	switch {
	case nearest.blocked == atLimit:
		j := d.arm.Joints[nearest.joint]
		limit := j.Max
		if math.Abs(d.q[nearest.joint]-j.Min) < math.Abs(d.q[nearest.joint]-j.Max) {
			limit = j.Min
		}
		return Stop{Reason: JointLimit, Joint: nearest.joint, Limit: limit}
	case wanted.blocked == tooFar && d.elsewhere(&wanted, want):
		// Only a leap to other joint angles would do it: the arm stands where its ways part.
	case nearest.blocked == tooFar || wanted.blocked == tooFar:
		// Joints race on the last stretch to where the arm is straight; that is the end of its reach all the same.
		return Stop{Reason: OutOfReach, Short: d.short(want)}
	}
	j := d.arm.Joints[wanted.joint]
	s := Stop{Reason: Singularity, Joint: wanted.joint, Over: want, Allowed: j.Speed}
	s.Needed = wanted.ratio * j.Speed
	s.Turn = s.Needed * Tick
	near := d.arm.Singularity(d.q, d.tool)
	s.Kind, s.Wrist, s.InLine = near.Kind, d.q[4], d.wristInLine()
	return s
}

// wristInLine reports whether joint 6 sits on the axis of joint 4, to 0.1 mm, so that the two axes lie in one line
// where they are parallel. On an arm whose wrist is offset they can only be parallel.
func (d *Drive) wristInLine() bool {
	links, joints := d.arm.Links(d.q), d.arm.Joints
	axis := links[4].Rotation.Apply(joints[3].Axis)
	apart := r3.Sub(links[6].Apply(joints[5].At), links[4].Apply(joints[3].At))
	return r3.Norm(r3.Cross(axis, apart)) < 0.1
}

// elsewhere looks for joint angles that put the TCP at want although none are close by. It notes the joint that
// would have to leap farthest for the nearest of them.
func (d *Drive) elsewhere(wanted *attempt, want float64) bool {
	var found [16]kinematics.Solution
	target := d.path.tcp(d.done + want).Mul(d.toolInv)
	nearest := math.Inf(1)
	for _, s := range d.arm.Inverse(found[:0], target, d.q) {
		if s.Distance >= nearest {
			continue
		}
		nearest, wanted.ratio = s.Distance, 0
		for i := range s.Joints {
			if ratio := math.Abs(s.Joints[i]-d.q[i]) / (d.arm.Joints[i].Speed * Tick); ratio > wanted.ratio {
				wanted.ratio, wanted.joint = ratio, i
			}
		}
	}
	return !math.IsInf(nearest, 1)
}

// lookAhead is how far beyond the stop a held jog is taken to want to go: 10 mm, or 10°.
func (j Jog) lookAhead() float64 {
	if j.Straight() {
		return 10
	}
	return kinematics.Radians(10)
}

// short returns how many mm the arm is too short for the rest of the jog.
func (d *Drive) short(want float64) float64 {
	rest := d.path.jog.Amount - d.done
	if d.path.jog.Held() {
		rest = d.path.jog.lookAhead()
	}
	return d.arm.OutOfReach(d.path.tcp(d.done+math.Max(rest, want)).Mul(d.toolInv), d.q)
}
