package bench

import (
	"slices"
	"time"

	"handrule/kinematics"
	"handrule/kinematics/jog"
	"handrule/scenarios/spoken"
	"handrule/words"
)

// This file tells pages that see the arm and ask nothing of it: those that follow a demonstrated arm. They are told what the arm's
// own page is told of the arm, read as they choose, and nothing of what its learner does besides.

// Reading is how a page reads an arm that is not its own.
type Reading struct {
	ReadIn ReadInRequest `json:"read_in"`
	Of     Whose         `json:"of"`
	Form   spoken.Form   `json:"form"`
	Unit   words.Unit    `json:"unit"`
}

// Watcher is such a page, or many that read the arm alike.
type Watcher struct {
	page     *page
	reading  Reading
	language *words.Language
	in       *words.Language // the same with the names of what is mounted
}

// Watch lets a page see the arm from now on. It is told everything first.
func (b *Bench) Watch(reading Reading, language *words.Language) *Watcher {
	w := &Watcher{page: newPage(), reading: reading, language: language}
	w.page.watches = true
	if reading.Of == OfFlange {
		w.page.shows.Of = OfFlange
	}
	if slices.Contains(spoken.Forms, reading.Form) {
		w.page.shows.Form = reading.Form
	}
	if _, known := choicesIn[reading.Unit]; !known {
		w.reading.Unit = words.MM
	}
	b.watchers = append(b.watchers, w)
	return w
}

// Unwatch ends that.
func (b *Bench) Unwatch(w *Watcher) {
	b.watchers = slices.DeleteFunc(b.watchers, func(other *Watcher) bool { return other == w })
}

// Retell has the watcher told everything anew: somebody came who knows nothing.
func (w *Watcher) Retell() {
	w.page.touched = true
	clear(w.page.told)
	w.page.frame = frameTold{}
}

func (b *Bench) touchWatchers() {
	for _, w := range b.watchers {
		w.page.touched = true
		w.in = nil
	}
}

// TellWatcher hands out all that a watcher does not know yet, as Tell does for the page that is connected, after it.
func (b *Bench) TellWatcher(w *Watcher, due time.Time, to func(Message)) {
	own, in, readIn, unit := b.page, b.in, b.chosen.ReadIn, b.chosen.Unit
	defer func() { b.page, b.in, b.chosen.ReadIn, b.chosen.Unit = own, in, readIn, unit }()
	b.page, b.chosen.ReadIn, b.chosen.Unit = w.page, w.readIn(b), w.reading.Unit
	if w.in == nil {
		w.in = b.calling(w.language)
	}
	b.in, w.page.aim = w.in, own.aim
	b.Tell(due, to)
}

// readIn is the frame that positions are read in: the chosen one, or the base frame where this arm has none such.
func (w *Watcher) readIn(b *Bench) ReadInRequest {
	r := w.reading.ReadIn
	if r.Frame == jog.WorldFrame || r.Frame == jog.TaskFrames {
		if _, err := b.drive().Frame(r.Frame, r.Task, kinematics.Identity); err == nil {
			return r
		}
	}
	return ReadInRequest{Frame: jog.BaseFrame}
}

// Still is the arm as it stands, apart from the bench.
func (b *Bench) Still() *jog.Drive { return b.drive().Standing() }

// Chosen is what the learner has chosen.
func (b *Bench) Chosen() Setup { return b.chosen }

// Scene is the arm as it stands, to put another bench's there.
func (b *Bench) Scene() SceneRequest {
	joints := b.drive().Joints().Degrees()
	s := SceneRequest{Arm: b.mounted.arm.ID, Tool: b.chosen.Tool, JointsDeg: &joints, Own: b.ownFile()}
	if c := b.mounted.cell; c != nil {
		s.Cell = c.ID
		if c.Rail != nil {
			at := c.Rail.At
			s.RailMM = &at
		}
	}
	return s
}
