package jog

import (
	"math"

	"handrule/kinematics"
)

// Recording is how the joints went through one jog.
type Recording struct {
	Jog    Jog
	Back   bool // the jog was an undo
	Done   bool // the arm stands
	Turns  []Turn
	Work   kinematics.Joints // how far each joint went, to and fro, rad
	Slowed [6]bool           // the joint's highest speed held the jog back

	samples []Sample // evenly spaced in time
	every   int      // ticks between them
	ticks   int
	now     Sample
	before  Sample // a tick earlier
	start   Sample
	turning [6]turning
	nearest [6]nearest
}

// Sample is a moment of a jog.
type Sample struct {
	Travel float64 // along the jog's path, mm or rad
	Time   float64 // since the jog began, s
	Joints kinematics.Joints
	Speeds kinematics.Joints // rad/s
}

// Turn is where a joint changed its direction.
type Turn struct {
	Joint int
	Sample
}

// Nearest is where a joint was nearest to a limit.
type Nearest struct {
	Upper bool    // which of its limits
	Left  float64 // rad
	Sample
}

const (
	samplesKept = 192 // of a recording; when there are more, every other is given up
	turnsKept   = 24
	// turnBack is how far a joint must come back before it counts as having changed its direction, rad: what is left of
	// a tenth of a degree on the page, and far more than rounding.
	turnBack = 0.05 * math.Pi / 180
	// nearLimit is how near to a limit is worth a word, rad (common practice, no source).
	nearLimit = 10 * math.Pi / 180
)

// lastSample is a sample that is the recording's latest one as long as the joint goes on the same way. It is copied when that is
// over, and not at every tick.
type lastSample struct {
	Sample
	isNow bool
}

// over keeps the sample, which was the latest one until now.
func (s *lastSample) over(before *Sample) {
	if s.isNow {
		s.Sample, s.isNow = *before, false
	}
}

func (s *lastSample) in(r *Recording) Sample {
	if s.isNow {
		return r.now
	}
	return s.Sample
}

// turning follows one joint to where it changes its direction.
type turning struct {
	way      float64 // +1 or -1, 0 until it has gone far enough to tell
	farthest float64 // rad
	at       lastSample
}

// nearest follows one joint to where it is nearest to a limit.
type nearest struct {
	upper bool
	left  float64 // rad
	at    lastSample
}

// Samples returns the moments kept, from the jog's beginning to where it is now: at most a fixed number, evenly spaced.
func (r *Recording) Samples() []Sample {
	samples := append([]Sample(nil), r.samples...)
	if last := len(samples) - 1; last < 0 || samples[last].Time < r.now.Time {
		samples = append(samples, r.now)
	}
	return samples
}

// Nearest returns where a joint was nearest to a limit of its own.
func (r *Recording) Nearest(joint int) Nearest {
	n := &r.nearest[joint]
	return Nearest{Upper: n.upper, Left: n.left, Sample: n.at.in(r)}
}

// Approached reports whether a joint came near a limit and nearer than it stood when the jog began.
func (r *Recording) Approached(joint int, arm *kinematics.Arm) bool {
	_, atStart := leftOf(arm, joint, r.start.Joints[joint])
	left := r.nearest[joint].left
	return left < nearLimit && left < atStart-turnBack
}

// leftOf returns how far a joint may turn to the nearer of its limits, rad.
func leftOf(arm *kinematics.Arm, joint int, angle float64) (upper bool, left float64) {
	j := &arm.Joints[joint]
	down, up := angle-j.Min, j.Max-angle
	return up < down, math.Min(up, down)
}

func newRecording(d *Drive) *Recording {
	start := Sample{Joints: d.from}
	r := &Recording{Jog: d.jog, Back: d.undo > 0, every: 1, now: start, start: start}
	r.samples = append(make([]Sample, 0, samplesKept), start)
	for i := range r.turning {
		r.turning[i].farthest, r.turning[i].at.isNow = start.Joints[i], true
		n := &r.nearest[i]
		n.upper, n.left = leftOf(d.setup.Arm, i, start.Joints[i])
		n.at.isNow = true
	}
	return r
}

func (r *Recording) take(d *Drive) {
	r.ticks++
	r.before = r.now
	now, before := &r.now, &r.before
	now.Travel, now.Time, now.Joints, now.Speeds = d.now.s, float64(r.ticks)*Tick, d.q, d.Speeds
	r.Done = d.motion == nil
	if d.Slowed >= 0 && d.Slowed < len(r.Slowed) {
		r.Slowed[d.Slowed] = true
	}
	for i, angle := range now.Joints {
		r.Work[i] += math.Abs(angle - before.Joints[i])
		r.nearest[i].follow(d.setup.Arm, i, angle, before)
		if turn, turned := r.turning[i].follow(i, angle, before); turned && len(r.Turns) < turnsKept {
			r.Turns = append(r.Turns, turn)
		}
	}
	if r.ticks%r.every != 0 {
		return
	}
	if len(r.samples) == samplesKept {
		for i := range samplesKept / 2 {
			r.samples[i] = r.samples[2*i]
		}
		r.samples = r.samples[:samplesKept/2]
		r.every *= 2
		if r.ticks%r.every != 0 {
			return
		}
	}
	r.samples = append(r.samples, r.now)
}

func (n *nearest) follow(arm *kinematics.Arm, joint int, angle float64, before *Sample) {
	if upper, left := leftOf(arm, joint, angle); left < n.left {
		n.upper, n.left, n.at.isNow = upper, left, true
	} else {
		n.at.over(before)
	}
}

// follow tells where the joint changed its direction once it has come back from there.
func (t *turning) follow(joint int, angle float64, before *Sample) (turn Turn, turned bool) {
	gone := angle - t.farthest
	if t.way == 0 {
		if t.at.over(before); math.Abs(gone) > turnBack {
			t.way, t.farthest, t.at.isNow = math.Copysign(1, gone), angle, true
		}
		return Turn{}, false
	}
	if gone*t.way > 0 {
		t.farthest, t.at.isNow = angle, true
		return Turn{}, false
	}
	t.at.over(before)
	if turned = gone*t.way < -turnBack; turned {
		turn = Turn{Joint: joint, Sample: t.at.Sample}
		t.way, t.farthest, t.at.isNow = -t.way, angle, true
	}
	return turn, turned
}

// Recorder keeps the recordings of the last jog in a frame and of the last one in the joint frame, in bounded memory.
type Recorder struct {
	InFrame, OfJoint *Recording // nil before the first

	now   *Recording
	began int64
}

// Take takes note of a tick that the drive has just made of a jog.
func (r *Recorder) Take(d *Drive) {
	if r.now == nil || r.began != d.began {
		r.Break()
		r.now, r.began = newRecording(d), d.began
		if d.jog.Frame == JointFrame {
			r.OfJoint = r.now
		} else {
			r.InFrame = r.now
		}
	}
	if !d.Waiting() {
		r.now.take(d)
	}
	if d.motion == nil {
		r.now = nil
	}
}

// Now returns the recording of the jog under way, nil for none.
func (r *Recorder) Now() *Recording { return r.now }

// Break ends the recording of a jog whose drive is no more.
func (r *Recorder) Break() {
	if r.now != nil {
		r.now.Done, r.now = true, nil
	}
}

// Ticks is how many ticks of the jog are in the recording.
func (r *Recording) Ticks() int { return r.ticks }
