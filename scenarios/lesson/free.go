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
	Text  string      `field:"text,required" about:"What the learner has to do, such as: Turn J1. It is ticked off when it has happened."`
	Event Event       `field:"event" about:"What has to happen in one jog."`
	Joint *JointIndex `field:"joint" about:"The joint at its limit, or the one that would have raced, or that was jogged."`
	Frame jog.Frame   `field:"frame" about:"The frame of the jog."`
	When  *Condition  `field:"when" about:"What has to be so after a jog, which is computed. Alone, or with an event."`

	made string // the identity that is made of what has to happen
}

// Event is what a jog can come to.
type Event string

// EventJogged is that a jog was made.
const EventJogged Event = "jogged"

// event is all there is to know of one.
type event struct {
	name Event
	// happened tells whether it has happened in the jog that has just ended, and to which joint.
	happened func(t *freeTry, d *jog.Drive) (happened bool, joint int)
	ofJoint  bool // it is one of a joint, in so far as a joint may be asked for
}

// events are all of them: a row for each, and one for every stop that does not lie with the learner's hands. What a new one
// needs besides is a line in the documentation.
var events = slices.Concat([]event{
	{name: EventJogged, ofJoint: true, happened: func(_ *freeTry, d *jog.Drive) (bool, int) {
		stop := d.Stop()
		if stop.Jog.Frame != jog.JointFrame {
			return stop.Travel > 0, noJoint
		}
		return stop.Travel > 0, stop.Jog.Axis
	}},
}, stopEvents(), []event{
	{name: "posture", happened: func(t *freeTry, d *jog.Drive) (bool, int) { // the jog ended in another one than it began in
		return d.Arm().Posture(d.Joints()) != t.posture, noJoint
	}},
	{name: "tool turned", happened: func(_ *freeTry, d *jog.Drive) (bool, int) { // while the TCP stayed in place
		stop := d.Stop()
		return stop.Jog.AboutTCP() && stop.Travel > kinematics.Radians(1), noJoint
	}},
	{name: "slowed", ofJoint: true, happened: func(t *freeTry, _ *jog.Drive) (bool, int) { // a joint held the speed down
		return t.slowed != jog.NotSlowed, t.slowed
	}},
})

const noJoint = -1

func stopEvents() (all []event) {
	for _, reason := range jog.ReasonsWith(func(r jog.ReasonTraits) bool { return r.Trouble && r.Foreseen }) {
		all = append(all, event{
			name:    Event(reason),
			ofJoint: reason.Traits().OfJoint || reason == jog.Singularity, // the joint that would have raced
			happened: func(_ *freeTry, d *jog.Drive) (bool, int) {
				stop := d.Stop()
				return stop.Reason == reason, stop.Joint
			},
		})
	}
	return all
}

// Events are the names of all of them.
var Events = func() (names []Event) {
	for _, e := range events {
		names = append(names, e.name)
	}
	return names
}()

// about returns what there is to know of an event; nil of one that there is not.
func (e Event) about() *event {
	if i := slices.Index(Events, e); i >= 0 {
		return &events[i]
	}
	return nil
}

// Kind is "free".
func (*Free) Kind() string { return "free" }

func (f *Free) validate(l *Lesson, _ *Stage) {
	for i := range f.Notice {
		n := &f.Notice[i]
		if !n.Given("event") && !n.Given("when") {
			n.Add("", "needs event, when or both")
		}
		if e := n.Event.about(); n.Given("joint") && (e == nil || !e.ofJoint) {
			n.Add("joint", "goes with an event of a joint: %s", form.OneOf(jointEvents()))
		}
		if n.When != nil {
			n.When.validate(l)
		}
	}
	if int(f.Enough) > len(f.Notice) {
		f.Add("enough", "is more than there is to notice, %d", len(f.Notice))
	}
}

// jointEvents are the names of the events that happen to a joint.
func jointEvents() (names []Event) {
	for _, e := range events {
		if e.ofJoint {
			names = append(names, e.name)
		}
	}
	return names
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
	return Verdict{Done: len(t.noticed) >= t.free.Needed(), Noticed: slices.Clone(t.noticed)}
}

func (t *freeTry) happened(n *Notice, d *jog.Drive) bool {
	if e := n.Event.about(); e != nil {
		happened, joint := e.happened(t, d)
		if !happened || n.Joint != nil && joint != int(*n.Joint) {
			return false
		}
	}
	if n.Frame != "" && d.Stop().Jog.Frame != n.Frame {
		return false
	}
	if n.When != nil {
		holds, _, _, err := n.When.holds(t.lesson, d)
		return err == nil && holds
	}
	return true
}
