package lesson

import (
	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/kinematics/jog"
	"handrule/scenarios/form"
)

// Stage is a part of a lesson: it explains, and has at most one task.
type Stage struct {
	form.Block
	Title   string             `field:"title" about:"A few words above the text."`
	Text    Prose              `field:"text,required" about:"What to read, in Markdown. Pictures come from the lesson's own folder."`
	Start   *kinematics.Joints `field:"start_deg" about:"Where the arm is put when the stage begins, degrees. Where the stage before was put, unless told otherwise."`
	GoOn    bool               `field:"go_on" about:"The arm stays where the learner left it."`
	View    *View              `field:"view" about:"Where the arm is seen from when the stage begins. As the learner has it, unless told otherwise."`
	Allow   *Allow             `field:"allow" about:"What the learner may use in this stage, instead of what the lesson allows."`
	Reach   *Reach             `field:"reach" about:"Task: bring the TCP, or a joint, to a place."`
	Predict *Predict           `field:"predict" about:"Task: say beforehand what a jog will do."`
	Read    *Read              `field:"read" about:"Task: say a number that the readout shows, or would show after a jog."`
	Choose  *Choose            `field:"choose" about:"Task: a question with options."`
	Free    *Free              `field:"free" about:"Task: drive as you like until these things have been noticed."`
	Hints   []Hint             `field:"hints" most:"10" about:"Each appears after one more failed try, or after as many as it says."`

	HTML  string            // of the text
	Begin kinematics.Joints // where the arm is put, unless GoOn
	Task  Task              // nil where there is none
	Uses  *Allow            // what the learner may use
}

// View is a place to look from, in the world frame.
type View struct {
	form.Block
	From r3.Vec `field:"from_mm,required" about:"Where the eye is, in the world frame: x, y, z in mm."`
	At   r3.Vec `field:"at_mm,required" about:"The point that is in the middle of the picture."`
}

// nearestView is how near the eye may be to what it looks at, mm.
const nearestView = 100

// Hint is a piece of advice that appears after so many failed tries.
type Hint struct {
	After int
	Text  string
}

// Task is what a stage asks of the learner. It is one of *Reach, *Predict, *Read, *Choose and *Free.
type Task interface {
	// Kind is the task's word in the file.
	Kind() string
	// settle completes the task after reading, and adds problems.
	settle(l *Lesson, s *Stage)
}

// Asked is a task that is answered with words or numbers.
type Asked interface {
	Task
	// truth computes the right answer for an arm that stands at d.
	Truth(l *Lesson, d *jog.Drive) (Truth, error)
	// grade compares an answer with the truth.
	grade(l *Lesson, d *jog.Drive, a Answer) (Verdict, error)
}

// driven is a task that is solved by jogging.
type driven interface {
	Task
	watch(r *Run, d *jog.Drive) watcher
}

// watcher follows one try of a driven task.
type watcher interface {
	// moved is told every tick of a motion, jogged the end of each.
	moved(d *jog.Drive)
	jogged(d *jog.Drive) Verdict
}

// settle completes stage i after reading.
func (s *Stage) settle(l *Lesson, i int) {
	for field, task := range s.tasks() {
		if s.Given(field) {
			s.Task = task
		}
	}
	s.Together("reach", "predict", "read", "choose", "free")
	s.Together("start_deg", "go_on")
	s.Begin, s.Uses = l.Start, &l.Allow
	if i > 0 {
		s.Begin = l.Stages[i-1].Begin
	}
	if s.Start != nil {
		s.Begin = *s.Start
		if l.Arm != nil {
			for _, outside := range l.Arm.OutsideLimits(s.Begin) {
				s.Tell("start_deg", "%s", outside)
			}
		}
	}
	if s.Allow != nil {
		s.Uses = s.Allow
		s.Allow.settle()
	}
	l.checkText(s)
	if l.ID != "" {
		s.HTML = s.Text.HTML("lessons/" + l.ID + "/")
	}
	if s.GoOn && (s.Predict != nil || s.Choose != nil || i == 0) {
		s.Add("go_on", "does not go with predict or choose, whose answers depend on where the arm stands, nor with the first stage")
	}
	if s.Hints != nil && s.Task == nil {
		s.Add("hints", "are for a task, and this stage has none")
	}
	s.orderHints()
	if v := s.View; v != nil && v.Given("from_mm") && v.Given("at_mm") && r3.Norm(r3.Sub(v.From, v.At)) < nearestView {
		v.Add("from_mm", "is less than %d mm from at_mm", nearestView)
	}
	if s.Task != nil && l.Arm != nil {
		s.Task.settle(l, s)
	}
}

func (s *Stage) tasks() map[string]Task {
	return map[string]Task{"reach": s.Reach, "predict": s.Predict, "read": s.Read, "choose": s.Choose, "free": s.Free}
}

// orderHints gives every hint its number of failed tries, and reports those that would appear before an earlier one.
func (s *Stage) orderHints() {
	last := 0
	for i := range s.Hints {
		h := &s.Hints[i]
		if h.After == 0 {
			h.After = last + 1
		}
		if h.After < last {
			s.Add("hints", "are out of order: hint %d appears after %d failed tries, the one before it after %d", i+1, h.After, last)
		}
		last = h.After
	}
}
