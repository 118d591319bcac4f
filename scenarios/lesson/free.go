package lesson

import (
	"slices"

	"handrule/kinematics"
	"handrule/kinematics/jog"
	"handrule/scenarios/form"
)

// Free is the task to drive as one likes. It is done when enough of the things to notice have happened.
type Free struct {
	form.Block
	Notice []Notice   `field:"notice,required" most:"20" about:"What to notice. Each ticks itself off when it happens."`
	Enough form.Count `field:"enough" about:"How many of them are enough. All, unless told otherwise."`
}

// Notice is something that can happen while one drives.
type Notice struct {
	form.Block
	ID    string      `field:"id" about:"A word by which it is known again, when it is moved or changed. It is made of event, joint, frame and when, unless told otherwise."`
	Text  string      `field:"text,required" about:"What the learner sees ticked off."`
	Event Event       `field:"event" about:"What has to happen in one jog."`
	Joint *JointIndex `field:"joint" about:"The joint at its limit, or the one that would have raced, or that was jogged."`
	Frame jog.Frame   `field:"frame" about:"The frame of the jog."`
	When  *Condition  `field:"when" about:"What has to be so after a jog, which is computed. Alone, or with an event."`

	made string // the identity that is made of what has to happen
}

// Event is what a jog can come to.
type Event string

const (
	EventJogged  Event = "jogged"      // a jog was made
	eventPosture Event = "posture"     // the jog ended in another posture than it began in
	eventStill   Event = "tool turned" // the tool turned while the TCP stayed in place
	eventSlowed  Event = "slowed"      // a joint held the speed down
)

// stopEvents are those that a jog was stopped so: every reason for it that does not lie with the learner's hands.
var stopEvents = func() (events []Event) {
	for _, reason := range jog.ReasonsWith(func(r jog.ReasonTraits) bool { return r.Trouble && r.Foreseen }) {
		events = append(events, Event(reason))
	}
	return events
}()

// Events are all of them.
var Events = slices.Concat([]Event{EventJogged}, stopEvents, []Event{eventPosture, eventStill, eventSlowed})

// Kind is "free".
func (*Free) Kind() string { return "free" }

func (f *Free) settle(l *Lesson, _ *Stage) {
	for i := range f.Notice {
		n := &f.Notice[i]
		if !n.Given("event") && !n.Given("when") {
			n.Add("", "needs event, when or both")
		}
		if n.When != nil {
			n.When.settle(l)
		}
	}
	if int(f.Enough) > len(f.Notice) {
		f.Add("enough", "is more than there is to notice, %d", len(f.Notice))
	}
}

// freeTry follows the driving.
type freeTry struct {
	lesson  *Lesson
	free    *Free
	posture kinematics.Posture // when the jog began
	slowed  int
	noticed []int
}

func (f *Free) watch(run *Run, d *jog.Drive) watcher {
	return &freeTry{
		lesson: run.Lesson, free: f, posture: d.Arm().Posture(d.Joints()), slowed: jog.NotSlowed,
		noticed: slices.Clone(run.here().Noticed), // What has happened stays, also when the arm is put back.
	}
}

func (t *freeTry) moved(d *jog.Drive) {
	if d.Slowed != jog.NotSlowed && d.Slowed != jog.Ceiling {
		t.slowed = d.Slowed
	}
}

func (t *freeTry) jogged(d *jog.Drive) (v Verdict) {
	for i := range t.free.Notice {
		if !slices.Contains(t.noticed, i) && t.happened(&t.free.Notice[i], d) {
			t.noticed = append(t.noticed, i)
		}
	}
	t.posture, t.slowed = d.Arm().Posture(d.Joints()), jog.NotSlowed
	return Verdict{Done: len(t.noticed) >= t.free.enough(), Noticed: slices.Clone(t.noticed)}
}

func (t *freeTry) happened(n *Notice, d *jog.Drive) bool {
	stop := d.Stop()
	joint := stop.Joint
	happened := true
	switch n.Event {
	default: // one of stopEvents, or none
		happened = n.Event == "" || string(stop.Reason) == string(n.Event)
	case eventPosture:
		happened = d.Arm().Posture(d.Joints()) != t.posture
	case eventStill:
		happened = stop.Jog.AboutTCP() && stop.Travel > kinematics.Radians(1)
	case eventSlowed:
		happened, joint = t.slowed != jog.NotSlowed, t.slowed
	case EventJogged:
		happened, joint = stop.Travel > 0, stop.Jog.Axis
		if n.Joint != nil && stop.Jog.Frame != jog.JointFrame {
			return false
		}
	}
	if !happened || n.Joint != nil && joint != int(*n.Joint) || n.Frame != "" && stop.Jog.Frame != n.Frame {
		return false
	}
	if n.When != nil {
		holds, _, _, err := n.When.holds(t.lesson, d)
		return err == nil && holds
	}
	return true
}
