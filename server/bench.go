package server

import (
	"crypto/ed25519"
	"errors"
	"fmt"
	"time"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/kinematics/jog"
	"handrule/scenarios/armfile"
	"handrule/scenarios/cellfile"
	"handrule/scenarios/lesson"
	"handrule/scenarios/spoken"
	"handrule/words"
)

// lease is how long a held control moves the arm after it was last renewed. The bench looks at it once a frame, so
// the arm stands within 250 ms.
const lease = 225 * time.Millisecond

// Bounds of what a learner may choose.
const (
	minMM, maxMM   = 0.01, 500.0 // of a straight step
	minDeg, maxDeg = 0.01, 180.0 // of a turning step
	minSpeed       = 1.0         // mm/s and degrees/s
	maxDegS        = 90.0        // degrees/s
	queueLength    = 4           // steps that wait for the one under way
)

// choices are what the page offers, from fine to coarse.
var choices = Choices{
	Increments: incrementRequests(lesson.Increments),
	Speeds:     []SpeedRequest{{5, 2}, {10, 5}, {25, 10}, {50, 15}, {100, 30}, {jog.ReducedSpeed, 60}},
}

// bench is one learner's arm in its cell. It is not safe for use by several goroutines; the session that has it
// open owns it.
type bench struct {
	offer  *Offer
	wanted string // the lesson that is to be opened as soon as its file is right; "" for none

	arm     *armfile.Arm
	cell    *cellfile.Cell    // nil: the arm stands alone on its mounting surface
	start   kinematics.Joints // where restart puts the arm
	drive   *jog.Drive
	setup   Setup
	lesson  *lessonRun // nil: none is open
	aim     *jog.Direction
	stopped *jog.Stop       // why the last motion ended, nil before the first
	queue   []jog.Direction // steps that wait
	crashes int             // contacts in motion since the arm was mounted
	log     jog.Log         // what was driven since then
	plot    plot            // how the joints went through it

	predicting predicting
	ways       comparison

	teaching teaching
	taught   []jog.TaskFrame  // in the world
	found    *kinematics.Tool // whose TCP the learner has found
	held     *jog.Jog         // a hold that waits until the arm stands
	pulled   *pull            // the bound of the hold; nil for none
	part     float64          // of the chosen speed, that the hold runs at
	calm     bool             // the page knows that the arm waits at a bound
	change   func()           // a change that waits until the arm stands
	playing  *play            // the jog file that is played; nil: none

	asked   time.Time // when the page asked for anything last
	press   int       // the number of the press that holds, or last held
	expires time.Time

	key  ed25519.PrivateKey             // signs results and seals progress
	in   *words.Language                // what the page speaks
	send func(word string, message any) // to the page; does nothing while none is connected
}

// newBench returns a bench with the first arm on it at its zero pose. The key signs results.
func newBench(offer *Offer, key ed25519.PrivateKey) *bench {
	b := &bench{offer: offer, key: key, in: words.English, send: func(string, any) {}}
	b.setup = Setup{
		Frame:     jog.JointFrame,
		ReadIn:    ReadInRequest{Frame: jog.BaseFrame},
		Increment: IncrementRequest{MM: 10, Deg: 5},
		Speed:     SpeedRequest{MMS: 50, DegS: 15},
	}
	b.mount(offer.Arms[0], "", kinematics.Joints{})
	return b
}

// mount puts an arm at rest on the bench, with its first tool or the named one.
func (b *bench) mount(arm *armfile.Arm, toolName string, start kinematics.Joints) {
	b.plot.Break()
	if arm != b.arm {
		b.ways = comparison{}
		b.plot.Recorder = jog.Recorder{}
	}
	b.arm, b.start = arm, start
	tool, err := arm.ToolAmong(b.tools(), toolName)
	if err != nil {
		tool = kinematics.NoTool
	}
	around, err := b.around(tool)
	if err != nil {
		b.send("problem", Problem{Message: spoken.Tell(err, b.in)})
	}
	if b.drive, err = jog.New(around, start); err != nil {
		panic(err) // around makes only setups that a drive takes
	}
	b.setup.Arm, b.setup.Tool = arm.ID, tool.Name
	b.aim, b.stopped, b.queue, b.crashes = nil, nil, nil, 0
	b.held, b.pulled, b.change, b.log, b.teaching = nil, nil, nil, jog.Log{}, teaching{}
	b.ways.mounted(b.drive)
	b.outdate()
	b.stopPlay("")
}

// handle does what the page asks. An error has changed nothing.
func (b *bench) handle(request any, now time.Time) error {
	b.passTime(now)
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
	case *SetDistanceRequest:
		return b.chooseSetDistance(r.MM)
	case *CellRequest:
		return b.chooseCell(r.ID)
	case *RailRequest:
		return b.slide(r.MM)
	case *IncrementRequest:
		return b.chooseIncrement(*r)
	case *SpeedRequest:
		return b.chooseSpeed(*r)
	case *ToolRequest:
		return b.chooseTool(r.Name)
	case *ArmRequest:
		return b.chooseArm(r.ID)
	case *LessonRequest:
		return b.openLesson(r)
	case *StageRequest:
		return b.stage(r)
	case *AnswerRequest:
		return b.answer(r)
	case *ResultRequest:
		return b.result(r, now)
	case *RestartRequest:
		return b.restart()
	case *UndoRequest:
		return b.undo()
	case *PlayRequest:
		return b.playFile(r)
	case *SaveLogRequest:
		b.send("log-file", b.logFile())
	case *PlotRequest:
		b.showPlot(r.On)
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

func (b *bench) step(d jog.Direction) error {
	if err := d.Check(); err != nil {
		return err
	}
	if err := b.mayJog(d.Frame); err != nil {
		return err
	}
	if b.playing != nil {
		b.release() // whoever takes a control ends the play
	}
	if b.predicting.on {
		return b.askFirst(b.stepJog(d))
	}
	if b.drive.Moving() {
		if b.drive.Jog().Held() && !b.drive.Ending() || len(b.queue) == queueLength {
			return errors.New(b.in.Say("problem.moving"))
		}
		b.queue = append(b.queue, d)
		return nil
	}
	return b.begin(b.stepJog(d))
}

// hold starts a continuous jog or renews its lease. While the arm moves it comes to rest first.
func (b *bench) hold(r *HoldRequest, now time.Time) error {
	held, err := jog.HeldTogether(r.Directions, b.setup.Speed.MMS, kinematics.Radians(b.setup.Speed.DegS))
	if err != nil {
		return err
	}
	pulled, part, err := r.steering(held)
	if err != nil {
		return err
	}
	if r.Press <= b.press {
		if r.Press == b.press && (b.holding() || b.held != nil) {
			b.expires, b.part = now.Add(lease), part
			if pulled != nil && b.pulled != nil {
				b.pulled.to = pulled.to
			}
			b.steer()
		}
		return nil // a press that has ended cannot be renewed
	}
	if err := b.mayJog(held.Frame); err != nil {
		return err
	}
	if b.predicting.on {
		b.press = r.Press
		return b.askHeld(held)
	}
	b.release()
	b.press, b.expires, b.pulled, b.part = r.Press, now.Add(lease), pulled, part
	if pulled != nil {
		held = pulled.jog()
	}
	if b.drive.Moving() {
		b.held = &held
		return nil
	}
	return b.begin(held)
}

// holding reports whether a held control moves the arm. While the arm comes to rest after that, none does.
func (b *bench) holding() bool {
	return b.playing == nil && b.drive.Moving() && b.drive.Jog().Held() && !b.drive.Ending()
}

// stepJog is a step in the direction with the chosen increment and speed.
func (b *bench) stepJog(d jog.Direction) jog.Jog {
	if d.Straight() {
		return jog.Jog{Direction: d, Amount: b.setup.Increment.MM, Speed: b.setup.Speed.MMS}
	}
	return jog.Jog{Direction: d, Amount: kinematics.Radians(b.setup.Increment.Deg), Speed: kinematics.Radians(b.setup.Speed.DegS)}
}

// begin starts a jog and makes its first tick, so that the page sees the arm move at once.
func (b *bench) begin(j jog.Jog) error {
	if err := b.drive.Start(j); err != nil {
		return err
	}
	b.aim = &j.Direction
	b.steer()
	b.tick(1)
	return nil
}

// release lets the arm come to rest on its path. It stands some ticks later.
func (b *bench) release() {
	b.queue, b.held, b.pulled = nil, nil, nil
	b.stopPlay("")
	b.drive.Release()
}

// loseLink does the same because nobody is there to let go.
func (b *bench) loseLink() {
	b.queue, b.held, b.pulled = nil, nil, nil
	b.stopPlay("")
	b.drive.LoseLink()
}

// busy reports whether the clock has to go on.
func (b *bench) busy() bool { return b.drive.Moving() || b.playing != nil }

// leave brings the arm to rest at once, in its own time, when nobody watches any more.
func (b *bench) leave() {
	b.loseLink()
	for b.drive.Moving() {
		b.tick(1)
	}
}

// advance runs n ticks of the clock, and ends a hold whose lease has run out.
func (b *bench) advance(n int, now time.Time) {
	if now.After(b.expires) {
		b.held = nil
		if b.holding() {
			b.loseLink()
		}
	}
	if b.playing != nil && !b.drive.Moving() {
		b.playOn()
		return
	}
	b.tick(n)
	b.steer()
}

func (b *bench) tick(n int) {
	waits := b.drive.Waiting()
	for range n {
		goesOn := b.playing.tick(b.drive)
		b.lesson.moved(b.drive)
		b.ways.moved(b.drive)
		if b.plot.moved(b.drive) {
			b.tellPlot()
		}
		if !goesOn {
			b.ended()
			return
		}
	}
	waits = waits && b.drive.Waiting()
	if !waits || !b.calm {
		b.send("state", b.state())
	}
	b.calm = waits
}

// ended tells the page how a motion ended, makes the change that waits, and starts the hold or the step that waits,
// unless something is amiss.
func (b *bench) ended() {
	stop := b.drive.Stop()
	b.stopped = &stop
	b.pullOn(stop)
	if stop.Crash() {
		b.crashes++
	}
	b.record()
	b.send("state", b.state())
	b.send("stop", stopMessage(stop, b.in))
	if b.lesson.jogged(b.drive) {
		b.tellLesson()
	}
	if b.ways.jogged(b.drive) {
		b.tellWays()
	}
	b.played(stop)
	if b.change != nil {
		b.change()
		b.change = nil
	}
	if b.mayJog(stop.Jog.Frame) != nil {
		b.held, b.queue = nil, nil
	}
	if next := b.held; next != nil {
		if b.held = nil; b.begin(*next) == nil {
			return
		}
	}
	if len(b.queue) > 0 && !stop.Trouble() {
		next := b.queue[0]
		b.queue = b.queue[1:]
		if err := b.begin(b.stepJog(next)); err == nil {
			return
		}
	}
	b.queue = nil
	if b.playing == nil {
		b.send("ghost", b.ghost())
	}
}

func (b *bench) aimAt(d *jog.Direction) error {
	if d != nil {
		if err := d.Check(); err != nil {
			return err
		}
	}
	b.aim = d
	if !b.drive.Moving() {
		b.send("ghost", b.ghost())
	}
	return nil
}

func (b *bench) chooseFrame(f jog.Frame, task string) error {
	if f == jog.TaskFrames && len(b.tasks()) == 0 {
		return errors.New(b.in.Say("problem.no-task-frame"))
	}
	d := jog.Direction{Frame: f, Task: task, Sign: 1}
	if err := d.Check(); err != nil {
		return err
	}
	around := b.drive.Setup()
	if _, err := around.Frame(f, task, kinematics.Identity); err != nil {
		return err
	}
	if !b.lesson.allows().Permits(f) {
		return errors.New(b.in.Say("problem.lesson-frame"))
	}
	b.release()
	b.setup.Frame, b.setup.Task, b.aim = f, task, nil
	b.changed()
	b.send("state", b.state())
	return nil
}

func (b *bench) chooseIncrement(r IncrementRequest) error {
	if err := between("a straight step", r.MM, minMM, maxMM, "mm"); err != nil {
		return err
	}
	if err := between("a turning step", r.Deg, minDeg, maxDeg, "°"); err != nil {
		return err
	}
	if !b.lesson.allowsIncrement(r) {
		return errors.New(b.in.Say("problem.lesson-increment"))
	}
	b.setup.Increment = r
	b.changed()
	return nil
}

func (b *bench) chooseSpeed(r SpeedRequest) error {
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
	b.setup.Speed = r
	b.changed()
	return nil
}

func between(what string, x, low, high float64, unit string) error {
	if x >= low && x <= high {
		return nil
	}
	return fmt.Errorf("%s must be from %g to %g %s, not %g", what, low, high, unit, x)
}

func (b *bench) chooseTool(name string) error {
	if b.lesson != nil {
		return errors.New(b.in.Say("problem.lesson-tool"))
	}
	tool, err := b.arm.ToolAmong(b.tools(), name)
	if err != nil {
		return err
	}
	around, err := b.around(tool)
	if err != nil {
		return err
	}
	b.atRest(func() {
		if b.drive.Refit(around) == nil {
			b.setup.Tool = tool.Name
			b.changed()
			b.send("state", b.state())
		}
	})
	return nil
}

// atRest lets the arm come to rest and then makes the change.
func (b *bench) atRest(change func()) {
	if b.release(); b.drive.Moving() {
		b.change = change
		return
	}
	change()
}

func (b *bench) chooseArm(id string) error {
	arm := b.offer.arm(id)
	if arm == nil {
		return errors.New(b.in.Say("problem.no-arm", "name", clip(id)))
	}
	b.release()
	b.closeLesson()
	b.found = nil
	b.mount(arm, "", kinematics.Joints{})
	b.tellAll()
	return nil
}

func (b *bench) restart() error {
	if b.lesson != nil {
		return b.again()
	}
	b.release()
	b.mount(b.arm, b.setup.Tool, b.start)
	b.tellAll()
	return nil
}

// undo drives the arm back along the path of the last jog. Its first tick is made at once.
func (b *bench) undo() error {
	if err := b.mayJog(""); err != nil {
		return err
	}
	b.outdate()
	if b.playing != nil {
		b.release()
	}
	if err := b.log.Undo(b.drive); err != nil {
		return err
	}
	b.aim = nil
	b.tick(1)
	return nil
}

// tellAll gives the page everything there is to know.
func (b *bench) tellAll() {
	b.send("arm", armMessage(b.arm, b.tools()))
	b.send("cell", b.cellMessage())
	b.send("setup", b.setup)
	b.send("state", b.state())
	if b.stopped != nil {
		b.send("stop", stopMessage(*b.stopped, b.in))
	}
	b.tellLog(0)
	b.send("teach", b.teachMessage())
	b.tellLesson()
	b.tellPredictions()
	b.tellWays()
	b.send("faults", b.faults())
	b.send("ghost", b.ghost())
}

// changed tells the page what was chosen, and the ghost that follows from it.
func (b *bench) changed() {
	b.withdraw()
	b.send("setup", b.setup)
	if !b.drive.Moving() {
		b.send("ghost", b.ghost())
	}
}

// tcpOf is where the mounted tool's TCP is with the links there.
func (b *bench) tcpOf(links kinematics.Links) kinematics.Pose {
	return b.arm.Geometry.FlangeOf(&links).Mul(b.drive.Tool())
}

func (b *bench) state() State {
	geometry, q := b.arm.Geometry, b.drive.Joints()
	links := geometry.Links(q)
	flange := geometry.FlangeOf(&links)
	tcp := flange.Mul(b.drive.Tool())
	began := geometry.Forward(b.drive.From()) // the flange then
	_, jacobian := geometry.Jacobian(q, b.drive.Tool())
	velocity, _ := jacobian.Velocity(b.drive.Speeds)
	near := geometry.Singularity(q, b.drive.Tool())

	s := State{
		Tick: b.drive.Ticks, JointsDeg: q.Degrees(), SpeedsDegS: b.drive.Speeds.Degrees(), DemandDegS: b.drive.Demand().Degrees(),
		Links: places(links), FlangePlace: place(flange), TCPPlace: place(tcp),
		ReadFrame: place(b.readFrame()), Flange: spoken.ReadingAfter(b.seen(began), b.seen(flange), b.in), TCP: spoken.ReadingAfter(b.seen(began.Mul(b.drive.Tool())), b.seen(tcp), b.in),
		TCPSpeedMMS: r3.Norm(velocity),
		Singularity: SingularityView{Near: near.Near, Kind: near.Kind, Condition: finite(near.Condition)},
	}
	around := b.drive.Setup()
	active, _ := around.Frame(b.setup.Frame, b.setup.Task, tcp) // chosen only where there is one
	s.ActiveFrame = place(active)
	s.ActiveAxes = place(kinematics.Pose{Position: tcp.Position, Rotation: active.Rotation})
	s.Crashes = b.crashes
	if near, ok := b.drive.Clearance(); ok {
		s.Clearance = clearanceView(near, b.in)
	}
	switch slowed := b.drive.Slowed; slowed {
	case jog.NotSlowed:
	case jog.Ceiling:
		s.SlowedBy = "reduced speed"
	default:
		s.SlowedBy = kinematics.JointNames[slowed]
	}
	if b.drive.Moving() {
		d := b.drive.Jog().Direction
		s.Moving = &d
	}
	return s
}

// ghost runs the next step ahead. While the arm moves there is none.
func (b *bench) ghost() Ghost {
	if b.aim == nil || b.drive.Moving() || b.predicting.on || b.lesson.hides("ghost") && b.lesson.hides("share") {
		return Ghost{PathMM: [][3]float64{}}
	}
	ahead, err := b.drive.Ahead(b.stepJog(*b.aim))
	if err != nil {
		return Ghost{PathMM: [][3]float64{}}
	}
	links := b.arm.Geometry.Links(ahead.Joints)
	tcp := b.tcpOf(links)
	g := Ghost{
		Direction: b.aim, Links: places(links), TCPPlace: place(tcp),
		Share: ahead.Share(), Travel: travel(*b.aim, ahead.Stop.Travel),
	}
	for i, q := range b.drive.Joints() {
		g.DeltaDeg[i] = kinematics.Degrees(ahead.Joints[i] - q)
	}
	for _, p := range ahead.Path {
		g.PathMM = append(g.PathMM, array(p))
	}
	if distance, seconds, err := b.drive.LongestStop(b.stepJog(*b.aim)); err == nil {
		g.AfterRun, g.AfterS = travel(*b.aim, distance), seconds
	}
	if ahead.Stop.Reason != jog.Done {
		stop := stopMessage(ahead.Stop, b.in)
		g.Stop = &stop
	}
	return g
}
