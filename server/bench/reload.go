package bench

import (
	"reflect"

	"handrule/kinematics"
	"handrule/kinematics/jog"
	"handrule/scenarios/cellfile"
	"handrule/scenarios/lesson"
)

// This file takes up files that were saved anew while they are open at the bench.

// SetOffer takes up another offer. What is open stays as it is where its file has not changed, or is wrong now.
func (b *Bench) SetOffer(o *Offer) {
	b.page.touched = true
	before := b.offer
	b.offer = o
	b.reopen()
	switch l := b.lesson; { // what was asked for last comes first
	case b.wanted != "" && b.offered(b.wanted) != nil:
		if err := b.openLesson(&LessonRequest{ID: b.wanted}); err != nil {
			b.complain(err)
		}
	case l != nil:
		b.takeUpLesson()
	default:
		b.reloadArm(before)
	}
}

// offered returns the lesson with that id as this page gets it, or nil: its author gets the draft.
func (b *Bench) offered(id string) *lesson.Lesson {
	if draft := b.offer.draft(id); draft != nil && b.page.author {
		return draft
	}
	return b.offer.Lesson(id)
}

// takeUpLesson goes on in the version of the open lesson that this page gets, where it is another.
func (b *Bench) takeUpLesson() {
	if l := b.lesson; l != nil {
		if next := b.offered(l.Lesson.ID); next != nil && !next.Same(l.Lesson) && b.preparing() == "" {
			b.dealThen(next, l.Lesson.Seed, nil, func(dealt *lesson.Lesson, err error) {
				if err == nil { // else the numbers of this learner do not suit it; what is wrong is told with the file
					b.atRest(func() { b.reloadLesson(dealt) })
				}
			})
		}
	}
}

// reloadLesson goes on in another version of the lesson, in the same stage and dealt by the same number, and with what has
// been done so far where that still means the same.
func (b *Bench) reloadLesson(next *lesson.Lesson) {
	l, before, q := b.lesson, b.chosen, b.drive().Joints()
	if l == nil {
		return
	}
	run := lesson.NewRun(next)
	run.Resume(l.Progress) // or starts afresh
	b.tellLost(run)
	stage := run.Place(l.Progress, l.At())
	same := reflect.DeepEqual(next.Arm, b.mounted.arm)
	begin := next.Stages[stage].Begin
	if next.Stages[stage].GoOn && same {
		begin = q
	}
	b.lesson = &lessonRun{Run: run, edition: l.edition + 1, resumed: l.resumed, before: l.before}
	around := b.mounted
	keeps := same && reflect.DeepEqual(next.Cell, around.cell)
	b.enter(next.Cell)
	if keeps {
		b.mounted.taught = around.taught
	}
	b.putAt(begin)
	if keeps && b.chosen.Tool == before.Tool {
		b.mounted.teaching = around.teaching
	}
	b.beginStage(stage)
	b.restoreFrames(before)
	if same && b.chosen.Tool == before.Tool && b.clearAt(q) {
		b.standAt(q)
	}
}

// reloadArm takes up another version of the arm and the cell than was offered before, where no lesson is open.
func (b *Bench) reloadArm(before *Offer) {
	arm, cell := b.mounted.arm, b.mounted.cell
	if other := b.arm(arm.ID); other != nil && !reflect.DeepEqual(other, before.arm(arm.ID)) {
		arm = other
	}
	if cell != nil {
		if other := b.offer.cell(cell.ID); other != nil && !reflect.DeepEqual(other, before.cell(cell.ID)) {
			cell = onSameRail(other, cell)
		}
	}
	if arm == b.mounted.arm && cell == b.mounted.cell {
		return
	}
	b.atRest(func() {
		before, start, q := b.chosen, b.mounted.start, b.drive().Joints()
		if !arm.Geometry.Within(start) {
			start = arm.Geometry.Start()
		}
		b.enter(cell)
		b.mount(arm, before.Tool, start)
		b.restoreFrames(before)
		if arm.Geometry.Within(q) && b.clearAt(q) {
			b.standAt(q)
		}
	})
}

// onSameRail returns the cell with its carriage where it was in the version before, where both have a rail that goes there.
func onSameRail(cell, before *cellfile.Cell) *cellfile.Cell {
	if cell.Rail != nil && before.Rail != nil {
		if moved, err := cell.OnRail(before.Rail.At); err == nil {
			return moved
		}
	}
	return cell
}

// restoreFrames chooses the task frames of before again, where the cell still has them and the lesson allows it.
func (b *Bench) restoreFrames(before Setup) {
	if _, err := b.drive().Frame(before.Frame, before.Task, kinematics.Identity); err == nil && b.mayJog(before.Frame) == nil {
		b.chosen.Frame, b.chosen.Task = before.Frame, before.Task
	}
	if _, err := b.drive().Frame(before.ReadIn.Frame, before.ReadIn.Task, kinematics.Identity); err == nil {
		b.chosen.ReadIn = before.ReadIn
	}
}

// clearAt reports whether the arm would be inside nothing at these joint angles.
func (b *Bench) clearAt(q kinematics.Joints) bool {
	return b.mounted.cell == nil || len(b.mounted.cell.Contacts(b.mounted.arm, b.drive().Setup().Tool, q)) == 0
}

// standAt puts the arm at rest at these joint angles, which must be within its limits.
func (b *Bench) standAt(q kinematics.Joints) {
	if d, err := jog.New(b.drive().Setup(), q); err == nil {
		b.mounted.drive = d
		b.put++
	}
}

// faults is, for its author, what is wrong with the file of what is open, or wanted.
func (b *Bench) faults() FaultsMessage {
	m := FaultsMessage{Faults: []Fault{}}
	if !b.page.author {
		return m // What is wrong with a file, and what stands in it, is its author's alone.
	}
	add := func(id string) {
		for _, broken := range b.offer.Broken {
			if broken.ID != id {
				continue
			}
			m.Old = m.Old || !broken.Readable
			for _, p := range broken.Problems {
				m.Faults = append(m.Faults, Fault{File: p.File, Line: p.Line, Column: p.Column, Message: p.Message, Excerpt: p.Excerpt})
			}
		}
	}
	switch {
	case b.wanted != "":
		m.ID = b.wanted
		add(b.wanted)
	case b.lesson != nil:
		m.ID, m.Open = b.lesson.Lesson.ID, true
		add(m.ID)
	default:
		m.ID, m.Open = b.mounted.arm.ID, true
		add(b.mounted.arm.ID)
		if b.mounted.cell != nil && b.mounted.cell.ID != b.mounted.arm.ID {
			add(b.mounted.cell.ID)
		}
	}
	return m
}
