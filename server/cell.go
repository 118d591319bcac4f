package server

import (
	"errors"
	"fmt"

	"handrule/kinematics"
	"handrule/kinematics/clearance"
	"handrule/kinematics/jog"
	"handrule/scenarios/cellfile"
)

// This file is what stands around the arm: its cell, its frames, its tools, and the set distance.

// touching is the distance in mm up to which the page says that two parts touch. The arm stops this near to a contact.
const touching = 1e-5

// largestSetDistance in mm is more than any learner needs.
const largestSetDistance = 100.0

// surroundings are where the arm is bolted down: its cell, or else only its mounting surface.
func (b *bench) surroundings() *cellfile.Cell {
	if b.cell != nil {
		return b.cell
	}
	return cellfile.Alone(b.arm)
}

// stand is the arm where it stands, with what the learner has made there.
func (b *bench) stand() cellfile.Stand {
	return cellfile.Stand{Arm: b.arm, Cell: b.surroundings(), Taught: b.taught, Found: b.found}
}

// tools are what the arm can carry here.
func (b *bench) tools() []kinematics.Tool {
	s := b.stand()
	return s.Tools()
}

// tasks are the frames that were taught here, and those of the cell.
func (b *bench) tasks() []jog.TaskFrame {
	s := b.stand()
	return s.Tasks()
}

// around is what the motion needs to know of the arm with this tool where it stands; see Cell.Setup for the error.
func (b *bench) around(tool kinematics.Tool) (jog.Setup, error) {
	stand := b.stand()
	return stand.Setup(tool, b.setup.SetDistanceMM)
}

// base is the arm's base frame in the world.
func (b *bench) base() kinematics.Pose { return b.surroundings().Base(b.arm) }

// seen returns a pose of the base frame in the frame that positions are read in.
func (b *bench) seen(p kinematics.Pose) kinematics.Pose {
	frame := b.readFrame()
	if frame == kinematics.Identity {
		return p
	}
	return frame.Inverse().Mul(p)
}

// readFrame is the frame that positions are read in, in the base frame.
func (b *bench) readFrame() kinematics.Pose {
	around := b.drive.Setup()
	frame, _ := around.Frame(b.setup.ReadIn.Frame, b.setup.ReadIn.Task, kinematics.Identity) // chosen only where there is one
	return frame
}

func (b *bench) readIn(r ReadInRequest) error {
	if !r.Frame.Traits().Fixed {
		return fmt.Errorf("positions are read in a frame that stands still, not in %q", r.Frame)
	}
	around := b.drive.Setup()
	if _, err := around.Frame(r.Frame, r.Task, kinematics.Identity); err != nil {
		return err
	}
	b.setup.ReadIn = r
	b.send("setup", b.setup)
	b.send("state", b.state())
	b.tellWays()
	return nil
}

func (b *bench) chooseSetDistance(mm float64) error {
	if err := between("the set distance", mm, 0, largestSetDistance, "mm"); err != nil {
		return err
	}
	b.atRest(func() {
		around := b.drive.Setup()
		around.SetDistance = mm
		if b.drive.Refit(around) == nil {
			b.setup.SetDistanceMM = mm
			b.changed()
		}
	})
	return nil
}

func (b *bench) chooseCell(id string) error {
	var cell *cellfile.Cell
	if id != "" {
		if cell = b.offer.cell(id); cell == nil {
			return errors.New(b.in.Say("problem.no-cell", "name", clip(id)))
		}
	}
	b.closeLesson()
	b.enter(cell)
	b.mount(b.arm, b.setup.Tool, b.start)
	b.tellAll()
	return nil
}

// slide moves the carriage that the arm stands on. The base frame is elsewhere then, so what was driven and taught from it
// is no more.
func (b *bench) slide(mm float64) error {
	if b.lesson != nil {
		return errors.New(b.in.Say("problem.lesson-rail"))
	}
	if b.busy() {
		return errors.New(b.in.Say("problem.moving"))
	}
	cell, err := b.surroundings().Slide(b.arm, b.drive.Setup().Tool, b.drive.Joints(), mm)
	if err != nil {
		b.send("cell", b.cellMessage()) // so that the page shows where the carriage still is
		return err
	}
	before := b.cell
	b.cell = cell
	around, err := b.around(b.drive.Setup().Tool)
	if err == nil {
		err = b.drive.Refit(around)
	}
	if err != nil {
		b.cell = before
		return err
	}
	b.stopped, b.log, b.teaching, b.ways = nil, jog.Log{}, teaching{}, comparison{}
	b.outdate()
	b.tellAll()
	return nil
}

// enter changes the cell; the arm must be mounted anew then.
func (b *bench) enter(cell *cellfile.Cell) {
	b.cell, b.setup.Cell = cell, ""
	b.taught, b.ways = nil, comparison{}
	if cell != nil {
		b.setup.Cell = cell.ID
	}
	if b.setup.Frame == jog.TaskFrames {
		b.setup.Frame, b.setup.Task = jog.BaseFrame, ""
	}
	if b.setup.ReadIn.Frame == jog.TaskFrames {
		b.setup.ReadIn = ReadInRequest{Frame: jog.BaseFrame}
	}
}

func (b *bench) cellMessage() CellMessage {
	m := CellMessage{Base: place(b.base()), Things: []ThingView{}, Tasks: []TaskView{}}
	for _, t := range b.drive.Setup().Tasks {
		m.Tasks = append(m.Tasks, TaskView{Name: t.Name, Place: place(t.Pose)})
	}
	if b.cell == nil {
		return m
	}
	m.ID, m.Name, m.About = b.cell.ID, b.cell.Name, b.cell.About
	if r := b.cell.Rail; r != nil {
		m.Rail = &RailView{FromMM: r.From, ToMM: r.To, AtMM: r.At}
	}
	for _, t := range b.cell.Things {
		view := thingView(t)
		if view.Shape == "half-space" && t.Pose.Rotation.Z.Z > 1-1e-9 {
			height := t.Pose.Position.Z
			m.FloorMM = &height
		}
		m.Things = append(m.Things, view)
	}
	return m
}

func thingView(t clearance.Thing) ThingView {
	v := ThingView{Name: t.Name, Place: place(t.Pose)}
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
