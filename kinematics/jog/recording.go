package jog

import (
	"math"

	"handrule/kinematics"
)

// Recording is how the joints went through one jog.
type Recording struct {
	Jog     Jog
	Back    bool // the jog was an undo
	Done    bool // the arm stands
	Turns   []Turn
	Nearest [6]Nearest        // of each joint to a limit of its own
	Work    kinematics.Joints // how far each joint went, to and fro, rad
	Slowed  [6]bool           // the joint's highest speed held the jog back

	samples []Sample // evenly spaced in time
	every   int      // ticks between them
	ticks   int
	now     Sample
	start   Sample
	turning [6]turning
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

// turning follows one joint to where it changes its direction.
type turning struct {
	way      float64 // +1 or -1, 0 until it has gone far enough to tell
	farthest Sample
}

// Samples returns the moments kept, from the jog's beginning to where it is now: at most a fixed number, evenly spaced.
func (r *Recording) Samples() []Sample {
	samples := append([]Sample(nil), r.samples...)
	if last := len(samples) - 1; last < 0 || samples[last].Time < r.now.Time {
		samples = append(samples, r.now)
	}
	return samples
}

// Approached reports whether a joint came near a limit and nearer than it stood when the jog began.
func (r *Recording) Approached(joint int, arm *kinematics.Arm) bool {
	atStart := nearest(arm, joint, r.start)
	return r.Nearest[joint].Left < nearLimit && r.Nearest[joint].Left < atStart.Left-turnBack
}

func nearest(arm *kinematics.Arm, joint int, s Sample) Nearest {
	j := &arm.Joints[joint]
	down, up := s.Joints[joint]-j.Min, j.Max-s.Joints[joint]
	return Nearest{Upper: up < down, Left: math.Min(up, down), Sample: s}
}

func newRecording(d *Drive) *Recording {
	start := Sample{Joints: d.from}
	r := &Recording{Jog: d.jog, Back: d.undo > 0, every: 1, now: start, start: start}
	r.samples = append(make([]Sample, 0, samplesKept), start)
	for i := range r.turning {
		r.turning[i].farthest = start
		r.Nearest[i] = nearest(d.setup.Arm, i, start)
	}
	return r
}

func (r *Recording) take(d *Drive) {
	r.ticks++
	before := r.now.Joints
	r.now = Sample{Travel: d.now.s, Time: float64(r.ticks) * Tick, Joints: d.q, Speeds: d.Speeds}
	r.Done = d.motion == nil
	if d.Slowed >= 0 && d.Slowed < len(r.Slowed) {
		r.Slowed[d.Slowed] = true
	}
	for i := range r.Work {
		r.Work[i] += math.Abs(d.q[i] - before[i])
		if near := nearest(d.setup.Arm, i, r.now); near.Left < r.Nearest[i].Left {
			r.Nearest[i] = near
		}
		if turn, turned := r.turning[i].follow(i, r.now); turned && len(r.Turns) < turnsKept {
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

// follow tells where the joint changed its direction once it has come back from there.
func (t *turning) follow(joint int, s Sample) (turn Turn, turned bool) {
	gone := s.Joints[joint] - t.farthest.Joints[joint]
	if t.way == 0 {
		if math.Abs(gone) > turnBack {
			t.way, t.farthest = math.Copysign(1, gone), s
		}
		return Turn{}, false
	}
	if gone*t.way > 0 {
		t.farthest = s
		return Turn{}, false
	}
	if turned = gone*t.way < -turnBack; turned {
		turn = Turn{Joint: joint, Sample: t.farthest}
		t.way, t.farthest = -t.way, s
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
