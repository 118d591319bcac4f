package server

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"time"

	"handrule/kinematics"
	"handrule/kinematics/jog"
	"handrule/scenarios"
	"handrule/scenarios/lesson"
	"handrule/scenarios/results"
	"handrule/scenarios/solve"
)

// lessonRun is a lesson under way at the bench. A nil one is no lesson: everything is allowed, nothing is graded.
type lessonRun struct {
	*lesson.Run
	begin   *jog.Drive      // the arm where the stage began, from which its questions are asked; nil before the first
	verdict *lesson.Verdict // of the last jog or answer that decided something; nil before
	jogs    int             // in this try
	edition int             // how often the lesson was read again while it was open
	showing bool            // the arm makes the jog that was to be predicted, which is not the learner's
}

// longestPause is the most that counts of a time in which the learner does nothing.
const longestPause = 2 * time.Minute

// Learners who begin a lesson get one of so many drawings of its numbers, few enough to be written on a worksheet. Who
// names a seed may name one up to the largest.
const (
	seeds       = 1_000_000
	largestSeed = 999_999_999
)

func (b *bench) openLesson(r *LessonRequest) error {
	if r.ID == "" {
		return b.leaveLesson()
	}
	lesson := b.offer.lesson(r.ID)
	if lesson == nil && slices.ContainsFunc(b.offer.Broken, func(f scenarios.Broken) bool { return f.ID == r.ID }) {
		b.wanted = r.ID
		b.send("faults", b.faults())
		return nil
	}
	if lesson == nil {
		return errors.New(b.in.Say("problem.no-such-lesson", "name", clip(r.ID)))
	}
	run, stage, err := b.startRun(lesson, r)
	if err != nil {
		return err
	}
	b.release()
	b.lesson, b.wanted = &lessonRun{Run: run}, ""
	b.setup.Lesson, b.setup.SetDistanceMM, b.found = r.ID, 0, nil
	b.enter(run.Lesson.Cell)
	b.putAt(run.Lesson.Stages[stage].Begin)
	b.beginStage(stage)
	b.tellAll()
	return nil
}

// startRun takes up the progress that the page has kept, or starts afresh with numbers drawn anew.
func (b *bench) startRun(l *lesson.Lesson, r *LessonRequest) (run *lesson.Run, stage int, err error) {
	if r.Progress != "" {
		if run, stage, err = b.resumeRun(l, r.Progress); err == nil {
			return run, stage, nil
		}
		b.send("problem", Problem{Message: b.in.Say("problem.progress")})
	}
	seed := rand.Uint64N(seeds)
	if r.Seed != nil {
		if *r.Seed < 0 || *r.Seed > largestSeed {
			return nil, 0, fmt.Errorf("the numbers are drawn from a whole number from 0 to %d, not %d", largestSeed, *r.Seed)
		}
		seed = uint64(*r.Seed)
	}
	if l, err = drawn(l, seed); err != nil {
		return nil, 0, err
	}
	return lesson.NewRun(l), 0, nil
}

func (b *bench) resumeRun(l *lesson.Lesson, token string) (*lesson.Run, int, error) {
	kept, err := results.Unseal(token, b.key)
	if err != nil {
		return nil, 0, err
	}
	if l, err = drawn(l, kept.Progress.Seed); err != nil {
		return nil, 0, err
	}
	run := lesson.NewRun(l)
	if err := run.Resume(kept.Progress); err != nil {
		return nil, 0, err
	}
	return run, min(max(kept.Stage, 0), len(l.Stages)-1), nil
}

// drawn returns the lesson with its numbers drawn from the seed.
func drawn(l *lesson.Lesson, seed uint64) (*lesson.Lesson, error) {
	if len(l.Draw) == 0 {
		return l, nil
	}
	l, _, err := solve.Drawn(l, seed)
	return l, err
}

// closeLesson leaves the lesson; the arm stays where it is.
func (b *bench) closeLesson() {
	b.lesson, b.setup.Lesson, b.wanted = nil, "", ""
	if g := b.ways.goal; g != nil && g.kind == WaysLesson {
		b.ways = comparison{}
	}
}

func (b *bench) leaveLesson() error {
	b.atRest(func() {
		b.closeLesson()
		b.start = kinematics.Joints{} // the start pose is the lesson's no more
		if around, err := b.around(b.drive.Setup().Tool); err == nil {
			b.drive.Refit(around)
		}
		b.tellLesson()
		b.tellWays()
		b.changed()
		b.send("state", b.state())
		b.send("faults", b.faults())
	})
	return nil
}

// stage does what the page asks about the stage of the lesson.
func (b *bench) stage(r *StageRequest) error {
	l := b.lesson
	if l == nil {
		return errors.New(b.in.Say("problem.no-lesson"))
	}
	switch r.Do {
	case StageGo:
		if r.Stage < 0 || r.Stage >= len(l.Lesson.Stages) {
			return fmt.Errorf("there is no stage %d; the lesson has %d", r.Stage+1, len(l.Lesson.Stages))
		}
		b.goTo(r.Stage)
		return nil
	case StageAgain:
		return b.again()
	case StageGiveUp:
		if err := l.Concede(); err != nil {
			return err
		}
		l.verdict = nil
		b.tellLesson()
		b.changed()
		return nil
	case StageShow:
		return b.show()
	}
	return fmt.Errorf("there is nothing to do with a stage by %q", r.Do)
}

// goTo begins another stage. One that goes on from the stage before leaves the arm where it is, where the learner comes
// from there.
func (b *bench) goTo(stage int) {
	if b.lesson.Lesson.Stages[stage].GoOn && stage == b.lesson.At()+1 {
		b.atRest(func() {
			b.beginStage(stage)
			b.tellStage()
		})
		return
	}
	b.release()
	b.putAt(b.lesson.Lesson.Stages[stage].Begin)
	b.beginStage(stage)
	b.tellStage()
}

// putAt puts the lesson's arm at rest at these joint angles.
func (b *bench) putAt(q kinematics.Joints) { b.mount(b.lesson.Lesson.Arm, b.lesson.Lesson.Tool, q) }

// beginStage begins a stage with the arm where it stands.
func (b *bench) beginStage(stage int) {
	l := b.lesson
	l.In = b.in
	l.Enter(stage, b.drive) // The stage is one of the lesson's.
	l.tryAnew(b)
	b.ways = comparison{} // Another stage may have another target.
	b.settle()
}

// tryAnew begins a try with the arm where it stands.
func (l *lessonRun) tryAnew(b *bench) {
	begin := b.drive.Standing()
	undistanced := begin.Setup()
	undistanced.SetDistance = 0 // The answers to the stage's questions do not depend on the learner's set distance.
	begin.Refit(undistanced)
	l.begin, l.verdict, l.jogs, l.showing = begin, nil, 0, false
	b.start = begin.Joints()
}

// again puts the arm back to where the stage began, for the next try.
func (b *bench) again() error {
	l := b.lesson
	_, free := l.Stage().Task.(*lesson.Free) // Driving as one likes may begin anew at any time.
	if l.jogs > 0 && !free {
		l.GiveUp()
	}
	b.release()
	b.putAt(l.begin.Joints())
	l.In = b.in
	l.Again(b.drive)
	l.tryAnew(b)
	b.tellStage()
	return nil
}

// show lets the arm make the jog that was to be predicted, from where the stage began.
func (b *bench) show() error {
	l := b.lesson
	predict, ok := l.Stage().Task.(*lesson.Predict)
	if !ok || !l.MayJog() {
		return errors.New(b.in.Say("problem.answer-first"))
	}
	b.release()
	b.putAt(l.begin.Joints())
	b.tellStage()
	l.showing = true
	if err := b.drive.Start(predict.Jog[0]); err != nil {
		return err
	}
	b.tick(1)
	return nil
}

func (b *bench) answer(r *AnswerRequest) error {
	l := b.lesson
	if l == nil {
		return errors.New(b.in.Say("problem.no-lesson"))
	}
	a := lesson.Answer{Direction: r.Direction, Joints: r.Joints, Stop: r.Stop, Number: r.Number, Options: r.Options}
	if r.Arrow != nil {
		arrow := vector(*r.Arrow)
		a.Arrow = &arrow
	}
	l.In = b.in
	v, err := l.Answer(l.begin, a)
	if err != nil {
		return err
	}
	l.verdict = &v
	b.tellLesson()
	b.changed() // The ghost may have been withheld.
	return nil
}

// moved tells the lesson of a tick.
func (l *lessonRun) moved(d *jog.Drive) {
	if l != nil && !l.showing {
		l.Moved(d)
	}
}

// jogged tells the lesson of the end of a jog, and reports whether there is one.
func (l *lessonRun) jogged(d *jog.Drive) bool {
	if l == nil {
		return false
	}
	if l.showing {
		l.showing = false
		return true
	}
	l.jogs++
	wasDone := l.Progress.Stages[l.At()].Done
	if v := l.Jogged(d); !wasDone && (v.Done || v.Failed) {
		l.verdict = &v
	}
	return true
}

// passTime counts the time that the learner spends in the stage.
func (b *bench) passTime(now time.Time) {
	if b.lesson != nil {
		b.lesson.Wait(min(now.Sub(b.asked), longestPause).Seconds())
	}
	b.asked = now
}

// result signs what the learner has done, once no task is left.
func (b *bench) result(r *ResultRequest, now time.Time) error {
	l := b.lesson
	name := strings.Join(strings.Fields(r.Learner), " ")
	switch {
	case l == nil:
		return errors.New(b.in.Say("problem.no-lesson"))
	case !l.Progress.Over():
		return errors.New(b.in.Say("problem.not-over"))
	case name == "" || len(name) > longestName || !printable(name):
		return errors.New(b.in.Say("problem.name"))
	}
	text, err := results.Sign(results.Result{Learner: name, Finished: now, Progress: l.Progress}, b.key)
	if err != nil {
		return err
	}
	b.send("result", ResultMessage{Name: l.Lesson.ID + "-" + fileWord(name) + ".json", Text: string(text)})
	return nil
}

// longestName in bytes is more than any name needs.
const longestName = 100

// tellLesson tells the page how the lesson stands, and what to keep of it.
func (b *bench) tellLesson() {
	b.send("lesson", b.lessonMessage())
	l := b.lesson
	if l == nil {
		return
	}
	token, err := results.Seal(results.Kept{Stage: l.At(), Progress: l.Progress}, b.key)
	if err != nil || len(token) > maxMessage/2 {
		return // It could not be handed in again.
	}
	b.send("progress", ProgressMessage{Lesson: l.Lesson.ID, Token: token})
}

// tellStage tells the page of a stage or a try that has begun with the arm in another place.
func (b *bench) tellStage() {
	b.tellLesson()
	b.send("setup", b.setup)
	b.send("state", b.state())
	b.tellLog(0)
	b.send("teach", b.teachMessage())
	b.tellWays()
	b.send("ghost", b.ghost())
}

// mayJog returns why the lesson does not let the arm be jogged in a frame now; "" is any frame.
func (b *bench) mayJog(f jog.Frame) error {
	l := b.lesson
	if l == nil {
		return nil
	}
	if !l.MayJog() {
		if _, predict := l.Stage().Task.(*lesson.Predict); predict {
			return errors.New(b.in.Say("problem.answer-first"))
		}
		return errors.New(b.in.Say("problem.again-first"))
	}
	if f != "" && !l.allows().Permits(f) {
		return errors.New(b.in.Say("problem.lesson-frame"))
	}
	return nil
}

// printable reports whether a name has no characters that only control.
func printable(name string) bool {
	return !slices.ContainsFunc([]rune(name), func(r rune) bool { return r < ' ' || r == 0x7f || r == '\uFFFD' })
}

// fileWord makes a word for a file's name from a learner's.
func fileWord(name string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r >= 'a' && r <= 'z', r >= '0' && r <= '9':
			return r
		case r >= 'A' && r <= 'Z':
			return r - 'A' + 'a'
		}
		return '-'
	}, name)
}
