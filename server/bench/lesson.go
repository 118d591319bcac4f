package bench

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"time"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/kinematics/jog"
	"handrule/scenarios/form"
	"handrule/scenarios/lesson"
)

// lessonRun is a lesson under way at the bench. A nil one is no lesson: everything is allowed, nothing is graded.
type lessonRun struct {
	*lesson.Run
	begin   *jog.Drive      // the arm where the stage began, from which its questions are asked; nil before the first
	verdict *lesson.Verdict // of the last jog or answer that decided something; nil before
	why     string          // the right answer is right, of a task that was given up
	shown   *ShownView      // of the last answer
	face    *[3]float64     // where the stage is best seen from
	jogs    int             // in this try
	edition int             // how often the lesson was read again while it was open
	resumed bool            // from progress of which the bench knew nothing
	before  left            // to which leaving it leads back
	showing bool            // the arm makes the jog that was to be predicted, which is not the learner's
}

// left is what was on the bench before a lesson.
type left struct {
	Arm    string            `json:"arm"`
	Tool   string            `json:"tool"`
	Cell   string            `json:"cell"`
	Joints kinematics.Joints `json:"q"`
	Start  kinematics.Joints `json:"start"`
	Chosen Setup             `json:"chosen"`
}

// longestPause is the most that counts of a time in which the learner does nothing.
const longestPause = 2 * time.Minute

// Learners who begin a lesson get one of so many drawings of its numbers, few enough to be written on a worksheet. Who
// names a seed may name one up to the largest.
const (
	seeds       = 1_000_000
	largestSeed = 999_999_999
)

func (b *Bench) openLesson(r *LessonRequest) error {
	if r.ID == "" {
		return b.leaveLesson()
	}
	lesson := b.offered(r.ID)
	if lesson == nil && b.page.author && slices.ContainsFunc(b.offer.Broken, func(f form.Broken) bool { return f.ID == r.ID }) {
		b.wanted = r.ID
		return nil
	}
	if lesson == nil {
		return errors.New(b.in.Say("problem.no-such-lesson", "name", clip(r.ID)))
	}
	if r.Stage != nil {
		if err := b.hasStage(lesson, *r.Stage); err != nil {
			return err
		}
	}
	return b.startRun(lesson, r)
}

// depart counts what is left in the open lesson before another one is begun.
func (b *Bench) depart() {
	b.leaveTry()
	b.account()
}

// openRun goes on in a lesson that was started, at the stage that was asked for or that it leads to.
func (b *Bench) openRun(run *lesson.Run, r *LessonRequest, stage int, resumed bool) {
	if r.Stage != nil && *r.Stage < len(run.Lesson.Stages) {
		stage = *r.Stage
	}
	b.release()
	before := left{b.chosen.Arm, b.chosen.Tool, b.chosen.Cell, b.drive().Joints(), b.mounted.start, b.chosen}
	if b.lesson != nil {
		before = b.lesson.before
	}
	b.lesson, b.wanted = &lessonRun{Run: run, resumed: resumed, before: before}, ""
	b.noteBegun(run)
	b.keepTime(b.page.now)
	b.chosen.Lesson, b.chosen.SetDistanceMM, b.mounted.found = r.ID, 0, nil
	b.enter(run.Lesson.Cell)
	b.putAt(run.Lesson.Stages[stage].Begin)
	b.beginStage(stage)
}

// hasStage returns that a lesson has no such stage, if it has not.
func (b *Bench) hasStage(l *lesson.Lesson, stage int) error {
	if stage >= 0 && stage < len(l.Stages) {
		return nil
	}
	return errors.New(b.in.Say("problem.no-such-stage", "stage", strconv.Itoa(stage+1), "lesson", l.TitleIn(b.in), "count", strconv.Itoa(len(l.Stages))))
}

// startRun takes up the progress that the page has kept, or starts afresh.
func (b *Bench) startRun(l *lesson.Lesson, r *LessonRequest) error {
	if r.Progress == "" {
		return b.startAfresh(l, r)
	}
	afresh := func() error {
		if b.underWay(l) == nil {
			b.complain(errors.New(b.in.Say("problem.progress")))
		}
		return b.startAfresh(l, r)
	}
	stage, progress, err := b.unseal(r.Progress)
	if err != nil {
		return afresh()
	}
	if a := b.underWay(l); a != nil && progress.Began.IsZero() && progress.Seed != a.Deal {
		return b.goOn(l, *a, r)
	}
	b.dealThen(l, progress.Seed, r, func(dealt *lesson.Lesson, err error) {
		run := (*lesson.Run)(nil)
		if err == nil {
			run = lesson.NewRun(dealt)
			err = run.Resume(progress)
		}
		if err != nil {
			b.refuse(afresh())
			return
		}
		b.tellLost(run)
		b.depart()
		resumed := b.countedAgain(run)
		b.openRun(run, r, run.Place(progress, stage), resumed)
	})
	return nil
}

func (b *Bench) unseal(token string) (stage int, progress lesson.Progress, err error) {
	if b.env.Vault == nil {
		return 0, progress, errors.New("no progress is kept here")
	}
	return b.env.Vault.Unseal(token)
}

// startAfresh starts a lesson with numbers drawn anew, but for an assessment that is under way.
func (b *Bench) startAfresh(l *lesson.Lesson, r *LessonRequest) error {
	if a := b.underWay(l); a != nil && r.Seed == nil {
		return b.goOn(l, *a, r)
	}
	return b.startAnew(l, r)
}

func (b *Bench) startAnew(l *lesson.Lesson, r *LessonRequest) error {
	seed := b.env.Random() % seeds
	if l.Assessment != nil {
		seed = b.env.Random() % deals
	}
	if r.Seed != nil {
		if l.Assessment != nil {
			return errors.New(b.in.Say("problem.assessment-seed"))
		}
		if *r.Seed < 0 || *r.Seed > largestSeed {
			return fmt.Errorf("the numbers are drawn from a whole number from 0 to %d, not %d", largestSeed, *r.Seed)
		}
		seed = uint64(*r.Seed)
	}
	b.dealThen(l, seed, r, func(dealt *lesson.Lesson, err error) {
		if err != nil {
			b.refuse(err)
			return
		}
		b.depart()
		b.openRun(lesson.NewRun(dealt), r, 0, false)
	})
	return nil
}

// tellLost tells how many tasks that were begun or done are others in this edition of the lesson.
func (b *Bench) tellLost(run *lesson.Run) {
	if n := len(run.Lost); n > 0 {
		b.complain(errors.New(b.in.Say("problem.progress.lost", "count", strconv.Itoa(n))))
	}
}

// closeLesson leaves the lesson; the arm stays where it is, and is jogged as before the lesson.
func (b *Bench) closeLesson() {
	b.dropOpening()
	b.depart()
	left := b.lesson
	b.lesson, b.chosen.Lesson, b.wanted = nil, "", ""
	if left != nil {
		b.mounted.teaching = teaching{}
		b.chooseAgain(left.before.Chosen)
	}
	if g := b.ways.goal; g != nil && g.kind == WaysLesson {
		b.ways = comparison{}
	}
}

// leaveLesson goes on where the arm stands, or with what was on the bench before the lesson where that had another arm or cell.
func (b *Bench) leaveLesson() error {
	b.atRest(func() {
		lesson := b.lesson
		b.closeLesson()
		b.mounted.start = b.mounted.arm.Geometry.Start() // the start pose is the lesson's no more
		if lesson != nil {
			before := &lesson.before
			if arm := b.arm(before.Arm); arm != nil && (arm != b.mounted.arm || before.Cell != b.chosen.Cell) {
				b.enter(b.offer.cell(before.Cell))
				b.mount(arm, before.Tool, withinOr(arm, before.Joints))
				b.mounted.start = withinOr(arm, before.Start)
				b.restoreFrames(before.Chosen)
				return
			}
		}
		if around, err := b.around(b.drive().Setup().Tool); err == nil {
			b.drive().Refit(around)
		}
	})
	return nil
}

// chooseAgain chooses how to jog as it was chosen before, in the unit that is read in now.
func (b *Bench) chooseAgain(before Setup) {
	if before.Frame == "" {
		return // written down by a version that did not keep it
	}
	b.restoreFrames(before)
	b.page.aim = nil
	from, to := choicesIn[before.Unit], choicesIn[b.chosen.Unit]
	b.chosen.Increment = like(from.Increments, to.Increments, before.Increment)
	b.chosen.Speed = like(from.Speeds, to.Speeds, before.Speed)
	b.chosen.SetDistanceMM = before.SetDistanceMM
}

// inLesson returns why nothing is done in a lesson now, if so: none is open, or another one is about to be.
func (b *Bench) inLesson() error {
	switch title := b.preparing(); {
	case title != "":
		return errors.New(b.in.Say("problem.preparing", "lesson", title))
	case b.lesson == nil:
		return errors.New(b.in.Say("problem.no-lesson"))
	}
	return nil
}

// stage does what the page asks about the stage of the lesson.
func (b *Bench) stage(r *StageRequest, now time.Time) error {
	l := b.lesson
	if err := b.inLesson(); err != nil {
		return err
	}
	b.recount()
	switch r.Do {
	case StageBegin:
		return b.beginAssessment(now)
	case StageHandIn:
		return b.handIn(now)
	case StageGo:
		if err := b.hasStage(l.Lesson, r.Stage); err != nil {
			return err
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
		l.recall()
		return nil
	case StageShow:
		return b.showJog()
	}
	return fmt.Errorf("there is nothing to do with a stage by %q", r.Do)
}

// goTo begins another stage. One that goes on from the stage before leaves the arm where it is, where the learner comes
// from there.
func (b *Bench) goTo(stage int) {
	b.leaveTry()
	if b.lesson.Lesson.Stages[stage].GoOn && stage == b.lesson.At()+1 {
		b.atRest(func() { b.beginStage(stage) })
		return
	}
	b.release()
	b.putAt(b.lesson.Lesson.Stages[stage].Begin)
	b.beginStage(stage)
}

// putAt puts the lesson's arm at rest at these joint angles.
func (b *Bench) putAt(q kinematics.Joints) { b.mount(b.lesson.Lesson.Arm, b.lesson.Lesson.Tool, q) }

// beginStage begins a stage with the arm where it stands.
func (b *Bench) beginStage(stage int) {
	l := b.lesson
	l.In = b.in
	l.Enter(stage, b.drive()) // The stage is one of the lesson's.
	l.tryAnew(b)
	b.ways = comparison{} // Another stage may have another target.
	b.chooseAllowed()
}

// tryAnew begins a try with the arm where it stands.
func (l *lessonRun) tryAnew(b *Bench) {
	begin := b.drive().Standing()
	undistanced := begin.Setup()
	undistanced.SetDistance = 0 // The answers to the stage's questions do not depend on the learner's set distance.
	begin.Refit(undistanced)
	l.begin, l.verdict, l.jogs, l.showing = begin, nil, 0, false
	l.recall()
	l.look()
	b.mounted.start = begin.Joints()
}

// look finds out from where the stage is best seen as it begins.
func (l *lessonRun) look() {
	toEye, _ := l.Lesson.Face(l.Stage(), l.begin)
	face := array(toEye)
	l.face = &face
}

// recall brings back what was said of the last answer to the stage's task, or what is to be said of a task that was given up.
func (l *lessonRun) recall() {
	l.why, l.shown = "", nil
	answer, v, answered := l.Recall(l.begin)
	if answered {
		l.verdict = &v
	}
	if p := l.Progress.Stages[l.At()]; p.GivenUp && !p.Done {
		answer, answered = l.Right(l.begin).Answer, true
		l.why = l.Reason(l.begin, answer)
	}
	if answered {
		l.shown = shownView(l.Shown(l.begin, answer))
	}
}

func shownView(s lesson.Shown) *ShownView {
	v := &ShownView{Axes: []AxisView{}, LeverMM: arrays(s.Lever), PathMM: arrays(s.Path), LineMM: arrays(s.Line), GapMM: arrays(s.Gap)}
	if s.Place != nil {
		place := array(*s.Place)
		v.PlaceMM = &place
	}
	for _, a := range s.Axes {
		v.Axes = append(v.Axes, AxisView{AtMM: array(a.At), Along: array(a.Along), Joint: axisName(a.Joint)})
	}
	return v
}

// axisName is the joint whose axis it is; "" for none.
func axisName(joint int) string {
	if joint < 0 {
		return ""
	}
	return kinematics.JointNames[joint]
}

func arrays(points []r3.Vec) [][3]float64 {
	all := make([][3]float64, 0, len(points))
	for _, p := range points {
		all = append(all, array(p))
	}
	return all
}

// again puts the arm back to where the stage began, for the next try.
func (b *Bench) again() error {
	l := b.lesson
	_, free := l.Stage().Task.(*lesson.Free) // Driving as one likes may begin anew at any time.
	if l.jogs > 0 && !free {
		l.GiveUp()
	}
	b.release()
	b.putAt(l.begin.Joints())
	l.In = b.in
	l.Again(b.drive())
	l.tryAnew(b)
	return nil
}

// showJog lets the arm make the jog that was to be predicted, from where the stage began.
func (b *Bench) showJog() error {
	l := b.lesson
	predict, ok := l.Stage().Task.(*lesson.Predict)
	if !ok || !l.MayJog() {
		return errors.New(b.in.Say("problem.answer-first"))
	}
	b.release()
	b.putAt(l.begin.Joints())
	l.showing = true
	if err := b.drive().Start(predict.Jog[0]); err != nil {
		return err
	}
	b.tick()
	return nil
}

func (b *Bench) answer(r *AnswerRequest) error {
	l := b.lesson
	if err := b.inLesson(); err != nil {
		return err
	}
	a := lesson.Answer{Direction: r.Direction, Joints: r.Joints, Stop: r.Stop, Number: r.Number, Options: r.Options}
	if r.Arrow != nil {
		arrow := vector(*r.Arrow)
		a.Arrow = &arrow
	}
	b.recount()
	l.In = b.in
	v, err := l.Answer(l.begin, a)
	if err != nil {
		return err
	}
	v.OfNow = !v.Done && b.drive().Joints() != l.begin.Joints() && l.OfNow(b.drive().Standing(), a)
	l.verdict, l.shown = &v, shownView(l.Shown(l.begin, a))
	return nil
}

// moved tells the lesson of a tick.
func (l *lessonRun) moved(d *jog.Drive) {
	if l != nil && !l.showing {
		l.Moved(d)
	}
}

// jogged tells the lesson of the end of a jog.
func (l *lessonRun) jogged(d *jog.Drive) {
	if l == nil {
		return
	}
	if l.showing {
		l.showing = false
		return
	}
	wasDone := l.Progress.Stages[l.At()].Done
	if !wasDone {
		l.jogs++ // what comes after is no part of how it was done
	}
	if v := l.Jogged(d); !wasDone && (v.Done || v.Failed) {
		l.verdict = &v
	}
}

// passTime counts the time that the learner spends in the stage.
func (b *Bench) passTime(now time.Time) {
	if b.lesson != nil {
		b.lesson.Wait(min(now.Sub(b.page.asked), longestPause).Seconds())
	}
	b.page.asked = now
}

// result signs what the learner has done: of an assessment once it is handed in, of any other lesson at any time.
func (b *Bench) result(r *ResultRequest, now time.Time) error {
	l := b.lesson
	if err := b.inLesson(); err != nil {
		return err
	}
	switch {
	case b.env.Vault == nil:
		return errors.New(b.in.Say("problem.no-signing"))
	case l.assessed() && !l.HandedIn():
		return errors.New(b.in.Say("problem.hand-in-first"))
	}
	o, err := b.learnerOf(r)
	if err != nil {
		return err
	}
	b.recount()
	o.Finished, o.Progress, o.Vouched, o.Assessment = now, l.Scored(), !l.resumed, l.assessed()
	if l.assessed() {
		o.Finished = l.Progress.Handed
		if a := b.begunOf(l.Lesson.ID); a != nil {
			o.Progress.Times = max(o.Progress.Times, a.Times)
		}
	}
	text, err := b.env.Vault.Sign(o)
	if err != nil {
		return err
	}
	b.tell("result", ResultMessage{Name: resultName(l.Lesson.ID, cmp.Or(o.Learner, o.Number, o.Email), string(text)), Text: string(text)})
	return nil
}

// longestName in bytes is more than any name needs: 60 letters of up to four bytes, as in a class.
const longestName = 240

// mayJog returns why the lesson does not let the arm be jogged in a frame now; "" is any frame.
func (b *Bench) mayJog(f jog.Frame) error {
	l := b.lesson
	if l == nil {
		return nil
	}
	if !l.MayJog() {
		switch {
		case l.Waits():
			return errors.New(b.in.Say("problem.begin-first"))
		case l.AnswerFirst():
			return errors.New(b.in.Say("problem.answer-first"))
		}
		return errors.New(b.in.Say("problem.again-first"))
	}
	if f != "" && !l.allows().Permits(f) {
		return errors.New(b.in.Say("problem.lesson-frame"))
	}
	return nil
}

// OpenLesson is the ID of the lesson that is open, "" for none.
func (b *Bench) OpenLesson() string {
	if b.lesson == nil {
		return ""
	}
	return b.lesson.Lesson.ID
}
