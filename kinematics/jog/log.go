package jog

import (
	"errors"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
)

// Entry is one jog that was driven.
type Entry struct {
	Jog         Jog       // as it was asked for
	Task        TaskFrame // the frame that it was in, where that is a task frame
	Tool        string
	TCP         kinematics.Pose   // of the tool
	SetDistance float64           // mm
	From, To    kinematics.Joints // where it began and ended
	Began       int64             // ticks
	Ended       int64
	LetGo       int64 // how many ticks after its start the control was let go or the link was lost; 0: it was not
	Stop        Stop  // why it ended, and how far it got

	// Changed reports that more was done to the jog than to start it and to let go: it was steered on its way, or a part
	// of it was undone. Its Step leads to the same place along the same path, but in its own time. Every other jog is the
	// same motion bit for bit when it is driven again from the same joints and let go at the same tick.
	Changed bool

	turning kinematics.Joints // how the joints came to its end
}

// Step returns the step that leads along the same path to the same place as the jog, also where that was let go
// or stopped before its end. It is false where the jog went nowhere.
func (e *Entry) Step() (Jog, bool) {
	j := e.Jog
	j.Amount, j.Asked.Amounts = e.Stop.Travel, [6]float64{}
	return j, j.Amount > smallestAmount
}

// Log is all that was driven, in order, less what was undone.
type Log struct{ Entries []Entry }

// Record takes note of the jog that the drive has just ended. One that was an undo is taken from the log, as far as it
// got; every other is added.
func (l *Log) Record(d *Drive) {
	if d.undo > 0 {
		n := len(l.Entries) - 1
		if n < 0 {
			return
		}
		last := &l.Entries[n]
		last.Stop.Travel = d.undo - d.now.s
		last.To, last.Changed = d.q, true
		for i := range last.turning {
			last.turning[i] = 0 - d.turning[i]
		}
		if last.Stop.Travel < snap {
			l.Entries = l.Entries[:n]
		}
		return
	}
	e := Entry{
		Jog: d.jog, Tool: d.setup.Tool.Name, TCP: d.setup.Tool.TCP, SetDistance: d.setup.SetDistance,
		From: d.from, To: d.q, Began: d.began, Ended: d.Ticks, LetGo: d.letGo, Stop: d.stop, Changed: d.steered,
		turning: d.turning,
	}
	if e.Jog.Frame == TaskFrames {
		e.Task, _ = d.setup.task(e.Jog.Task) // it was driven in
	}
	l.Entries = append(l.Entries, e)
}

// CanUndo reports whether there is a jog that an undo would take back.
func (l *Log) CanUndo() bool {
	return slices.ContainsFunc(l.Entries, func(e Entry) bool { return e.Stop.Travel > smallestAmount })
}

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

// Undo starts the drive back along the path of the last jog, to where that began, at that jog's speed. Jogs that went
// nowhere are taken from the log on the way. Record must be called when the drive has ended it.
func (l *Log) Undo(d *Drive) error {
	if d.motion != nil {
		return ErrMoving
	}
	for {
		n := len(l.Entries) - 1
		if n < 0 {
			return ErrNothingToUndo
		}
		last := &l.Entries[n]
		if last.Stop.Travel > smallestAmount {
			if !d.at(&last.To) {
				return ErrMoved
			}
			p, err := last.path(d.setup)
			if err != nil {
				return err
			}
			d.begin(p.reversed(last.Stop.Travel, last.turning), last.Stop.Travel)
			return nil
		}
		l.Entries = l.Entries[:n]
	}
}

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
