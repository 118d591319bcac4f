// Package bench is one learner's arm in its cell, with the lesson that is open and all that was chosen: requests go in, views
// come out. It has no transport and no clock of its own. Whoever owns a bench hands it requests and the time, lets the arm move
// while it is busy, gives its long questions time when there is some, and carries what it tells to the page. The same bench
// runs behind a socket and in a browser.
//
// A bench is not safe for use by several goroutines at once; its owner sees to that.
package bench

import (
	"errors"
	"fmt"
	"time"

	"handrule/kinematics"
	"handrule/kinematics/jog"
	"handrule/scenarios/armfile"
	"handrule/scenarios/cellfile"
	"handrule/scenarios/translation"
	"handrule/words"
)

// Lease is how long a held control moves the arm after it was last renewed. The owner lets the arm move some sixty times a
// second, so that the arm begins to stop within 250 ms.
const Lease = 225 * time.Millisecond

// Bounds of what a learner may choose.
const (
	minMM, maxMM   = 0.01, 500.0 // of a straight step
	minDeg, maxDeg = 0.01, 180.0 // of a turning step
	minSpeed       = 1.0         // mm/s and degrees/s
	maxDegS        = 90.0        // degrees/s
	queueLength    = 4           // steps that wait for the one under way
)

// Env is what a bench has from its owner.
type Env struct {
	Random func() uint64 // a number to draw a lesson's numbers from
	Vault  Vault         // nil: progress is not kept, and no result can be signed
	Ledger Ledger        // nil: every bench counts for itself in assessments, too
}

// Bench is one learner's arm in its cell. Its parts are one for each lifetime, and are replaced whole.
type Bench struct {
	env   Env
	offer *Offer
	in    *words.Language // what the page speaks, with its names for what is mounted

	page       *page      // the page that is connected, until another is
	watchers   []*Watcher // pages that see the arm and ask nothing of it
	chosen     Setup      // what the learner has chosen
	made       Setup      // what was chosen when the bench was made; nothing where it was restored
	mounted    mounted    // the arm where it stands, until another arm or cell is chosen
	driven     driven     // what was driven, until the arm is put elsewhere
	control    control    // what moves the arm or waits to, until it is let go
	lesson     *lessonRun // until it is left; nil: none is open
	opening    *opening   // the lesson that is opened or read again as soon as its numbers are dealt; nil: none
	wanted     string     // the lesson that is to be opened as soon as its file is right; "" for none
	predicting predicting
	ways       comparison
	put        int          // counts how often the arm was put elsewhere without having been driven there
	logs       int          // counts the logs of what was driven, of which each begins where the arm was put
	plot       jog.Recorder // how the joints went, until another arm is mounted
	thoughts   thoughts
	counted    *Counted     // in lessons
	begun      []beginnings // of assessments
	hashed     hashes
	own        own
	lent       own // somebody else's own arm that was put here
}

// mounted is the arm where it stands.
type mounted struct {
	arm    *armfile.Arm
	cell   *cellfile.Cell    // nil: the arm stands alone on its mounting surface
	start  kinematics.Joints // where restart puts the arm
	drive  *jog.Drive
	taught []jog.TaskFrame  // in the world
	found  *kinematics.Tool // whose TCP the learner has found
	// teaching outlasts that the arm is put elsewhere, as at the next stage of a lesson: what was taken holds as long as arm, cell
	// and tool are the same.
	teaching teaching
}

// driven is what was driven since the arm was put where it began.
type driven struct {
	stopped *jog.Stop // why the last motion ended, nil before the first
	undone  bool      // it was an undo
	stops   int       // motions that have ended
	crashes int       // contacts in motion
	log     jog.Log
	givenUp int    // entries of the log that there is no more room for
	change  func() // a change that waits until the arm stands
	before  *stood // where the arm stood when it was set back to its start pose; nil: it was not
}

// control is what moves the arm, or waits until it stands. Letting go replaces it by an empty one.
type control struct {
	queue   []jog.Direction // steps that wait
	held    *jog.Jog        // a hold that waits until the arm stands
	pulled  *pull           // the bound of the hold; nil for none
	part    float64         // of the chosen speed, that the hold runs at
	expires time.Time       // of the hold's lease
	playing *play           // the jog file that is played; nil: none
}

// New returns a bench with the first arm on it where it starts.
func New(offer *Offer, env Env) *Bench {
	b := &Bench{env: env, offer: offer, in: words.English, page: &page{}, counted: NewCounted(mostCounted)}
	b.chosen = Setup{
		Frame:     jog.JointFrame,
		ReadIn:    ReadInRequest{Frame: jog.BaseFrame},
		Unit:      words.MM,
		Increment: IncrementRequest{MM: 10, Deg: 5},
		Speed:     SpeedRequest{MMS: 50, DegS: 15},
	}
	b.mount(offer.Arms[0], "", offer.Arms[0].Geometry.Start())
	b.made = b.chosen
	return b
}

// mount puts an arm at rest in the cell, with its first tool or the named one.
func (b *Bench) mount(arm *armfile.Arm, toolName string, start kinematics.Joints) {
	b.plot.Break()
	if arm != b.mounted.arm {
		b.ways = comparison{}
		b.plot = jog.Recorder{}
		b.mounted.teaching = teaching{}
	}
	b.mounted.arm, b.mounted.start = arm, start
	b.speak(b.in)
	tool, err := arm.ToolAmong(b.tools(), toolName)
	if err != nil {
		tool = kinematics.NoTool
	}
	around, err := b.around(tool)
	if err != nil {
		b.complain(err)
	}
	if b.mounted.drive, err = jog.New(around, start); err != nil {
		panic(err) // around makes only setups that a drive takes
	}
	if b.chosen.Tool != tool.Name {
		b.mounted.teaching = teaching{}
	}
	b.mounted.teaching.problem = ""
	b.chosen.Arm, b.chosen.Tool = arm.ID, tool.Name
	b.stopPlay("")
	b.driven, b.control, b.page.aim = driven{}, control{}, nil
	b.put++
	b.beginLog()
	b.ways.mounted(b.mounted.drive)
	b.predicting.supersede()
}

// speak makes the bench speak a language, with the names that its arm and cell have in it and lengths in the chosen unit.
func (b *Bench) speak(in *words.Language) {
	b.in = b.calling(in)
	if b.lesson != nil {
		b.lesson.Speak(b.in)
	}
}

// calling is a language with the names that the arm and its cell have in it and lengths in the chosen unit.
func (b *Bench) calling(in *words.Language) *words.Language {
	texts := []translation.All{b.mounted.arm.Texts}
	if b.mounted.cell != nil {
		texts = append(texts, b.mounted.cell.Texts)
	}
	return translation.Calling(in.Reading(b.chosen.Unit), texts...)
}

// Handle does what the page asks. An error has changed nothing.
func (b *Bench) Handle(request any, now time.Time) error {
	b.keepTime(now)
	b.passTime(now)
	b.expire(now)
	if hold, is := request.(*HoldRequest); is && b.renew(hold, now) {
		return nil
	}
	b.page.touched = true
	switch r := request.(type) {
	case *StepRequest:
		return b.step(r.Direction)
	case *HoldRequest:
		return b.hold(r, now)
	case *ReleaseRequest:
		b.release()
	case *AimRequest:
		return b.aimAt(r.Direction)
	case *FrameRequest:
		return b.chooseFrame(r.Frame, r.Task)
	case *ReadInRequest:
		return b.readIn(*r)
	case *UnitRequest:
		return b.chooseUnit(r.Unit)
	case *SetDistanceRequest:
		return b.chooseSetDistance(r.MM)
	case *CellRequest:
		return b.chooseCell(r.ID)
	case *SceneRequest:
		return b.scene(r)
	case *RailRequest:
		return b.slide(r.MM)
	case *IncrementRequest:
		return b.chooseIncrement(*r)
	case *SpeedRequest:
		return b.chooseSpeed(*r)
	case *ToolRequest:
		return b.chooseTool(r.Name)
	case *OwnArmRequest:
		return b.sketchOwnArm(r)
	case *RealArmRequest:
		return b.realArm(r)
	case *OwnArmFileRequest:
		return b.takeOwnArm(r)
	case *ArmRequest:
		return b.chooseArm(r.ID)
	case *LessonRequest:
		return b.openLesson(r)
	case *StageRequest:
		return b.stage(r, now)
	case *AnswerRequest:
		return b.answer(r)
	case *ExtraTimeRequest:
		return b.extraTime(r)
	case *ResultRequest:
		return b.result(r, now)
	case *RestartRequest:
		return b.restart(r)
	case *UndoRequest:
		return b.undo()
	case *PlayRequest:
		return b.playFile(r)
	case *SaveLogRequest:
		b.tell("log-file", b.logFile())
	case *ShowRequest:
		return b.show(r)
	case *PieceRequest:
		return b.piece(r)
	case *TeachRequest:
		return b.teach(r)
	case *PredictFirstRequest:
		b.predictFirst(r)
	case *PredictRequest:
		return b.predict(r)
	case *WaysRequest:
		return b.way(r)
	default:
		return fmt.Errorf("the bench does not know what to do with %T", request)
	}
	return nil
}

func (b *Bench) step(d jog.Direction) error {
	if err := d.Check(); err != nil {
		return err
	}
	if err := b.mayGo(d); err != nil {
		return err
	}
	if b.predicting.on {
		return b.askFirst(b.stepJog(d), false)
	}
	if b.control.playing != nil {
		b.release() // whoever takes a control ends the play
	}
	if b.drive().Moving() {
		if b.drive().Jog().Held() && !b.drive().Ending() || len(b.control.queue) == queueLength {
			return errors.New(b.in.Say("problem.moving"))
		}
		b.control.queue = append(b.control.queue, d)
		return nil
	}
	return b.begin(b.stepJog(d))
}

// hold starts a continuous jog. While the arm moves it comes to rest first.
func (b *Bench) hold(r *HoldRequest, now time.Time) error {
	held, err := jog.HeldTogether(r.Directions, b.chosen.Speed.MMS, kinematics.Radians(b.chosen.Speed.DegS))
	if err != nil {
		return err
	}
	pulled, part, err := steering(r, held)
	if err != nil {
		return err
	}
	if r.Press <= b.page.press {
		return nil // a press that has ended cannot be renewed
	}
	if err := b.mayGo(held.Direction); err != nil {
		return err
	}
	if b.predicting.on {
		if err := b.askHeld(held); err != nil {
			return err
		}
		b.page.press = r.Press
		return nil
	}
	if pulled != nil {
		held = pulled.jog()
	}
	b.release()
	b.page.press = r.Press
	b.control = control{expires: now.Add(Lease), pulled: pulled, part: part}
	if b.drive().Moving() {
		b.control.held = &held
		return nil
	}
	return b.begin(held)
}

// renew renews the lease of the hold under way, which changes nothing that the page shows. It is false where the request is
// no renewal.
func (b *Bench) renew(r *HoldRequest, now time.Time) bool {
	if r.Press != b.page.press || !b.holding() && b.control.held == nil {
		return false
	}
	pulled, part, err := steering(r, b.drive().Jog())
	if err != nil {
		return false
	}
	b.control.expires, b.control.part = now.Add(Lease), part
	if pulled != nil && b.control.pulled != nil {
		b.control.pulled.to = pulled.to
	}
	b.steer()
	return true
}

// expire ends a hold whose lease has run out, before anything else is done at that time.
func (b *Bench) expire(now time.Time) {
	if !now.After(b.control.expires) {
		return
	}
	b.control.held = nil
	if b.holding() {
		b.loseLink()
		b.page.touched = true
	}
}

// holding reports whether a held control moves the arm. While the arm comes to rest after that, none does.
func (b *Bench) holding() bool {
	return b.control.playing == nil && b.drive().Moving() && b.drive().Jog().Held() && !b.drive().Ending()
}

// mayGo returns why the arm may not be jogged that way now: the lesson does not let it, or there is no such frame here.
func (b *Bench) mayGo(d jog.Direction) error {
	if err := b.mayJog(d.Frame); err != nil {
		return err
	}
	_, err := b.drive().Frame(d.Frame, d.Task, kinematics.Identity)
	return err
}

// stepJog is a step in the direction with the chosen increment and speed.
func (b *Bench) stepJog(d jog.Direction) jog.Jog {
	if d.Straight() {
		return jog.Jog{Direction: d, Amount: b.chosen.Increment.MM, Speed: b.chosen.Speed.MMS}
	}
	return jog.Jog{Direction: d, Amount: kinematics.Radians(b.chosen.Increment.Deg), Speed: kinematics.Radians(b.chosen.Speed.DegS)}
}

// begin starts a jog and makes its first tick, so that the page sees the arm move at once.
func (b *Bench) begin(j jog.Jog) error {
	if err := b.drive().Start(j); err != nil {
		return err
	}
	b.page.aim = &j.Direction
	b.steer()
	b.tick()
	return nil
}

// release lets the arm come to rest on its path. It stands some ticks later.
func (b *Bench) release() {
	b.stopPlay("")
	b.control = control{}
	b.drive().Release()
}

// loseLink does the same because nobody is there to let go.
func (b *Bench) loseLink() {
	b.stopPlay("")
	b.control = control{}
	b.drive().LoseLink()
}

// Busy reports whether the clock has to go on: Advance is to be called some sixty times a second.
func (b *Bench) Busy() bool { return b.drive().Moving() || b.control.playing != nil }

// Used reports whether the learner has done anything that would be missed: moved the arm, opened a lesson or chosen another arm.
func (b *Bench) Used() bool { return b.driven.stops > 0 || b.lesson != nil || b.put > 1 || b.Busy() }

// Differs reports whether anything is otherwise than it was made, but for the unit that lengths are read in and what is round in it.
func (b *Bench) Differs() bool {
	return b.Used() || b.chosen != b.made
}

// Leave brings the arm to rest at once, in its own time, when nobody watches any more.
func (b *Bench) Leave() {
	b.loseLink()
	for b.drive().Moving() {
		b.tick()
	}
	b.page = &page{}
	b.dropOpening()
}

// Advance runs n ticks of the clock, the last of them now, and ends a hold whose lease has run out before the tick at which
// it had. So the arm goes no farther along than its lease lets it, however late the owner is.
func (b *Bench) Advance(n int, now time.Time) {
	b.keepTime(now)
	for i := range n {
		b.expire(now.Add(-time.Duration(n-1-i) * tickTime))
		if b.control.playing != nil && !b.drive().Moving() {
			b.playOn()
			return
		}
		if !b.drive().Moving() {
			return
		}
		b.tick()
		b.steer()
	}
}

// tickTime is a tick on the owner's clock.
const tickTime = time.Second / jog.TickRate

func (b *Bench) tick() {
	d := b.drive()
	goesOn := b.control.playing.tick(d)
	b.lesson.moved(d)
	b.ways.moved(d)
	b.recorded()
	if !goesOn {
		b.ended()
	}
}

// ended takes note of how a motion ended, makes the change that waits, and starts the hold or the step that waits, unless
// something is amiss.
func (b *Bench) ended() {
	b.page.touched = true
	stop := b.drive().Stop()
	b.driven.stopped, b.driven.undone = &stop, b.drive().Undoing()
	b.driven.stops++
	b.pullOn(stop)
	if stop.Crash() {
		b.driven.crashes++
	}
	b.record()
	b.lesson.jogged(b.drive())
	b.ways.jogged(b.drive())
	b.played(stop)
	if change := b.driven.change; change != nil {
		b.driven.change = nil
		change()
	}
	if b.mayJog(stop.Jog.Frame) != nil {
		b.control.held, b.control.queue = nil, nil
	}
	if next := b.control.held; next != nil {
		if b.control.held = nil; b.begin(*next) == nil {
			return
		}
	}
	if queue := b.control.queue; len(queue) > 0 && !stop.Trouble() {
		b.control.queue = queue[1:]
		if b.begin(b.stepJog(queue[0])) == nil {
			return
		}
	}
	b.control.queue = nil
}

func (b *Bench) aimAt(d *jog.Direction) error {
	if d != nil {
		if err := d.Check(); err != nil {
			return err
		}
	}
	b.page.aim = d
	return nil
}

func (b *Bench) chooseFrame(f jog.Frame, task string) error {
	if f == jog.TaskFrames && len(b.tasks()) == 0 {
		return errors.New(b.in.Say("problem.no-task-frame"))
	}
	d := jog.Direction{Frame: f, Task: task, Sign: 1}
	if err := d.Check(); err != nil {
		return err
	}
	if _, err := b.drive().Frame(f, task, kinematics.Identity); err != nil {
		return err
	}
	if !b.lesson.allows().Permits(f) {
		return errors.New(b.in.Say("problem.lesson-frame"))
	}
	b.release()
	b.chosen.Frame, b.chosen.Task, b.page.aim = f, task, nil
	b.predicting.withdraw()
	return nil
}

func (b *Bench) chooseIncrement(r IncrementRequest) error {
	if err := between("a straight step", r.MM, minMM, maxMM, "mm"); err != nil {
		return err
	}
	if err := between("a turning step", r.Deg, minDeg, maxDeg, "°"); err != nil {
		return err
	}
	if !b.lesson.allowsIncrement(r) {
		return errors.New(b.in.Say("problem.lesson-increment"))
	}
	b.chosen.Increment = r
	b.predicting.withdraw()
	return nil
}

func (b *Bench) chooseSpeed(r SpeedRequest) error {
	if err := between("the speed", r.MMS, minSpeed, jog.ReducedSpeed, "mm/s"); err != nil {
		return err
	}
	if err := between("the turning speed", r.DegS, minSpeed, maxDegS, "°/s"); err != nil {
		return err
	}
	if !b.lesson.allowsSpeed(r) {
		return errors.New(b.in.Say("problem.lesson-speed"))
	}
	b.release()
	b.chosen.Speed = r
	b.predicting.withdraw()
	return nil
}

func between(what string, x, low, high float64, unit string) error {
	if x >= low && x <= high {
		return nil
	}
	return fmt.Errorf("%s must be from %g to %g %s, not %g", what, low, high, unit, x)
}

func (b *Bench) chooseTool(name string) error {
	if b.lesson != nil {
		return errors.New(b.in.Say("problem.lesson-tool"))
	}
	tool, err := b.mounted.arm.ToolAmong(b.tools(), name)
	if err != nil {
		return err
	}
	around, err := b.around(tool)
	if err != nil {
		return err
	}
	b.atRest(func() {
		if b.drive().Refit(around) == nil {
			b.chosen.Tool = tool.Name
			b.predicting.withdraw()
			b.ways.mounted(b.drive()) // The tool point is another: its leap is no way.
		}
	})
	return nil
}

// atRest lets the arm come to rest and then makes the change.
func (b *Bench) atRest(change func()) {
	if b.release(); b.drive().Moving() {
		b.driven.change = change
		return
	}
	change()
}

func (b *Bench) chooseArm(id string) error {
	arm := b.arm(id)
	if arm == nil {
		return errors.New(b.in.Say("problem.no-arm", "name", clip(id)))
	}
	b.release()
	b.closeLesson()
	b.mounted.found, b.mounted.teaching = nil, teaching{}
	b.mount(arm, "", arm.Geometry.Start())
	return nil
}

func (b *Bench) restart(r *RestartRequest) error {
	if b.lesson != nil {
		return b.again()
	}
	start := b.mounted.start
	to := start
	if r.JointsDeg != nil {
		to = radians(r.JointsDeg)
		stand := b.stand()
		if err := b.mayStand(&stand, b.drive().Setup().Tool, to); err != nil {
			return err
		}
	}
	b.release()
	before := b.stood(to)
	b.mount(b.mounted.arm, b.chosen.Tool, to)
	b.mounted.start, b.driven.before = start, before
	return nil
}

// undo drives the arm back along the path of the last jog. Its first tick is made at once.
func (b *Bench) undo() error {
	if err := b.mayJog(""); err != nil {
		return err
	}
	if b.control.playing != nil && !b.drive().Moving() {
		b.stopPlay("")
	}
	err := b.driven.log.Undo(b.drive())
	if errors.Is(err, jog.ErrNothingToUndo) && b.driven.before != nil {
		return b.standAgain()
	}
	if err != nil {
		return err
	}
	b.predicting.supersede()
	b.page.aim = nil
	b.tick()
	return nil
}

func (b *Bench) drive() *jog.Drive { return b.mounted.drive }
