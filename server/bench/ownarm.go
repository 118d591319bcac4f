package bench

import (
	"errors"
	"slices"

	"handrule/kinematics"
	"handrule/scenarios/armfile"
	"handrule/scenarios/dhtable"
	"handrule/scenarios/form"
	"handrule/scenarios/measures"
)

// This file is the learner's own arm: what a table says of it while it is being written, and its arm file, which the page keeps and hands in.

// OwnArmID names the learner's own arm among those that are offered.
const OwnArmID = "own-arm"

// ownFileName is what messages call the file that the page hands in.
const ownFileName = OwnArmID + ".yaml"

// own is the learner's arm; the page keeps its text.
type own struct {
	arm  *armfile.Arm // nil: there is none
	text string
}

// arm returns the arm of that id that the learner may choose, or nil.
func (b *Bench) arm(id string) *armfile.Arm {
	if id == OwnArmID && b.own.arm != nil {
		return b.own.arm
	}
	return b.offer.arm(id)
}

// ownFile is the file of the arm that stands here, where it is the learner's own or somebody else's; "" where it is one of those that are
// offered to all.
func (b *Bench) ownFile() string {
	for _, own := range []own{b.own, b.lent} {
		if own.arm != nil && own.arm == b.mounted.arm {
			return own.text
		}
	}
	return ""
}

// sketchOwnArm tells what a table says of an arm so far.
func (b *Bench) sketchOwnArm(r *OwnArmRequest) error {
	var (
		sketch armfile.Sketch
		arm    *armfile.Arm
		notes  []string
		err    error
	)
	text := []byte(r.Text)
	if r.Forward != "" && !slices.Contains([]string{"x", "-x", "y", "-y"}, r.Forward) {
		return errors.New("x, -x, y or -y is forward")
	}
	switch r.Kind {
	case OwnArmDH:
		o := dhtable.Options{Convention: r.Convention, Forward: r.Forward, MountHeight: r.MountHeightMM}
		if !slices.Contains([]dhtable.Convention{dhtable.Classic, dhtable.Modified}, r.Convention) {
			return errors.New("a table is read as classic or modified")
		}
		sketch = dhtable.Sketch(OwnArmID, text, o)
		arm, notes, err = dhtable.Parse(OwnArmID, text, o)
	case OwnArmMeasures:
		sketch = measures.Sketch(OwnArmID, text, r.MountHeightMM)
		arm, notes, err = measures.Parse(OwnArmID, text, r.MountHeightMM)
	case OwnArmWhole:
		if arm, err = armfile.Parse(ownFileName, text); err == nil {
			sketch = armfile.Sketch{MountHeight: arm.MountHeight, Joints: arm.Geometry.Joints[:], End: &arm.Geometry.Flange}
		}
	default:
		return errors.New("an arm is written as a table of Denavit-Hartenberg parameters or of measures, or is an arm file")
	}
	m := OwnArmMessage{Notes: append([]string{}, notes...), Problems: problemsOf(err)}
	if err == nil {
		if r.Name != "" || r.Kind != OwnArmWhole { // which has a name of its own
			arm.Name = r.Name
		}
		if arm.Name == "" {
			arm.Name = b.in.Say("own-arm.unnamed")
		}
		whole, err := armfile.Parse(ownFileName, arm.Text())
		if m.Problems = problemsOf(err); err == nil {
			m.File, m.Solver = string(arm.Text()), whole.Geometry.Solver()
			m.Notes = append(m.Notes, whole.Notes()...)
		}
	}
	m.draw(&sketch, radians(&r.AtDeg))
	b.tell("own-arm", m)
	return nil
}

// draw writes the sketch with its joints at those angles, or at the nearest that their limits allow.
func (m *OwnArmMessage) draw(s *armfile.Sketch, q kinematics.Joints) {
	for i, j := range s.Joints {
		q[i] = max(j.Min, min(j.Max, q[i]))
	}
	drawn := s.At(q)
	m.Joints, m.WayMM = []OwnJoint{}, [][3]float64{}
	for i, j := range s.Joints {
		m.Joints = append(m.Joints, OwnJoint{
			Name: j.Name, AtMM: array(drawn.At[i]), Axis: array(drawn.Along[i]), AtDeg: kinematics.Degrees(q[i]),
			LimitsDeg: [2]float64{kinematics.Degrees(j.Min), kinematics.Degrees(j.Max)},
		})
	}
	for _, p := range drawn.Way {
		m.WayMM = append(m.WayMM, array(p))
	}
	if drawn.End != nil {
		end := place(*drawn.End)
		m.End = &end
	}
}

// problemsOf are the problems of a file with their places.
func problemsOf(err error) []CellProblem {
	problems := []CellProblem{}
	if err == nil {
		return problems
	}
	for _, p := range form.ProblemsOf(OwnArmID, err) {
		problems = append(problems, CellProblem{Line: max(p.Line, 1), Column: max(p.Column, 1), Message: p.Message})
	}
	return problems
}

// takeOwnArm takes the learner's own arm file, offers it beside the others and, if it is asked for, puts it on the bench. No text takes it
// back; the arm that stands stays.
func (b *Bench) takeOwnArm(r *OwnArmFileRequest) error {
	if r.Text == "" {
		b.putAwayOwn()
		return nil
	}
	arm, err := armfile.Parse(ownFileName, []byte(r.Text))
	if err != nil {
		b.tell("own-arm-file", OwnArmFileMessage{Problems: problemsOf(err)})
		return nil
	}
	if r.Text != b.own.text {
		b.putAwayOwn()
		b.own = own{arm, r.Text}
	}
	b.tell("own-arm-file", OwnArmFileMessage{Problems: []CellProblem{}, Name: arm.Name, Notes: arm.Notes()})
	if !r.Show {
		return nil
	}
	b.release()
	b.closeLesson()
	b.mounted.found = nil
	b.enter(nil)
	b.mount(b.own.arm, "", b.own.arm.Geometry.Start())
	return nil
}

// putAwayOwn takes the learner's own arm back. Where it stands it stays.
func (b *Bench) putAwayOwn() {
	if b.own.arm != nil && b.own.arm == b.mounted.arm {
		b.lent = b.own
	}
	b.own = own{}
}

// offerKey is what the list of what can be chosen is made of.
type offerKey struct {
	offer *Offer
	own   *armfile.Arm
}

// offerView lists what can be chosen, with the learner's own arm after the others.
func (b *Bench) offerView() OfferMessage {
	m := b.offer.Message(b.in, b.page.author)
	if arm := b.own.arm; arm != nil {
		m.Arms = append(slices.Clip(m.Arms), Listing{ID: OwnArmID, Title: b.in.Say("own-arm.listed", "name", arm.Name), About: arm.About})
	}
	return m
}
