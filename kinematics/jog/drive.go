package jog

import (
	"errors"
	"math"

	"handrule/kinematics"
)

const (
	// TickRate is the number of ticks a second.
	TickRate = 250
	// Tick is the length of one in seconds.
	Tick = 1.0 / TickRate

	// slowest is the part of the chosen path speed below which the arm is said to stand: a joint near a
	// singularity would hold it to less than this.
	slowest = 1e-3

	// limitTolerance in rad is what rounding may put a joint beyond its limit; it is then set on the limit.
	limitTolerance = 1e-12
)

// Drive is an arm in time: where its joints are, what it is doing, and why it last stopped. Copying a Drive copies
// the arm's state, so a copy can be run ahead to see what would happen.
type Drive struct {
	Speeds kinematics.Joints // of each joint over the last tick, rad/s
	Ticks  int64             // since the drive was made
	Slowed int               // the joint whose speed holds the path speed down, or Ceiling, or NotSlowed

	arm     *kinematics.Arm
	tool    kinematics.Pose // TCP in the flange's frame
	toolInv kinematics.Pose
	q       kinematics.Joints
	moving  bool
	path    path
	speed   float64 // along the path, mm/s or rad/s, after the ceiling
	done    float64 // along the path, mm or rad
	stop    Stop
}

// What else than a joint can be in Slowed.
const (
	NotSlowed = -1
	Ceiling   = 6 // the reduced speed of TCP and flange
)

// NewDrive returns an arm at rest with these joint angles. The tool is its TCP in the flange's frame.
func NewDrive(arm *kinematics.Arm, tool kinematics.Pose, q kinematics.Joints) *Drive {
	return &Drive{arm: arm, tool: tool, toolInv: tool.Inverse(), q: q, Slowed: NotSlowed}
}

// Arm returns the arm driven.
func (d *Drive) Arm() *kinematics.Arm { return d.arm }

// Joints returns the joint angles now.
func (d *Drive) Joints() kinematics.Joints { return d.q }

// Tool returns the TCP in the flange's frame.
func (d *Drive) Tool() kinematics.Pose { return d.tool }

// TCP returns the tool centre point in the base frame.
func (d *Drive) TCP() kinematics.Pose { return d.arm.Forward(d.q).Mul(d.tool) }

// Moving reports whether a jog is under way; Jog returns it, or the last one.
func (d *Drive) Moving() bool { return d.moving }

// Jog returns the jog under way, or the last one.
func (d *Drive) Jog() Jog { return d.path.jog }

// Stop returns why the last jog ended.
func (d *Drive) Stop() Stop { return d.stop }

// errMoving answers what can only be done at rest.
var errMoving = errors.New("the arm is moving; release it first")

// SetTool changes the tool of an arm at rest.
func (d *Drive) SetTool(tool kinematics.Pose) error {
	if d.moving {
		return errMoving
	}
	d.tool, d.toolInv = tool, tool.Inverse()
	return nil
}

// Start begins a jog from rest. The first Tick moves the arm, or stops it where it stands.
func (d *Drive) Start(j Jog) error {
	if err := j.Check(); err != nil {
		return err
	}
	if d.moving {
		return errMoving
	}
	d.path = newPath(d.arm, d.tool, d.q, j)
	d.speed = math.Min(j.Speed, d.path.ceiling(d.arm, d.tool, d.q))
	d.done, d.moving, d.stop = 0, true, Stop{}
	return nil
}

// Release ends the jog where the arm is.
func (d *Drive) Release() { d.end(Stop{Reason: Released}) }

// LoseLink ends a held jog that nobody renewed.
func (d *Drive) LoseLink() { d.end(Stop{Reason: LinkLost}) }

func (d *Drive) end(s Stop) {
	if !d.moving {
		return
	}
	s.Jog, s.Travel = d.path.jog, d.done
	d.stop, d.moving = s, false
	d.Speeds, d.Slowed = kinematics.Joints{}, NotSlowed
}

// Tick advances the arm by one tick and reports whether the jog goes on. At rest it only counts.
func (d *Drive) Tick() bool {
	d.Ticks++
	if !d.moving {
		return false
	}
	left := d.path.jog.Amount - d.done
	want := math.Min(d.speed*Tick, left)
	wanted := d.try(want)
	reached, got := want, wanted
	if !wanted.ok() {
		reached, got = d.furthest(want, wanted)
	}
	for i := range d.q {
		d.Speeds[i] = (got.q[i] - d.q[i]) / Tick
	}
	d.q = got.q
	d.done += reached
	d.Slowed = d.slowedBy(got)
	switch {
	case got.blocked != goingOn:
		d.end(d.explain(got, wanted, want))
	case reached == left:
		d.done = d.path.jog.Amount
		d.end(Stop{Reason: Done})
	}
	return d.moving
}

func (d *Drive) slowedBy(got attempt) int {
	switch {
	case got.slowed:
		return got.joint
	case d.speed < d.path.jog.Speed:
		return Ceiling
	}
	return NotSlowed
}

// block is what keeps the arm from a place further along the path.
type block int

const (
	goingOn  block = iota
	tooFar         // no joint angles put the TCP there
	atLimit        // a joint would be beyond its limit
	tooQuick       // a joint would have to be faster than it can be
)

// attempt is what came of trying a place along the path.
type attempt struct {
	q       kinematics.Joints
	blocked block
	joint   int     // at its limit, or the one whose speed is most exceeded
	ratio   float64 // that joint's needed speed over its highest
	slowed  bool    // the path speed had to give way to that joint
}

func (t attempt) ok() bool { return t.blocked == goingOn }

// try looks ds further along the path and says what is there. Nothing moves.
func (d *Drive) try(ds float64) attempt {
	t := attempt{q: d.q}
	if d.path.jog.Frame == JointFrame {
		t.q[d.path.jog.Axis] += d.path.unit * ds
	} else {
		q, found := d.arm.Track(d.path.tcp(d.done+ds).Mul(d.toolInv), d.q)
		if !found {
			t.blocked = tooFar
			return t
		}
		t.q = q
	}
	for i := range t.q {
		j := &d.arm.Joints[i]
		if ratio := math.Abs(t.q[i]-d.q[i]) / (j.Speed * Tick); ratio > t.ratio {
			t.ratio, t.joint = ratio, i
		}
	}
	if t.ratio > 1+1e-9 {
		t.blocked = tooQuick
		return t
	}
	for i := range t.q {
		j := &d.arm.Joints[i]
		// A joint that starts outside its limits may only come back.
		low, high := math.Min(j.Min, d.q[i]), math.Max(j.Max, d.q[i])
		switch {
		case t.q[i] > high+limitTolerance, t.q[i] < low-limitTolerance:
			t.blocked, t.joint = atLimit, i
			return t
		case t.q[i] > high:
			t.q[i] = high
		case t.q[i] < low:
			t.q[i] = low
		}
	}
	return t
}

// furthest returns the longest part of want that the arm can go in one tick, and what it finds there. blocked
// names what is behind that place when the arm must stop, and is goingOn when only the speed gave way.
func (d *Drive) furthest(want float64, beyond attempt) (float64, attempt) {
	lo, hi := 0.0, want
	at := attempt{q: d.q}
	for range 80 {
		part := 0.5
		if beyond.blocked == tooQuick {
			// The joints move nearly in proportion, so aim just below their highest speed.
			part = (0.999 - at.ratio) / (beyond.ratio - at.ratio)
			part = math.Min(math.Max(part, 0.001), 0.9)
		}
		mid := lo + part*(hi-lo)
		if t := d.try(mid); t.ok() {
			lo, at = mid, t
		} else {
			hi, beyond = mid, t
		}
		if beyond.blocked == tooQuick && at.ratio > 0.99 || hi-lo < 1e-12*want || hi < slowest*want {
			break
		}
	}
	if beyond.blocked == tooQuick && lo >= slowest*want {
		at.joint, at.slowed = beyond.joint, true
		return lo, at
	}
	beyond.q = at.q
	return lo, beyond
}
