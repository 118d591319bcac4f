package jog

import (
	"errors"
	"math"

	"handrule/kinematics"
)

// Entry is one jog that was driven.
type Entry struct {
	Jog      Jog // as it was asked for
	Tool     string
	Guard    float64           // mm
	From, To kinematics.Joints // where it began and ended
	Began    int64             // ticks
	Ended    int64
	Stop     Stop // why it ended, and how far it got

	path    path
	turning kinematics.Joints // how the joints came to its end
}

// Step returns the step that does what the jog did: along the same path to the same place, also where the jog was let go
// or stopped before its end. A held jog that was let go, and was not steered, and its step are the same motion tick by tick, because both
// brake at the same moment. One that ended in contact is braked before it, and one that a joint slowed, or that something
// on its path ended, may take a few ticks more or less; their ends and their paths are the same. It is false where the jog went nowhere.
func (e *Entry) Step() (Jog, bool) {
	j := e.Jog
	j.Amount = e.Stop.Travel
	return j, j.Amount > smallestAmount
}

// Log is all that was driven, in order, less what was undone.
type Log struct{ Entries []Entry }

// Record takes note of the jog that the drive has just ended. One that was an undo is taken from the log, as far as it
// got; every other is added.
func (l *Log) Record(d *Drive) {
	if d.path.back {
		n := len(l.Entries) - 1
		if n < 0 {
			return
		}
		last := &l.Entries[n]
		last.Stop.Travel = d.path.length - d.now.s
		last.To = d.q
		for i := range last.turning {
			last.turning[i] = 0 - d.turning[i]
		}
		if last.Stop.Travel < snap {
			l.Entries = l.Entries[:n]
		}
		return
	}
	l.Entries = append(l.Entries, Entry{
		Jog: d.path.jog, Tool: d.setup.Tool.Name, Guard: d.setup.Guard,
		From: d.from, To: d.q, Began: d.began, Ended: d.Ticks, Stop: d.stop, path: d.path, turning: d.turning,
	})
}

// What undo refuses.
var (
	errNothing = errors.New("there is no jog to undo")
	errMoved   = errors.New("the arm does not stand where its last jog ended, so there is no path back")
)

// How near to the end of a jog the arm must be for its path to lead back from there. Where a jog began in a singularity,
// an undo back to it may leave two joints sharing their turn in another way.
const (
	sameJoints = 0.05 // rad
	samePlace  = 1e-6 // mm
)

// at reports whether the arm stands at these joint angles.
func (d *Drive) at(q *kinematics.Joints) bool {
	for i := range q {
		if math.Abs(d.q[i]-q[i]) > sameJoints {
			return false
		}
	}
	return d.farthestMove(&d.q, q) < samePlace
}

// Undo starts the drive back along the path of the last jog, to where that began, at that jog's speed. Jogs that went
// nowhere are taken from the log on the way. Record must be called when the drive has ended it.
func (l *Log) Undo(d *Drive) error {
	if d.moving {
		return errMoving
	}
	for {
		n := len(l.Entries) - 1
		if n < 0 {
			return errNothing
		}
		last := &l.Entries[n]
		if last.Stop.Travel > smallestAmount {
			if !d.at(&last.To) {
				return errMoved
			}
			d.begin(last.path.reversed(last.Stop.Travel, last.turning))
			return nil
		}
		l.Entries = l.Entries[:n]
	}
}
