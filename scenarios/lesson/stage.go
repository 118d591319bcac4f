package lesson

import (
	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/kinematics/jog"
	"handrule/scenarios/form"
	"handrule/words"
)

// Stage is a part of a lesson: it explains, and has at most one task.
type Stage struct {
	form.Block
	ID      string             `field:"id" pattern:"^[a-z][a-z0-9-]*$" about:"A word by which the stage is known again, such as over-the-tile, when it is moved or asks something else. It is made of what the stage asks, unless told otherwise."`
	Title   string             `field:"title" about:"A few words above the text."`
	Text    Prose              `field:"text,required" about:"What to read, in Markdown. Pictures come from the lesson's own folder."`
	Start   *kinematics.Joints `field:"start_deg" about:"Where the arm is put when the stage begins, degrees. Where the stage before was put, unless told otherwise."`
	GoOn    bool               `field:"go_on" about:"The arm stays where the learner left it."`
	View    *View              `field:"view" about:"Where the arm is seen from when the stage begins. From where nothing hides the tool or the target, unless told otherwise. On a projector it is seen from that side, as near as the whole arm allows."`
	Allow   *Allow             `field:"allow" about:"What the learner may use in this stage, instead of what the lesson allows."`
	Reach   *Reach             `field:"reach" about:"Task: bring the TCP, or a joint, to a place."`
	Predict *Predict           `field:"predict" about:"Task: say beforehand what a jog will do."`
	Read    *Read              `field:"read" about:"Task: say a number that the readout shows, or would show after a jog."`
	Choose  *Choose            `field:"choose" about:"Task: a question with options."`
	Free    *Free              `field:"free" about:"Task: drive as you like until these things have been noticed."`
	Points  form.Margin        `field:"points" about:"What the task counts in an assessment, done at the first try. 1 unless told otherwise."`
	Tries   form.Count         `field:"tries" about:"How often the task may be tried in an assessment. As often as the assessment says, unless told otherwise."`
	ShapeOf string             `field:"shape_of" pattern:"^[a-z][a-z0-9-]*$" about:"A word for a question that comes in several shapes, such as which-way. Of the stages with the same word every learner gets one."`
	Hints   []Hint             `field:"hints" most:"10" about:"Each appears after one more failed try, or after as many as it says."`
	Explain Prose              `field:"explain" about:"What to read once the task is done or given up, in Markdown: why it is so."`

	HTML        string // of the text
	ExplainHTML string
	Begin       kinematics.Joints // where the arm is put, unless GoOn
	Task        Task              // nil where there is none
	Uses        *Allow            // what the learner may use

	made string // the identity that is made of what it asks
}

// SchemaRules let an editor refuse a stage with two tasks.
func (Stage) SchemaRules() form.Object { return form.AtMostOne(Kinds...) }

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

// kind is a kind of task.
type kind struct {
	name string // its field in a stage
	code byte   // in kept progress; never another one's
	of   func(*Stage) Task
}

// kinds are all of them. A new one has its row here, its form and grader in a file like read.go, and its function wherever
// ByKind is called; the compiler or a test names each of these that it lacks.
var kinds = []kind{
	{"reach", 1, func(s *Stage) Task { return s.Reach }},
	{"predict", 2, func(s *Stage) Task { return s.Predict }},
	{"read", 3, func(s *Stage) Task { return s.Read }},
	{"choose", 4, func(s *Stage) Task { return s.Choose }},
	{"free", 5, func(s *Stage) Task { return s.Free }},
}

// Kinds are the names of the kinds of task.
var Kinds = func() (names []string) {
	for _, k := range kinds {
		names = append(names, k.name)
	}
	return names
}()

// ByKind calls the function for the kind of a task. Whoever calls it handles every kind, or does not compile.
func ByKind[T any](t Task, reach func(*Reach) T, predict func(*Predict) T, read func(*Read) T, choose func(*Choose) T, free func(*Free) T) (none T) {
	switch t := t.(type) {
	case *Reach:
		return reach(t)
	case *Predict:
		return predict(t)
	case *Read:
		return read(t)
	case *Choose:
		return choose(t)
	case *Free:
		return free(t)
	}
	return none
}

// Task is what a stage asks of the learner: one of the kinds, and either Asked or driven.
type Task interface {
	// Kind is the task's word in the file.
	Kind() string
	// validate completes the task after reading, and adds problems.
	validate(l *Lesson, s *Stage)
}

// Asked is a task that is answered with words or numbers.
type Asked interface {
	Task
	// truth computes the right answer for an arm that stands at d.
	Truth(l *Lesson, d *jog.Drive) (Truth, error)
	// pack writes an answer that was graded in a few bytes, at most mostPacked, and told says it in words.
	// unpack returns the answer again, as near as it was packed.
	pack(a Answer) []byte
	unpack(packed []byte) (Answer, bool)
	told(packed []byte) string
	// grade compares an answer with the truth.
	grade(l *Lesson, d *jog.Drive, a Answer) (Verdict, error)
	// reason says why the answer is right, or why not.
	reason(l *Lesson, d *jog.Drive, a Answer, done bool, in *words.Language) string
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

// validate completes stage i after reading.
func (s *Stage) validate(l *Lesson, i int) {
	for _, k := range kinds {
		if s.Given(k.name) {
			s.Task = k.of(s)
		}
	}
	s.Together(Kinds...)
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
		s.Allow.validate()
	}
	l.checkText(&s.Block, "text", string(s.Text))
	l.checkText(&s.Block, "explain", string(s.Explain))
	if i < len(l.undrawn) {
		s.HTML, s.ExplainHTML = l.html(l.undrawn[i].text), l.html(l.undrawn[i].explain)
	}
	if s.GoOn && (s.Predict != nil || s.Choose != nil || i == 0) {
		s.Add("go_on", "does not go with predict or choose, whose answers depend on where the arm stands, nor with the first stage")
	}
	if s.Hints != nil && s.Task == nil {
		s.Add("hints", "are for a task, and this stage has none")
	}
	if s.Given("explain") && s.Task == nil {
		s.Add("explain", "is for a task, and this stage has none")
	}
	s.orderHints()
	if v := s.View; v != nil && v.Given("from_mm") && v.Given("at_mm") && r3.Norm(r3.Sub(v.From, v.At)) < nearestView {
		v.Add("from_mm", "is less than %d mm from at_mm", nearestView)
	}
	if s.Task != nil && l.Arm != nil {
		s.Task.validate(l, s)
	}
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
