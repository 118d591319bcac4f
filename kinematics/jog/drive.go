package jog

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/kinematics/clearance"
)

const (
	// TickRate is the number of ticks a second.
	TickRate = 250
	// Tick is the length of one in seconds.
	Tick = 1.0 / TickRate
)

// Drive is an arm in time: where its joints are, what it is doing, and why it last stopped. It is small while the arm
// stands; what a motion needs is made when one starts. It must not be copied as a value; Copy does it.
type Drive struct {
	Speeds kinematics.Joints // of each joint over the last tick, rad/s
	Ticks  int64             // since the drive was made
	Slowed int               // the joint whose speed holds the path speed down, or Ceiling, or NotSlowed

	_ notCopied

	setup *Setup // not changed, but replaced
	q     kinematics.Joints

	// Of the jog under way, or the last one:
	jog     Jog
	undo    float64           // how long the path is that is run back, mm or rad; 0 where the jog is no undo
	from    kinematics.Joints // where it began
	began   int64             // the tick at which it did
	letGo   int64             // how many ticks later it was released or its link was lost; never: 0
	steered bool              // its pace or bound was changed on the way
	turning kinematics.Joints // Speeds of the last tick in which a joint turned
	now     moment
	stop    Stop

	motion *motion // nil while the arm stands
}

// motion is a jog under way.
type motion struct {
	path   path
	limits limits
	pace   float64 // per s, the speed that is wanted now, at most that of the limits
	bound  float64 // the place that the arm is not to go beyond for now, +Inf for none
	capped int     // what holds the speed down on the whole path
	ahead  lookout
	plan   plan

	marked int64   // the tick at which it was last seen that the arm gets on,
	mark   float64 // and its place then

	halted  bool    // the arm stands where its path turned out to be blocked, and by what is being worked out
	braking Reason  // why the arm comes to rest before its jog is over, "" while it does not
	rest    float64 // where it will stand then
}

// notCopied makes vet complain of a copy: two drives with one motion would run into each other.
type notCopied struct{}

func (*notCopied) Lock()   {}
func (*notCopied) Unlock() {}

// stillest in rad/s is what rounding can make of the speed of a joint that does not turn.
const stillest = 1e-6

// What else than a joint can be in Slowed.
const (
	NotSlowed = -1
	Ceiling   = 6 // the reduced speed of TCP and flange
)

// New returns an arm at rest with these joint angles.
func New(setup Setup, q kinematics.Joints) (*Drive, error) {
	if err := setup.check(); err != nil {
		return nil, err
	}
	return &Drive{setup: &setup, q: q, from: q, Slowed: NotSlowed}, nil
}

// NewDrive returns an arm at rest that stands alone: its base frame is the world frame, and there is nothing to touch.
// The tool is its TCP in the flange's frame.
func NewDrive(arm *kinematics.Arm, tool kinematics.Pose, q kinematics.Joints) *Drive {
	return &Drive{setup: &Setup{Arm: arm, Tool: kinematics.Tool{TCP: tool}, Mount: kinematics.Identity}, q: q, from: q, Slowed: NotSlowed}
}

// Copy returns a drive that does what this one does and goes its own way from now on, so that it can be run ahead to see
// what would happen.
func (d *Drive) Copy() *Drive {
	c := &Drive{
		Speeds: d.Speeds, Ticks: d.Ticks, Slowed: d.Slowed, setup: d.setup, q: d.q,
		jog: d.jog, undo: d.undo, from: d.from, began: d.began, letGo: d.letGo, steered: d.steered, turning: d.turning, now: d.now, stop: d.stop,
	}
	if d.motion != nil {
		m := *d.motion
		m.ahead.path, m.ahead.plan, m.ahead.asking = &m.path, &m.plan, m.ahead.asking.clone()
		if d.setup.Scene != nil {
			m.ahead.bodies = d.setup.Scene.NewBodies()
		}
		c.motion = &m
	}
	return c
}

// Standing returns a drive of the same arm that stands where this one is now, and has no past.
func (d *Drive) Standing() *Drive {
	return &Drive{setup: d.setup, q: d.q, from: d.q, Slowed: NotSlowed}
}

// Setup returns what stands around the motion.
func (d *Drive) Setup() Setup { return *d.setup }

// Arm returns the arm driven.
func (d *Drive) Arm() *kinematics.Arm { return d.setup.Arm }

// Joints returns the joint angles now.
func (d *Drive) Joints() kinematics.Joints { return d.q }

// From returns the joint angles where the jog under way, or the last one, began; before the first, those now.
func (d *Drive) From() kinematics.Joints { return d.from }

// Tool returns the TCP in the flange's frame.
func (d *Drive) Tool() kinematics.Pose { return d.setup.Tool.TCP }

// TCP returns the tool centre point in the base frame.
func (d *Drive) TCP() kinematics.Pose { return d.setup.Arm.Forward(d.q).Mul(d.setup.Tool.TCP) }

// Moving reports whether a jog is under way, which it is until the arm stands.
func (d *Drive) Moving() bool { return d.motion != nil }

// Ending reports whether the arm is coming to rest because it was released or its link was lost.
func (d *Drive) Ending() bool { return d.motion != nil && d.motion.braking != "" }

// Jog returns the jog under way, or the last one.
func (d *Drive) Jog() Jog { return d.jog }

// Stop returns why the last jog ended.
func (d *Drive) Stop() Stop { return d.stop }

// Elapsed returns how many ticks ago the jog under way, or the last one, began.
func (d *Drive) Elapsed() int64 { return d.Ticks - d.began }

// Travel returns how far the jog has got, mm or rad.
func (d *Drive) Travel() float64 { return d.now.s }

// PathSpeed returns the speed and the acceleration along the path now, per s and s², of mm or rad.
func (d *Drive) PathSpeed() (speed, accel float64) { return d.now.v, d.now.a }

// StoppingDistance returns how far along its path the arm would still go if it were released now, mm or rad, and for
// how long, s. Where something on the path ends the jog earlier, it stands earlier.
func (d *Drive) StoppingDistance() (distance, time float64) {
	if d.motion == nil {
		return 0, 0
	}
	return d.motion.limits.stopping(d.now)
}

// LongestStop returns how far the arm would go after a release at the full speed of the jog, mm or rad, and for how
// long, s. It moves nothing.
func (d *Drive) LongestStop(j Jog) (distance, time float64, err error) {
	if err := j.Check(); err != nil {
		return 0, 0, err
	}
	p, err := newPath(d.setup, d.q, j)
	if err != nil {
		return 0, 0, err
	}
	l, _ := p.limits(d.setup)
	distance, time = l.stopping(moment{v: l.speed})
	return distance, time, nil
}

// Demand returns the speeds, rad/s, that the joints would need for the chosen path speed where the arm is now. Where
// the path is slowed one of them is higher than the joint's highest. All are zero at rest.
func (d *Drive) Demand() (speeds kinematics.Joints) {
	if d.motion == nil || d.now.v <= 0 {
		return speeds
	}
	for i, speed := range d.Speeds {
		speeds[i] = speed * d.motion.limits.speed / d.now.v
	}
	return speeds
}

// Clearance returns the two parts of arm, tool and cell that are nearest to each other, and false where nothing can
// touch anything.
func (d *Drive) Clearance() (clearance.Pair, bool) {
	if d.setup.Scene == nil {
		return clearance.Pair{}, false
	}
	p := d.setup.Scene.Smallest(d.setup.Arm.Links(d.q))
	return p, !math.IsInf(p.Distance, 1)
}

// ErrMoving is the error of what can only be done at rest.
var ErrMoving = errors.New("the arm is moving; wait until it stands")

// SetTool changes the TCP of an arm at rest, and nothing else about the tool; see Refit.
func (d *Drive) SetTool(tool kinematics.Pose) error {
	if d.motion != nil {
		return ErrMoving
	}
	setup := *d.setup
	setup.Tool.TCP = tool
	d.setup = &setup
	return nil
}

// Refit changes what stands around an arm at rest: its tool, mount, cell or set distance, all but the arm.
func (d *Drive) Refit(setup Setup) error {
	if d.motion != nil {
		return ErrMoving
	}
	if err := setup.check(); err != nil {
		return err
	}
	if setup.Arm != d.setup.Arm {
		return errors.New("another arm needs a drive of its own")
	}
	d.setup = &setup
	return nil
}

// Start begins a jog from rest. The first Tick moves the arm, or stops it where it stands.
func (d *Drive) Start(j Jog) error {
	if d.motion != nil {
		return ErrMoving
	}
	if err := j.Check(); err != nil {
		return err
	}
	p, err := newPath(d.setup, d.q, j)
	if err != nil {
		return err
	}
	d.begin(p, 0)
	return nil
}

// begin begins a jog along the path, which is an undo where it is run back from a length.
func (d *Drive) begin(p path, undo float64) {
	d.jog, d.undo, d.from, d.began, d.letGo, d.steered = p.jog, undo, d.q, d.Ticks, 0, false
	d.turning, d.now, d.stop = kinematics.Joints{}, moment{}, Stop{}
	m := &motion{path: p, bound: math.Inf(1), marked: d.Ticks}
	m.limits, m.capped = p.limits(d.setup)
	m.pace = m.limits.speed
	m.ahead.plan = &m.plan
	if undo > 0 {
		m.ahead.standOrLead(d.setup, &d.q, &p.joints)
	} else {
		m.ahead.stand(d.setup, &d.q)
	}
	m.ahead.begin(&m.path, m.limits.speed)
	d.motion = m
}

// Release lets go: the arm slows down along its path and stands StoppingDistance further on.
func (d *Drive) Release() { d.brake(Released) }

// LoseLink ends a held jog that nobody renewed, just as Release does.
func (d *Drive) LoseLink() { d.brake(LinkLost) }

func (d *Drive) brake(why Reason) {
	m := d.motion
	if m == nil {
		return
	}
	if m.braking == "" {
		distance, _ := m.limits.stopping(d.now)
		m.rest, d.letGo = d.now.s+distance, d.Elapsed()
	}
	m.braking = why
}

func (d *Drive) end(s Stop) {
	s.Jog, s.Travel = d.jog, d.now.s
	if d.jog.AboutTCP() {
		s.Strayed = r3.Norm(r3.Sub(d.TCP().Position, d.motion.path.from.Position))
	}
	for i, q := range d.q {
		s.Turned[i] = q - d.from[i]
	}
	d.stop, d.motion = s, nil
	d.now.v, d.now.a = 0, 0
	d.Speeds, d.Slowed = kinematics.Joints{}, NotSlowed
}

// Tick advances the arm by one tick and reports whether the jog goes on. At rest it only counts.
func (d *Drive) Tick() bool {
	d.Ticks++
	m := d.motion
	if m == nil {
		return false
	}
	next, ends := d.choose(m)
	q := d.follow(m, &next, &ends)
	turns := false
	for i := range d.q {
		d.Speeds[i] = (q[i] - d.q[i]) / Tick
		turns = turns || math.Abs(d.Speeds[i]) > stillest
	}
	if turns {
		d.turning = d.Speeds
	}
	d.q, d.now = q, next
	m.plan.drop(d.now.s)
	if ends.Reason == "" && !m.halted && d.creeps(m) {
		m.ahead.s, m.ahead.q = d.now.s, d.q
		ends = m.halt(d.now.s, &d.q, m.ahead.uncertain(), resolution, nil)
	}
	if ends.Reason != "" {
		d.end(ends)
	}
	return d.motion != nil
}

// patience is after how many ticks an arm under way has to have got on.
const patience = TickRate

// creeps reports whether the arm has stood, or as good as stood, for so long although nobody holds it back. It bounds how many
// ticks a jog can take: at least a thousandth of its speed is kept up.
func (d *Drive) creeps(m *motion) bool {
	if m.braking != "" || !math.IsInf(m.bound, 1) {
		m.marked, m.mark = d.Ticks, d.now.s
		return false
	}
	if d.Ticks-m.marked < patience {
		return false
	}
	gained := d.now.s - m.mark
	m.marked, m.mark = d.Ticks, d.now.s
	return gained < slowest*m.pace*patience*Tick
}
