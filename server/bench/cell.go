package bench

import (
	"errors"
	"fmt"
	"slices"

	"handrule/kinematics"
	"handrule/kinematics/clearance"
	"handrule/kinematics/jog"
	"handrule/scenarios/cellfile"
	"handrule/words"
)

// This file is what stands around the arm: its cell, its frames, its tools, and the set distance.

// inContact is the distance in mm up to which the page says that two parts touch. The arm stops this near to a contact.
const inContact = 1e-5

// largestSetDistance in mm is more than any learner needs.
const largestSetDistance = 100.0

// surroundings are where the arm is bolted down: its cell, or else only its mounting surface.
func (b *Bench) surroundings() *cellfile.Cell {
	if b.mounted.cell != nil {
		return b.mounted.cell
	}
	return cellfile.Alone(b.mounted.arm)
}

// stand is the arm where it stands, with what the learner has made there.
func (b *Bench) stand() cellfile.Stand {
	return cellfile.Stand{Arm: b.mounted.arm, Cell: b.surroundings(), Taught: b.mounted.taught, Found: b.mounted.found}
}

// tools are what the arm can carry here.
func (b *Bench) tools() []kinematics.Tool {
	s := b.stand()
	return s.Tools()
}

// tasks are the frames that were taught here, and those of the cell.
func (b *Bench) tasks() []jog.TaskFrame {
	s := b.stand()
	return s.Tasks()
}

// around is what the motion needs to know of the arm with this tool where it stands; see Cell.Setup for the error.
func (b *Bench) around(tool kinematics.Tool) (jog.Setup, error) {
	stand := b.stand()
	return stand.Setup(tool, b.chosen.SetDistanceMM)
}

// base is the arm's base frame in the world.
func (b *Bench) base() kinematics.Pose { return b.surroundings().Base(b.mounted.arm) }

// seen returns a pose of the base frame in the frame that positions are read in.
func (b *Bench) seen(p kinematics.Pose) kinematics.Pose {
	return seenIn(b.readFrame(), p)
}

func seenIn(frame, p kinematics.Pose) kinematics.Pose {
	if frame == kinematics.Identity {
		return p
	}
	return frame.Inverse().Mul(p)
}

// readFrame is the frame that positions are read in, in the base frame.
func (b *Bench) readFrame() kinematics.Pose {
	frame, _ := b.drive().Frame(b.chosen.ReadIn.Frame, b.chosen.ReadIn.Task, kinematics.Identity) // chosen only where there is one
	return frame
}

func (b *Bench) readIn(r ReadInRequest) error {
	if r.Frame != jog.BaseFrame && r.Frame != jog.WorldFrame && r.Frame != jog.TaskFrames {
		return fmt.Errorf("positions are read in the base, world or a task frame, not %q", r.Frame)
	}
	if _, err := b.drive().Frame(r.Frame, r.Task, kinematics.Identity); err != nil {
		return err
	}
	b.chosen.ReadIn = r
	return nil
}

func (b *Bench) chooseSetDistance(mm float64) error {
	if err := between("the set distance", mm, 0, largestSetDistance, "mm"); err != nil {
		return err
	}
	b.atRest(func() {
		around := b.drive().Setup()
		around.SetDistance = mm
		if b.drive().Refit(around) == nil {
			b.chosen.SetDistanceMM = mm
		}
	})
	return nil
}

func (b *Bench) chooseCell(id string) error {
	var cell *cellfile.Cell
	if id != "" {
		if cell = b.offer.cell(id); cell == nil {
			return errors.New(b.in.Say("problem.no-cell", "name", clip(id)))
		}
	}
	b.closeLesson()
	b.enter(cell)
	b.mount(b.mounted.arm, b.chosen.Tool, b.mounted.start)
	return nil
}

// slide moves the carriage that the arm stands on. The base frame is elsewhere then, so what was driven and taught from it
// is no more.
func (b *Bench) slide(mm float64) error {
	if b.lesson != nil {
		return errors.New(b.in.Say("problem.lesson-rail"))
	}
	if b.Busy() {
		return errors.New(b.in.Say("problem.moving"))
	}
	cell, err := b.surroundings().Slide(b.mounted.arm, b.drive().Setup().Tool, b.drive().Joints(), mm)
	if err != nil {
		return err
	}
	before := b.mounted.cell
	b.mounted.cell = cell
	around, err := b.around(b.drive().Setup().Tool)
	if err == nil {
		err = b.drive().Refit(around)
	}
	if err != nil {
		b.mounted.cell = before
		return err
	}
	b.mounted.teaching = teaching{}
	b.driven, b.ways = driven{stops: b.driven.stops, crashes: b.driven.crashes}, comparison{}
	b.beginLog()
	b.predicting.supersede()
	return nil
}

// enter changes the cell; the arm must be mounted anew then.
func (b *Bench) enter(cell *cellfile.Cell) {
	b.mounted.cell, b.chosen.Cell = cell, ""
	b.mounted.taught, b.mounted.teaching, b.ways = nil, teaching{}, comparison{}
	if cell != nil {
		b.chosen.Cell = cell.ID
	}
	if b.chosen.Frame == jog.TaskFrames {
		b.chosen.Frame, b.chosen.Task = jog.BaseFrame, ""
	}
	if b.chosen.ReadIn.Frame == jog.TaskFrames {
		b.chosen.ReadIn = ReadInRequest{Frame: jog.BaseFrame}
	}
}

func (b *Bench) cellMessage() CellMessage {
	m := CellMessage{Base: place(b.base()), Things: []ThingView{}, Tasks: []TaskView{}}
	for _, t := range b.drive().Setup().Tasks {
		m.Tasks = append(m.Tasks, TaskView{Name: t.Name, Title: b.in.Named(t.Name), Place: place(t.Pose), Taught: slices.ContainsFunc(b.mounted.taught, func(own jog.TaskFrame) bool { return own.Name == t.Name })})
	}
	if b.mounted.cell == nil {
		return m
	}
	cell := b.mounted.cell
	m.ID, m.Name, m.About = cell.ID, cell.Texts.NameIn(b.in, cell.Name), cell.Texts.AboutIn(b.in, cell.About)
	if r := b.mounted.cell.Rail; r != nil {
		m.Rail = &RailView{FromMM: r.From, ToMM: r.To, AtMM: r.At}
	}
	for _, t := range b.mounted.cell.Things {
		view := thingView(t, b.in)
		if view.Shape == "half-space" && t.Pose.Rotation.Z.Z > 1-1e-9 {
			height := t.Pose.Position.Z
			m.FloorMM = &height
		}
		m.Things = append(m.Things, view)
	}
	return m
}

func thingView(t clearance.Thing, in *words.Language) ThingView {
	v := ThingView{Name: in.Named(t.Name), Place: place(t.Pose)}
	switch s := t.Shape.(type) {
	case clearance.Box:
		v.Shape, v.SizeMM = "box", array(s.Size)
	case clearance.Cylinder:
		v.Shape, v.SizeMM = "cylinder", [3]float64{s.Radius, s.Radius, s.Height}
	case clearance.Sphere:
		v.Shape, v.SizeMM = "sphere", [3]float64{s.Radius, s.Radius, s.Radius}
	default:
		v.Shape = "half-space"
	}
	return v
}
