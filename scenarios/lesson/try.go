package lesson

import (
	"handrule/kinematics/jog"
)

// Try is how far a try of a driven task has got while the arm stands, beside what Progress keeps.
type Try struct {
	Over   bool    `json:"over,omitempty"`   // it has failed, and the next has not begun
	Length float64 `json:"length,omitempty"` // of the TCP's path so far, mm
	Turned float64 `json:"turned,omitempty"` // the most that the tool's direction has been off, rad
	Jogs   int     `json:"jogs,omitempty"`
}

// Try returns how far the try has got.
func (r *Run) Try() Try {
	t := Try{Over: r.over}
	if reach, is := r.watching.(*reachTry); is {
		t.Length, t.Turned, t.Jogs = reach.length, reach.turned, reach.jogs
	}
	return t
}

// TakeUp goes on in a try of a stage where it had got to: begin is the arm where the try began, now where it stands.
func (r *Run) TakeUp(stage int, t Try, begin, now *jog.Drive) error {
	if err := r.Enter(stage, begin); err != nil {
		return err
	}
	r.over = t.Over
	switch try := r.watching.(type) {
	case *reachTry:
		try.length, try.turned, try.jogs, try.at = t.Length, t.Turned, t.Jogs, now.TCP().Position
	case *freeTry:
		try.posture = now.Arm().Posture(now.Joints())
	}
	return nil
}
