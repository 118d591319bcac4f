package bench

import (
	"cmp"
	"math"
	"slices"

	"handrule/kinematics"
	"handrule/kinematics/jog"
	"handrule/scenarios/form"
	"handrule/scenarios/lesson"
	"handrule/words"
)

// This file is what a lesson lets its learner use: frames, increments, speeds and aids.

// allows is what the stage allows; everything where no lesson is open.
func (l *lessonRun) allows() *lesson.Allow {
	if l == nil {
		return &lesson.Allow{}
	}
	return l.Stage().Uses
}

// foretelling are the aids that would give a prediction away.
var foretelling = []lesson.Overlay{"ghost", "share", "room"}

// hides reports whether an aid is not shown now.
func (l *lessonRun) hides(aid lesson.Overlay) bool {
	return l != nil && (!l.allows().Shows(aid) || !l.MayJog() && slices.Contains(foretelling, aid))
}

func (l *lessonRun) allowsIncrement(r IncrementRequest) bool {
	a := l.allows()
	return among(r.MM, a.StepsMM) && among(r.Deg, a.StepsDeg)
}

// among reports whether a step is one of those allowed; where none are named any is.
func among(step float64, allowed []form.Margin) bool {
	return len(allowed) == 0 || slices.ContainsFunc(allowed, func(m form.Margin) bool { return math.Abs(step-float64(m)) < 1e-9 })
}

func (l *lessonRun) allowsSpeed(r SpeedRequest) bool {
	a := l.allows()
	return (a.SpeedMM == 0 || r.MMS <= float64(a.SpeedMM)) && (a.SpeedDeg == 0 || r.DegS <= float64(a.SpeedDeg))
}

// increments are those that are offered to one who reads lengths in that unit.
func (l *lessonRun) increments(in words.Unit) []IncrementRequest {
	if !l.allows().LimitsSteps() {
		return choicesIn[in].Increments
	}
	return incrementRequests(l.allows().Increments())
}

func incrementRequests(increments []lesson.Increment) (all []IncrementRequest) {
	for _, i := range increments {
		all = append(all, IncrementRequest(i))
	}
	return all
}

// speeds are those that are offered, likewise.
func (l *lessonRun) speeds(in words.Unit) []SpeedRequest {
	var offered []SpeedRequest
	for _, s := range choicesIn[in].Speeds {
		if s = l.slowed(s); !slices.Contains(offered, s) {
			offered = append(offered, s)
		}
	}
	return offered
}

// slowed is the speed, or what is allowed of it.
func (l *lessonRun) slowed(s SpeedRequest) SpeedRequest {
	a := l.allows()
	if a.SpeedMM > 0 {
		s.MMS = min(s.MMS, float64(a.SpeedMM))
	}
	if a.SpeedDeg > 0 {
		s.DegS = min(s.DegS, float64(a.SpeedDeg))
	}
	return s
}

// frames are those that one may jog in without breaking a rule: of those that the stage allows the ones that a motion asks for, until it
// is over; none where any will do.
func (l *lessonRun) frames() []jog.Frame {
	a := l.allows()
	if l == nil {
		return a.Frames
	}
	reach, ok := l.Stage().Task.(*lesson.Reach)
	if here := l.Progress.Stages[l.At()]; !ok || here.Done || here.GivenUp || l.HandedIn() {
		return a.Frames
	}
	var both []jog.Frame
	for _, f := range reach.Frames {
		if a.Permits(f) {
			both = append(both, f)
		}
	}
	if len(both) == 0 {
		return a.Frames
	}
	return both
}

// chooseAllowed chooses what is allowed in place of what is not.
func (b *Bench) chooseAllowed() {
	l := b.lesson
	b.chosen.Speed = l.slowed(b.chosen.Speed)
	if now := b.chosen.Increment; !l.allowsIncrement(now) {
		b.chosen.Increment = slices.MinFunc(l.increments(b.chosen.Unit), func(x, y IncrementRequest) int {
			return cmp.Compare(math.Abs(math.Log(x.MM/now.MM)), math.Abs(math.Log(y.MM/now.MM)))
		})
	}
	if frames := l.frames(); len(frames) > 0 && !slices.Contains(frames, b.chosen.Frame) {
		b.chosen.Frame, b.chosen.Task, b.page.aim = frames[0], "", nil
		if tasks := b.tasks(); frames[0] == jog.TaskFrames && len(tasks) > 0 {
			b.chosen.Task = tasks[0].Name
		}
		if _, err := b.drive().Frame(b.chosen.Frame, b.chosen.Task, kinematics.Identity); err != nil {
			b.chosen.Frame, b.chosen.Task = jog.JointFrame, "" // The only frame allowed is one that the cell does not have.
		}
	}
}

func (l *lessonRun) allowView(in words.Unit) AllowView {
	a := l.allows()
	v := AllowView{
		Frames: slices.Clone(l.frames()), Increments: l.increments(in), Speeds: l.speeds(in), Hidden: []string{},
		Limited:  len(a.StepsMM)+len(a.StepsDeg) > 0 || a.SpeedMM > 0 || a.SpeedDeg > 0,
		Withheld: l != nil && !l.MayJog(),
	}
	if v.Frames == nil {
		v.Frames = []jog.Frame{}
	}
	for _, aid := range lesson.Overlays {
		if l.hides(aid) {
			v.Hidden = append(v.Hidden, string(aid))
		}
	}
	return v
}
