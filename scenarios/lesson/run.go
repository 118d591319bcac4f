package lesson

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics/jog"
	"handrule/words"
)

// Answer is what a learner answers to a task that asks. Only the part that the task asks for is looked at.
type Answer struct {
	Arrow     *r3.Vec  `json:"arrow,omitempty"`     // which way a point will go, in the base frame
	Direction string   `json:"direction,omitempty"` // the same by name: "x +", "z -", in the task's frame
	Joints    []int    `json:"joints,omitempty"`    // which joints will move, from 0
	Stop      string   `json:"stop,omitempty"`      // what will stop it, one of StopWords
	Number    *float64 `json:"number,omitempty"`    // what is read, in the task's unit
	Options   []int    `json:"options,omitempty"`   // what is chosen, from 0
}

// Truth is the computed answer. Unclear says why the question has more than one answer, or none; "" where it is fair.
type Truth struct {
	Answer  Answer
	Words   string
	Unclear string
}

// Verdict is what came of an answer or a jog. Neither Done nor Failed: the try goes on.
type Verdict struct {
	Done    bool     `json:"done"`
	Failed  bool     `json:"failed"`  // the try is over; the next begins with Again
	Words   string   `json:"words"`   // for the learner; may be empty
	Given   string   `json:"given"`   // the answer in words
	Several bool     `json:"several"` // the answer is made up of several things, of which some may be right
	Told    bool     `json:"told"`    // Words tell the answer, too
	OfNow   bool     `json:"of_now"`  // it is right of where the arm stands now, and the question is about where the stage began
	Part    bool     `json:"part"`    // all that was answered is right, and more is
	Right   string   `json:"right"`   // the right one; not to be shown before the task is done or given up
	Error   *float64 `json:"error"`   // how far off it was; null where that means nothing
	Unit    string   `json:"unit"`    // of the error
	Noticed []int    `json:"noticed"` // of a free task, what has happened so far, from 0
}

func (v *Verdict) off(by float64, unit string) {
	if unit == "joints" || unit == "options" {
		by = math.Round(by)
	}
	v.Error, v.Unit = &by, unit
}

// Run is one learner's way through a lesson. It decides by computing what is done, and keeps count. It is told of
// every tick, jog and answer, and drives nothing itself.
type Run struct {
	Lesson   *Lesson
	Progress Progress
	Lost     []StageProgress // what Resume found that means nothing in this edition
	In       *words.Language // what verdicts are said in

	at       int
	watching watcher // nil where the task is not driven
	over     bool    // the try has failed, and Again has not been called
}

// NewRun returns the start of a lesson. Enter its first stage next.
func NewRun(l *Lesson) *Run {
	file := l.inFile() // Titles are kept as the file has them, so that results are alike in every language.
	r := &Run{Lesson: l, In: words.English, Progress: Progress{Lesson: l.ID, Title: file.Title, Arm: l.Arm.ID, Seed: l.Seed}}
	for i := range file.Stages {
		s := &file.Stages[i]
		r.Progress.Stages = append(r.Progress.Stages, StageProgress{ID: s.ID, Title: s.Title, Task: s.kind(), ShapeOf: s.ShapeOf, Answers: []Given{}, Noticed: []int{}})
	}
	return r
}

// At returns the number of the stage, from 0; Stage the stage itself.
func (r *Run) At() int { return r.at }

// Speak goes on in another language: with the lesson's texts in it, where there are any.
func (r *Run) Speak(in *words.Language) {
	r.In, r.Lesson = in, r.Lesson.In(in)
}

// Stage returns the stage the learner is in.
func (r *Run) Stage() *Stage { return &r.Lesson.Stages[r.at] }

// here is the progress of the stage the learner is in.
func (r *Run) here() *StageProgress { return &r.Progress.Stages[r.at] }

// Enter begins a stage. The arm at d must stand where the stage begins: at Stage.Begin, unless the stage goes on.
func (r *Run) Enter(stage int, d *jog.Drive) error {
	if stage < 0 || stage >= len(r.Lesson.Stages) {
		return fmt.Errorf("there is no stage %d; the lesson has %d", stage+1, len(r.Lesson.Stages))
	}
	r.at = stage
	r.Again(d)
	return nil
}

// Again begins the next try of the stage, with the arm back where the stage begins.
func (r *Run) Again(d *jog.Drive) {
	r.watching, r.over = nil, false
	if p := r.here(); r.Waits() || r.HandedIn() || p.GivenUp {
		return
	}
	if task, ok := r.Stage().Task.(driven); ok {
		r.watching = task.watch(r, d)
	}
}

// GiveUp ends a try that the learner starts over; Again begins the next. It counts as failed once the arm has moved.
func (r *Run) GiveUp() {
	if p := r.here(); !r.over && !p.Done && !p.GivenUp && r.watching != nil {
		p.Tries++
		r.over = true
		r.spend()
	}
}

// spend gives the task up where no try is left.
func (r *Run) spend() {
	if p := r.here(); !p.Done && r.TriesLeft() == 0 {
		p.GivenUp, r.over, r.watching = true, false, nil
	}
}

// Concede gives the task of the stage up for good, and it can no longer be done.
func (r *Run) Concede() error {
	p := r.here()
	if p.Done || p.GivenUp || p.Task == "" || r.Waits() || r.HandedIn() {
		return fmt.Errorf("there is no task left here to be given up")
	}
	p.GivenUp, r.over, r.watching = true, false, nil
	return nil
}

// Right returns the right answer for the arm as it stands at d, where it may be shown: once the task is done or given
// up, in an assessment once that is handed in. It is empty before, and for tasks that are driven.
func (r *Run) Right(d *jog.Drive) Truth {
	task, ok := r.Stage().Task.(Asked)
	p := r.here()
	over := p.Done || p.GivenUp
	if r.Lesson.Assessment != nil {
		over = r.HandedIn()
	}
	if !ok || !over {
		return Truth{}
	}
	truth, err := task.Truth(r.Lesson, d)
	if err != nil {
		return Truth{}
	}
	return truth
}

// MayJog reports whether the arm may be moved now. A question about what a jog will do is answered before it, a try that is
// over is begun again, and an assessment is begun.
func (r *Run) MayJog() bool {
	return !r.over && !r.Waits() && !r.AnswerFirst()
}

// AnswerFirst reports whether the arm waits for an answer: to a question that it would answer by its motion.
func (r *Run) AnswerFirst() bool {
	task, p := r.Stage().Task, r.here()
	_, asks := task.(*Predict)
	if r.Lesson.Assessment != nil {
		asks = asksOfMotion(task)
	}
	return asks && !p.Done && !p.GivenUp && !r.HandedIn()
}

// Moved is to be called after every tick of a motion.
func (r *Run) Moved(d *jog.Drive) {
	if r.watching != nil {
		r.watching.moved(d)
	}
}

// Jogged is to be called after every jog, and says what came of it for the task.
func (r *Run) Jogged(d *jog.Drive) Verdict {
	p := r.here()
	if !r.HandedIn() {
		p.Jogs++
	}
	if d.Stop().Reason == jog.Contact {
		p.Contacts++
	}
	if r.watching == nil || r.over || p.Done || p.GivenUp || r.HandedIn() {
		return Verdict{Done: p.Done}
	}
	v := r.watching.jogged(d)
	if v.Noticed != nil {
		p.Noticed, p.ticks = v.Noticed, r.Stage().Free.ticks(v.Noticed)
	}
	r.count(v)
	return v
}

// Answer grades an answer for the arm as it stands at d. An error means that it is no answer; nothing was counted.
func (r *Run) Answer(d *jog.Drive, a Answer) (Verdict, error) {
	if r.Waits() {
		return Verdict{}, fmt.Errorf("the assessment has not begun")
	}
	task, ok := r.Stage().Task.(Asked)
	if !ok {
		return Verdict{}, fmt.Errorf("this stage asks nothing")
	}
	p := r.here()
	switch {
	case p.Done:
		return Verdict{Done: true}, nil
	case p.GivenUp:
		return Verdict{}, fmt.Errorf("this task was given up")
	case r.HandedIn():
		return Verdict{}, fmt.Errorf("the assessment is handed in")
	}
	v, err := task.grade(r.Lesson, d, a)
	if err != nil {
		return Verdict{}, err
	}
	v.Failed = !v.Done
	packed := task.pack(a)
	v.Given = task.told(packed)
	r.explain(&v, task, d, a)
	p.keep(Given{v.Given, inFile(task, packed), v.Done, rounded(v.Error), v.Unit, packed}, r.Lesson.mostAnswers())
	r.count(v)
	r.over = false // An answer leaves the arm where it is.
	return v, nil
}

// OfNow reports whether a wrong answer would be right if the question were about the arm as it stands at d.
func (r *Run) OfNow(d *jog.Drive, a Answer) bool {
	task, is := r.Stage().Task.(*Read)
	if !is || !r.Reveals() {
		return false
	}
	v, err := task.grade(r.Lesson, d, a)
	return err == nil && v.Done
}

func (r *Run) count(v Verdict) {
	p := r.here()
	if v.Done || v.Failed {
		p.Tries++
	}
	p.Done, r.over = p.Done || v.Done, v.Failed
	p.Hints = max(p.Hints, len(r.Hints()))
	r.spend()
}

// Wait adds time to the stage.
func (r *Run) Wait(seconds float64) {
	if p := r.here(); seconds > 0 && !p.Done && !p.GivenUp && !r.HandedIn() {
		p.Seconds += seconds
	}
}

// Wrong returns the last wrong answer that was given to the task of a stage; false where none was, or where it is told in words
// only.
func (r *Run) Wrong(stage int) (a Answer, ok bool) {
	given := r.Progress.Stages[stage].Answers
	for i := len(given) - 1; i >= 0; i-- {
		if g := given[i]; !g.Good && g.Packed != nil {
			return r.Lesson.Stages[stage].AnswerOf(g)
		}
	}
	return a, false
}

// AnswerOf returns an answer to the stage's task as it was given; false where it is told in words only, or asks nothing.
func (s *Stage) AnswerOf(g Given) (a Answer, ok bool) {
	task, asked := s.Task.(Asked)
	if !asked || g.Packed == nil {
		return a, false
	}
	return task.unpack(g.Packed)
}

// Hints returns the hints that have appeared.
func (r *Run) Hints() (shown []string) {
	p := r.here()
	failed := p.Tries
	if p.Done {
		failed--
	}
	for _, h := range r.Stage().Hints {
		if failed >= h.After {
			shown = append(shown, h.Text)
		}
	}
	return shown
}

// Drive makes a jog from its start to its end, and tells the run of it.
func (r *Run) Drive(d *jog.Drive, j jog.Jog) (Verdict, error) {
	return r.DriveWhile(d, j, func() bool { return true })
}

// ErrLeftOff says that something was left before its end, by who was asked whether to go on.
var ErrLeftOff = errors.New("left off")

// DriveWhile does the same, and asks every few ticks whether to go on.
func (r *Run) DriveWhile(d *jog.Drive, j jog.Jog, goOn func() bool) (Verdict, error) {
	const few = 64
	if err := d.Start(j); err != nil {
		return Verdict{}, err
	}
	for n, going := 1, true; going; n++ {
		going = d.Tick()
		r.Moved(d)
		if n%few == 0 && !goOn() {
			return Verdict{}, ErrLeftOff
		}
	}
	return r.Jogged(d), nil
}

// Fork returns a copy that goes on by itself.
func (r *Run) Fork() Run {
	next := *r
	next.Progress.Stages = slices.Clone(r.Progress.Stages)
	if try, ok := r.watching.(*freeTry); ok {
		own := *try
		own.noticed = slices.Clone(try.noticed)
		next.watching = &own
	}
	return next
}
