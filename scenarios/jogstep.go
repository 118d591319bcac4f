package scenarios

import (
	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics/jog"
	"handrule/scenarios/spoken"
	"handrule/words"
)

// JogStep is a jog of a jog file, what is to be changed at rest before it, and how it ends.
type JogStep struct {
	jog.Jog                     // held where its end is not an amount
	MountTool   string          // the tool to be mounted; "" leaves the one there is
	TCP         *r3.Vec         // where the TCP of that tool was found to be, in the flange's frame, mm; nil: as its file says
	SetDistance *float64        // the clearance to stop at, mm; nil leaves it as it is
	Teach       []jog.TaskFrame // frames that are taught
	LetGo       int64           // ticks after its start at which the control is let go; 0: it is not
	Until       bool            // the jog goes on until something stops it

	at   place
	text string
}

// Line returns the number of its line in the file, and what that says.
func (s *JogStep) Line() (number int, text string) { return s.at.line, s.text }

// Changes reports whether something is to be changed before the step.
func (s *JogStep) Changes() bool { return s.MountTool != "" || s.SetDistance != nil || s.Teach != nil }

// Problem returns what is wrong with the step as a problem of the file at its line.
func (s *JogStep) Problem(file string, err error) Errors {
	return Errors{{File: file, Line: s.at.line, Column: s.at.column, Message: err.Error()}}
}

// Tick makes a tick of the drive that was started with the step, and lets go when it is time. It reports whether the jog
// goes on. One that is held and that nothing stops is let go after longestHold.
func (s *JogStep) Tick(d *jog.Drive) bool {
	if s.LetGo > 0 && d.Elapsed() >= s.LetGo || d.Elapsed() >= longestHold*jog.TickRate {
		d.Release()
	}
	return d.Tick()
}

// Completed reports whether the jog ended as its line says.
func (s *JogStep) Completed(stop jog.Stop) bool {
	switch {
	case s.Until:
		return stop.Trouble()
	case s.LetGo > 0:
		return stop.Reason == jog.Done || stop.Reason == jog.Released
	}
	return stop.Reason == jog.Done
}

// Unlike says how a jog ended that did not end as its line says.
func (s *JogStep) Unlike(stop jog.Stop) string {
	if s.Until && !stop.Trouble() {
		return "nothing stopped the arm. " + spoken.Sentence(stop, words.English)
	}
	return spoken.Sentence(stop, words.English)
}
