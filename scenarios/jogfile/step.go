package jogfile

import (
	"errors"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics/jog"
	"handrule/scenarios/cellfile"
	"handrule/scenarios/form"
	"handrule/scenarios/spoken"
	"handrule/words"
)

// Step is a jog of a jog file, what is to be changed at rest before it, and how it ends.
type Step struct {
	jog.Jog                     // held where its end is not an amount
	MountTool   string          // the tool to be mounted; "" leaves the one there is
	TCP         *r3.Vec         // where the TCP of that tool was found to be, in the flange's frame, mm; nil: as its file says
	SetDistance *float64        // the clearance to stop at, mm; nil leaves it as it is
	Teach       []jog.TaskFrame // frames that are taught
	LetGo       int64           // ticks after its start at which the control is let go; 0: it is not
	Until       bool            // the jog goes on until something stops it

	at   form.Place
	text string
}

// Line returns the number of its line in the file, and what that says.
func (s *Step) Line() (number int, text string) { return s.at.Line, s.text }

// Changes reports whether something is to be changed before the step.
func (s *Step) Changes() bool { return s.MountTool != "" || s.SetDistance != nil || s.Teach != nil }

// Problem returns what is wrong with the step as a problem of the file at its line.
func (s *Step) Problem(file string, err error) form.Errors {
	return form.Errors{{File: file, Line: s.at.Line, Column: s.at.Column, Message: err.Error()}}
}

// Tick makes a tick of the drive that was started with the step, and lets go when it is time. It reports whether the jog
// goes on. One that is held and that nothing stops is let go after longestHold.
func (s *Step) Tick(d *jog.Drive) bool {
	if s.LetGo > 0 && d.Elapsed() >= s.LetGo || d.Elapsed() >= longestHold*jog.TickRate {
		d.Release()
	}
	return d.Tick()
}

// Completed reports whether the jog ended as its line says.
func (s *Step) Completed(stop jog.Stop) bool {
	switch {
	case s.Until:
		return stop.Trouble()
	case s.LetGo > 0:
		return stop.Reason == jog.Done || stop.Reason == jog.Released
	}
	return stop.Reason == jog.Done
}

// unlike says how a jog ended that did not end as its line says.
func (s *Step) unlike(stop jog.Stop) string {
	if s.Until && !stop.Trouble() {
		return "nothing stopped the arm. " + spoken.Sentence(stop, words.English)
	}
	return spoken.Sentence(stop, words.English)
}

// Prepare makes the changes that the step asks for before it, on the drive and on the stand. Where there is an
// error neither is changed.
func (step *Step) Prepare(s *cellfile.Stand, d *jog.Drive) error {
	if !step.Changes() {
		return nil
	}
	now, next := d.Setup(), *s
	for _, frame := range step.Teach {
		if err := next.Teach(frame); err != nil {
			return err
		}
	}
	tool, setDistance := now.Tool, now.SetDistance
	var err error
	if step.MountTool != "" {
		if tool, err = s.Arm.ToolAmong(s.Tools(), step.MountTool); err != nil {
			return err
		}
		if step.TCP != nil {
			tool = cellfile.WithTCP(tool, *step.TCP)
			next.Found = &tool
		}
	}
	if step.SetDistance != nil {
		setDistance = *step.SetDistance
	}
	around, err := next.Setup(tool, setDistance)
	if err != nil {
		return err
	}
	if err := d.Refit(around); err != nil {
		return err
	}
	*s = next
	return nil
}

// Rehearse drives the steps of a jog file one after the other, in no time. Each is told what happens: before the first tick
// of a step its line, after a tick nothing, and after its last why it ended. The first step that does not end as its line
// says is the last; unlike then says how it ended. The error is of a step that asks for what there is not.
func Rehearse(s *cellfile.Stand, d *jog.Drive, file string, steps []Step, each func(event string)) (unlike form.Errors, err error) {
	for i := range steps {
		step := &steps[i]
		if err := step.Prepare(s, d); err != nil {
			return nil, step.Problem(file, err)
		}
		each("start " + step.text)
		if err := d.Start(step.Jog); err != nil {
			return nil, step.Problem(file, err)
		}
		for step.Tick(d) {
			each("")
		}
		stop := d.Stop()
		event := string(stop.Reason)
		if stop.Trouble() {
			event += ": " + spoken.Sentence(stop, words.English)
		}
		each(event)
		if !step.Completed(stop) {
			return step.Problem(file, errors.New(step.unlike(stop))), nil
		}
	}
	return nil, nil
}
