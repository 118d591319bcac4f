package jog

import (
	"math"
	"sort"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
)

// ReducedSpeed is the highest speed of the TCP and of the flange in mm/s while people jog (ISO 10218-1, reduced
// speed control: the tool centre point at no more than 250 mm/s; from memory of the standard).
const ReducedSpeed = 250.0

// path is the way of a jog, laid down once when it starts, so that nothing accumulates along it. Its places are
// counted from 0 to the jog's amount, mm or rad.
type path struct {
	jog    Jog
	joints kinematics.Joints // at its beginning
	parts  kinematics.Joints // of each joint, for a jog in the joint frame

	from    kinematics.Pose // the TCP at its beginning, in the base frame
	way     r3.Vec          // unit vector of the straight part in the base frame; zero for a turn
	axis    r3.Vec          // unit vector of the turn's axis in the base frame
	turn    float64         // rad turned in each unit of the path
	toolInv kinematics.Pose

	// Where the arm can stand in infinitely many ways at the path's beginning, and so all along it, it stands in the way
	// nearest to these joints, from their place on.
	homes     [mostHomes]node
	homeCount int

	steps int // of iteration that it has taken so far to find joint angles along it

	back   bool // the path is run from its end to its beginning, to undo it
	length float64
	lean   kinematics.Joints // a small turn towards where it leads back to
	known  []node            // joint angles along it from its beginning on, as they were driven; nil where they are not known
}

func newPath(setup *Setup, q kinematics.Joints, j Jog) (path, error) {
	p := path{jog: j, joints: q, toolInv: setup.Tool.TCP.Inverse()}
	p.from = setup.Arm.Forward(q).Mul(setup.Tool.TCP)
	parts := j.parts()
	if j.Frame == JointFrame {
		p.parts = parts
		return p, nil
	}
	frame, err := setup.Frame(j.Frame, j.Task, p.from)
	if err != nil {
		return p, err
	}
	straight := frame.Rotation.Apply(r3.Vec{X: parts[0], Y: parts[1], Z: parts[2]})
	turn := frame.Rotation.Apply(r3.Vec{X: parts[3], Y: parts[4], Z: parts[5]})
	if j.Straight() {
		p.way = r3.Unit(straight)
	}
	if p.turn = r3.Norm(turn); p.turn > 0 {
		p.axis = r3.Scale(1/p.turn, turn)
	}
	if setup.Arm.Free(q) {
		p.settleFrom(0, &q)
	}
	return p, nil
}

// reversed returns the first part of the path, of that length, run backwards. Lean tells which way the joints came to its
// end, see Entry.
func (p path) reversed(length float64, lean [6]int8) path {
	p.back, p.length, p.homeCount = true, length, min(p.homeCount, 1)
	p.jog = p.jog.Reversed()
	p.jog.Amount = length
	for i, part := range lean {
		p.lean[i] = -leanBy * float64(part) / math.MaxInt8
	}
	return p
}

// driven returns joint angles all along the path that a jog was driven along, from its beginning to where it ended after so much
// of it, to. It looks along the path as the jog did, without what takes time and what may be touched, so that an undo can go back
// the same way wherever several meet. It returns nil where that does not lead to the same end.
func (p path) driven(setup *Setup, travel float64, to *kinematics.Joints) []node {
	p.jog.Amount = travel
	var a lookout
	a.stand(&Setup{Arm: setup.Arm, Mount: setup.Mount, Tool: setup.Tool, Tasks: setup.Tasks}, &p.joints)
	a.begin(&p, 1e-12) // no joint is too slow for that
	way := []node{{0, p.joints}}
	for a.look() && !a.blocked() && len(way) < mostKnown {
		way = append(way, node{a.s, a.q})
	}
	last := &way[len(way)-1]
	switch {
	case farthestTurn(&last.q, to) > sameJoints && travel > p.stride():
		return nil
	case farthestTurn(&last.q, to) > sameJoints: // it hardly went anywhere, and only shared turns in another way
		return []node{{0, p.joints}, {travel, *to}}
	case travel-last.s < snap && len(way) > 1:
		*last = node{travel, *to}
	default:
		way = append(way, node{travel, *to})
	}
	return way
}

// mostKnown is how many places of a way driven are kept at most.
const mostKnown = 1 << 14

// passed returns joint angles near those with which the place s of a path that is run back was passed before.
func (p *path) passed(s float64) (q kinematics.Joints) {
	s = p.place(s)
	k := sort.Search(len(p.known), func(k int) bool { return p.known[k].s >= s })
	k = min(max(k, 1), len(p.known)-1)
	from, to := &p.known[k-1], &p.known[k]
	part := (s - from.s) / (to.s - from.s)
	for i := range q {
		q[i] = from.q[i] + part*(to.q[i]-from.q[i])
	}
	return q
}

// leanBy in rad is how far the joints lean towards the way back.
const leanBy = 1e-3

// leaning returns joint angles at the beginning of the path, moved a little towards where it leads. A jog may have ended
// where two ways to stand meet, as where the arm is straight; its undo has to take the one that it came by.
func (p *path) leaning(q kinematics.Joints) kinematics.Joints {
	for i, lean := range p.lean {
		q[i] += lean
	}
	return q
}

// place returns how far from the path's beginning the place s is.
func (p *path) place(s float64) float64 {
	if p.back {
		return p.length - s
	}
	return s
}

// tcp returns where the TCP of a straight or turning jog is at the place s.
func (p *path) tcp(s float64) kinematics.Pose {
	s = p.place(s)
	to := p.from
	if p.jog.Straight() {
		to.Position = r3.Add(p.from.Position, r3.Scale(s, p.way))
	}
	if p.turn != 0 {
		to.Rotation = kinematics.RotationAbout(p.axis, p.turn*s).Mul(p.from.Rotation)
	}
	return to
}

// jointsAt returns the joint angles at the place s that are continuous with near, and false where there are none. Of
// infinitely many they are those nearest to the joints at the path's beginning, if it begins among such, so that they are the
// same in whatever steps the path is followed.
func (p *path) jointsAt(arm *kinematics.Arm, s float64, near *kinematics.Joints) (kinematics.Joints, bool) {
	home := near
	for i := range p.homeCount {
		if p.homes[i].s <= s {
			home = &p.homes[i].q
		}
	}
	return p.jointsNear(arm, s, near, home)
}

// jointsNear does the same, but of infinitely many joint angles they are those nearest to home.
func (p *path) jointsNear(arm *kinematics.Arm, s float64, near, home *kinematics.Joints) (kinematics.Joints, bool) {
	if p.jog.Frame != JointFrame {
		q, steps, found := arm.Follow(p.tcp(s).Mul(p.toolInv), *near, *home)
		p.steps += steps
		if p.place(s) <= 0 && (p.known != nil || found && farthestTurn(&q, &p.joints) < sameStart) {
			return p.joints, true
		}
		return q, found
	}
	q := p.joints
	if s = p.place(s); p.back && s <= 0 {
		return q, true
	}
	for i, part := range p.parts {
		q[i] += part * s
	}
	return q, true
}

// onLimits sets joints on their limits that are beyond them by no more than rounding, at the place s. It returns the joint that is
// farthest beyond one of those that are beyond them by more, and how far; where there is none −1, and how far one was set back at
// most. A joint that starts outside its limits, from, may only come back.
func (p *path) onLimits(setup *Setup, s float64, q, from *kinematics.Joints) (which int, over float64) {
	if setup.Arm.Within(*q) {
		return -1, 0
	}
	onto := func(q *kinematics.Joints) (held [6]bool) {
		which, over = -1, 0
		for i := range q {
			j := &setup.Arm.Joints[i]
			on := math.Min(math.Max(q[i], math.Min(j.Min, from[i])), math.Max(j.Max, from[i]))
			by := math.Abs(on - q[i])
			q[i], held[i] = on, by > 0
			if over = math.Max(over, by); by > limitTolerance && by == over {
				which = i
			}
		}
		return held
	}
	on := *q
	held := onto(&on)
	if which >= 0 && over < straightTurn && p.jog.Frame != JointFrame && !p.takesOver(setup, &on, which) {
		// Next to a singularity rounding turns joints farther than that: by what it leaves of a flange over the smallest singular
		// value. There the arm can stand with them on their limits too.
		joint, by := which, over
		to := p.tcp(s)
		other := setup.Arm.Held(to.Mul(p.toolInv), on, held)
		onto(&other)
		move, turn := setup.Arm.Forward(other).Mul(setup.Tool.TCP).Twist(to)
		if which < 0 && r3.Norm(move) < 1e-7 && r3.Norm(turn) < limitTolerance && farthestTurn(&other, &on) < straightTurn {
			on = other
		} else {
			which, over = joint, by
		}
	}
	*q = on
	return which, over
}

// takesOver reports whether the arm can stand in infinitely many ways at q, in which others take over what the joint turns.
func (p *path) takesOver(setup *Setup, q *kinematics.Joints, joint int) bool {
	return p.homeCount > 0 && setup.Arm.Free(*q) && math.Abs(setup.Arm.Singularity(*q, setup.Tool.TCP).Racing[joint]) > 1e-3
}

// mostHomes is how many joints a path may have that the arm stands nearest to.
const mostHomes = 4

// settleFrom has the arm stand nearest to these joints from the place s on. It reports false where there are too many such.
func (p *path) settleFrom(s float64, q *kinematics.Joints) bool {
	if p.homeCount == mostHomes || p.homeCount > 0 && p.homes[p.homeCount-1].s == s {
		return false
	}
	p.homes[p.homeCount] = node{s, *q}
	p.homeCount++
	return true
}

// sameStart in rad is what rounding may leave between the joints at the beginning of the path and those that are computed
// for it. A jog that is undone to its beginning ends at the former, so that it leaves nothing behind.
const sameStart = 1e-6

// ceiling returns the highest speed along the path, mm/s or rad/s, at which neither the TCP nor the flange is
// faster than ReducedSpeed anywhere on it. For several joints together that changes along the way: see look.
func (p *path) ceiling(setup *Setup) float64 {
	through, axis, turn := p.from.Position, p.axis, p.turn
	if p.jog.Frame == JointFrame {
		if p.jog.Several() {
			return math.Inf(1)
		}
		link, joint := setup.Arm.Links(p.joints)[p.jog.Axis], setup.Arm.Joints[p.jog.Axis]
		axis, through, turn = link.Rotation.Apply(joint.Axis), link.Apply(joint.At), 1
	}
	straight, radius := 0.0, 0.0
	if p.jog.Straight() {
		straight = 1
	}
	for _, point := range [2]r3.Vec{p.from.Position, p.from.Mul(p.toolInv).Position} {
		radius = math.Max(radius, r3.Norm(r3.Cross(axis, r3.Sub(point, through))))
	}
	return ReducedSpeed / (straight + turn*radius) // +Inf where both lie on the axis
}

// limits returns what bounds the motion along the path, and what holds its speed down already: a joint, Ceiling or
// NotSlowed.
func (p *path) limits(setup *Setup) (limits, int) {
	l, slowed := limits{speed: p.jog.Speed}, NotSlowed
	if most := p.ceiling(setup); most < l.speed {
		l.speed, slowed = most, Ceiling
	}
	switch {
	case p.jog.Frame == JointFrame:
		l.accel = TurnAccel
		for i, part := range p.parts {
			part = math.Abs(part)
			j := &setup.Arm.Joints[i]
			if j.Speed < l.speed*part {
				l.speed, slowed = j.Speed/part, i
			}
			if j.Accel > 0 && j.Accel < l.accel*part {
				l.accel = j.Accel / part
			}
		}
	case !p.jog.Straight():
		l.accel = TurnAccel
	default:
		l.accel = math.Min(PathAccel, TurnAccel/p.turn)
	}
	l.jerk = l.accel / RampTime
	return l, slowed
}

// stride is the first step, mm or rad, in which the path is looked along.
func (p *path) stride() float64 {
	if p.jog.Straight() {
		return math.Min(1, 0.01/p.turn)
	}
	return 0.01
}

// widest is the longest stride, mm or rad. A joint by itself does not have to follow anything, and may be looked along farther.
func (p *path) widest() float64 {
	if p.ofOneJoint() {
		return 1
	}
	return 16 * p.stride()
}

// mostTurn is how far a joint may turn in a stride, rad.
func (p *path) mostTurn() float64 {
	switch {
	case p.ofOneJoint():
		return math.Inf(1)
	case p.jog.Frame == JointFrame:
		return severalTurn
	}
	return mostTurn
}

func (p *path) ofOneJoint() bool { return p.jog.Frame == JointFrame && !p.jog.Several() }
