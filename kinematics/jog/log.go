package jog

import (
	"errors"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/kinematics/clearance"
)

// Entry is one jog that was driven.
type Entry struct {
	Number      int       // counted from 1 since the log began; it stays when other entries go
	Jog         Jog       // as it was asked for
	Task        TaskFrame // the frame that it was in, where that is a task frame
	Tool        string
	TCP         kinematics.Pose   // of the tool
	SetDistance float64           // mm
	From, To    kinematics.Joints // where it began and ended
	Began       int64             // ticks
	Ended       int64
	LetGo       int64 // how many ticks after its start the control was let go or the link was lost; 0: it was not

	// Why it ended and how far it got. Of the rest only what is told in a few words is kept: Joint, Kind and the names of
	// what touched what.
	Stop Stop

	// Changed reports that more was done to the jog than to start it and to let go: it was steered on its way, or a part
	// of it was undone. Its Step leads to the same place along the same path, but in its own time. Every other jog is the
	// same motion bit for bit when it is driven again from the same joints and let go at the same tick.
	Changed bool

	lean [6]int8 // which way the joints came to its end, in parts of the quickest
}

// Step returns the step that leads along the same path to the same place as the jog, also where that was let go
// or stopped before its end. It is false where the jog went nowhere.
func (e Entry) Step() (Jog, bool) {
	j := e.Jog
	j.Amount, j.Asked.Amounts = e.Stop.Travel, [6]float64{}
	return j, e.went()
}

// went reports whether the jog got anywhere.
func (e *Entry) went() bool { return e.Stop.Travel > smallestAmount }

// path returns the path that the jog was driven along, in the same surroundings as then.
func (e *Entry) path(now *Setup) (path, error) {
	setup := Setup{Arm: now.Arm, Mount: now.Mount, Tool: kinematics.Tool{TCP: e.TCP}, Tasks: []TaskFrame{e.Task}}
	p, err := newPath(&setup, e.From, e.Jog)
	if err == nil && e.Jog.Frame != JointFrame {
		// In other surroundings, as where the arm was mounted otherwise since, the path leads elsewhere.
		shift, _ := p.tcp(e.Stop.Travel).Twist(now.Arm.Forward(e.To).Mul(e.TCP))
		if r3.Norm(shift) > 1e-3 {
			err = ErrMoved
		}
	}
	return p, err
}

// leanOf returns the speeds of joints in parts of the quickest.
func leanOf(turning *kinematics.Joints) (lean [6]int8) {
	quickest := stillest
	for _, speed := range turning {
		quickest = math.Max(quickest, math.Abs(speed))
	}
	for i, speed := range turning {
		lean[i] = int8(math.Round(math.MaxInt8 * speed / quickest))
	}
	return lean
}

// How many entries a log keeps. Of jogs that went nowhere it keeps few, so that they do not push out what can be undone.
const (
	entriesKept = 1000
	refusedKept = 100
)

// Log is what was driven, in order, less what was undone: the last entriesKept jogs. It keeps every entry as its bytes, at
// most 150 for all but those before which the arm was put elsewhere, and unpacks the one that is asked for.
type Log struct {
	entries []packed
	begun   int // entries so far
	went    int // entries that got somewhere

	// What many entries have in common.
	around  []around
	tasks   []TaskFrame
	touches []touch
}

// around is what a jog was driven with.
type around struct {
	tool        string
	tcp         kinematics.Pose
	setDistance float64
}

// touch names two parts.
type touch struct{ a, b clearance.Part }

// Len returns how many entries there are.
func (l *Log) Len() int { return len(l.entries) }

// Begun returns how many entries were ever added, those included that are gone.
func (l *Log) Begun() int { return l.begun }

// Entry returns one of them, the oldest is 0.
func (l *Log) Entry(i int) Entry {
	e, _ := l.unpack(i) // what was packed can be unpacked
	return e
}

// Entries returns all of them.
func (l *Log) Entries() []Entry {
	all := make([]Entry, l.Len())
	for i := range all {
		all[i] = l.Entry(i)
	}
	return all
}

// Record takes note of the jog that the drive has just ended. One that was an undo is taken from the log, as far as it
// got; every other is added.
func (l *Log) Record(d *Drive) {
	if d.undo > 0 {
		if l.Len() > 0 {
			l.takeBack(d)
		}
		return
	}
	s := d.stop
	e := Entry{
		Jog: d.jog, Tool: d.setup.Tool.Name, TCP: d.setup.Tool.TCP, SetDistance: d.setup.SetDistance,
		From: d.from, To: d.q, Began: d.began, Ended: d.Ticks, LetGo: d.letGo, Changed: d.steered, lean: leanOf(&d.turning),
		Stop: Stop{Reason: s.Reason, Travel: s.Travel, Joint: s.Joint, Kind: s.Kind, Touch: clearance.Pair{A: s.Touch.A, B: s.Touch.B}},
	}
	if e.Jog.Frame.Traits().Named {
		e.Task, _ = d.setup.task(e.Jog.Task) // it was driven in
	}
	l.keep(e)
}

// keep adds an entry of a number of its own, and makes room for it.
func (l *Log) keep(e Entry) {
	l.begun++
	e.Number = l.begun
	l.add(e)
	l.makeRoom()
}

// takeBack takes from the last entry what the drive has undone of it.
func (l *Log) takeBack(d *Drive) {
	last := l.Entry(l.Len() - 1)
	l.removeLast()
	last.Stop.Travel = d.undo - d.now.s
	last.To, last.Changed = d.q, true
	for i, lean := range leanOf(&d.turning) {
		last.lean[i] = -lean
	}
	if last.Stop.Travel >= snap {
		l.add(last)
	}
}

func (l *Log) add(e Entry) {
	l.entries = append(l.entries, l.pack(&e))
	if e.went() {
		l.went++
	}
}

func (l *Log) removeLast() {
	last := l.Len() - 1
	if l.entries[last].went() {
		l.went--
	}
	l.entries[last] = nil
	l.entries = l.entries[:last]
}

// makeRoom gives up the oldest entry where there are too many, or the oldest that went nowhere where there are too many of those.
func (l *Log) makeRoom() {
	i := 0
	switch {
	case l.Len()-l.went > refusedKept:
		i = slices.IndexFunc(l.entries, func(p packed) bool { return !p.went() })
	case l.Len() <= entriesKept:
		return
	}
	if l.entries[i].went() {
		l.went--
	}
	if i+1 < l.Len() {
		next := l.Entry(i + 1) // may count on where the one before it ended
		l.entries = slices.Delete(l.entries, i, i+1)
		l.entries[i] = l.packAt(i, &next)
	} else {
		l.entries = slices.Delete(l.entries, i, i+1)
	}
	l.tidy()
}

// tidy gives up what no entry has in common with another any more, now and then.
func (l *Log) tidy() {
	if len(l.around) < 2*entriesKept && len(l.tasks) < 2*entriesKept && len(l.touches) < 2*entriesKept {
		return
	}
	fresh := Log{begun: l.begun}
	for _, e := range l.Entries() {
		fresh.add(e)
	}
	*l = fresh
}

// CanUndo reports whether there is a jog that an undo would take back.
func (l *Log) CanUndo() bool { return l.went > 0 }

// Undoing reports whether the jog under way, or the last one, is an undo.
func (d *Drive) Undoing() bool { return d.undo > 0 }

// The errors of Undo.
var (
	ErrNothingToUndo = errors.New("there is no jog to undo")
	ErrMoved         = errors.New("the arm no longer stands where the last jog ended, so its path does not lead back from here")
)

// How near to the end of a jog the arm must be for its path to lead back from there. Where a jog began in a singularity,
// an undo back to it may leave two joints sharing their turn in another way.
const (
	sameJoints = 0.05 // rad
	samePlace  = 1e-6 // mm
)

// at reports whether the arm stands at these joint angles.
func (d *Drive) at(q *kinematics.Joints) bool {
	return farthestTurn(&d.q, q) <= sameJoints && farthestMove(d.setup, &d.q, q) < samePlace
}

// Undo starts the drive back along the path of the last jog, to where that began, at that jog's speed. Jogs after it that
// went nowhere are taken from the log. Record must be called when the drive has ended it. An error has changed nothing.
func (l *Log) Undo(d *Drive) error {
	if d.motion != nil {
		return ErrMoving
	}
	if !l.CanUndo() {
		return ErrNothingToUndo
	}
	i := l.Len() - 1
	for !l.entries[i].went() {
		i--
	}
	last := l.Entry(i)
	if !d.at(&last.To) {
		return ErrMoved
	}
	p, err := last.path(d.setup)
	if err != nil {
		return err
	}
	for l.Len() > i+1 {
		l.removeLast()
	}
	back := p.reversed(last.Stop.Travel, last.lean)
	if p.jog.Frame != JointFrame {
		back.known = p.driven(d.setup, last.Stop.Travel, &last.To)
	}
	d.begin(back, last.Stop.Travel)
	return nil
}
