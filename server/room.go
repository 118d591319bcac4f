package server

import (
	"context"
	"time"

	"handrule/kinematics"
	"handrule/kinematics/jog"
	"handrule/scenarios/spoken"
	"handrule/words"
)

// roomPause is how long the room to move stands before it is worked out again. It is read, not watched.
const roomPause = 100 * time.Millisecond

// looksAtOnce is how much is looked at between two questions whether the work is still wanted.
const looksAtOnce = 64

// question is what the room to move depends on: an arm as it stands, and the frame.
type question struct {
	drive  *jog.Drive // stands where the arm is
	frame  jog.Frame
	task   string
	speeds jog.Speeds
	in     *words.Language
}

// same reports whether two questions have the same answer.
func (q *question) same(other *question) bool {
	return q.frame == other.frame && q.task == other.task && q.speeds == other.speeds && sameArm(q.drive, other.drive)
}

// sameArm reports whether two arms are alike, stand alike, and have the same around them.
func sameArm(a, b *jog.Drive) bool {
	now, then := a.Setup(), b.Setup()
	return a.Joints() == b.Joints() &&
		now.Scene == then.Scene && now.SetDistance == then.SetDistance && now.Arm == then.Arm && now.Tool.TCP == then.Tool.TCP && now.Mount == then.Mount
}

// surveyor works out the room to move beside the bench, so that the arm never waits for it.
type surveyor struct {
	asked chan question // has room for the newest
}

func newSurveyor() *surveyor { return &surveyor{asked: make(chan question, 1)} }

// ask replaces what was asked before.
func (s *surveyor) ask(q question) {
	select {
	case <-s.asked:
	default:
	}
	s.asked <- q
}

// run answers until ctx ends.
func (s *surveyor) run(ctx context.Context, answer func(RoomMessage)) {
	var last question
	for {
		select {
		case <-ctx.Done():
			return
		case q := <-s.asked:
			if last.in != nil && q.same(&last) {
				continue
			}
			survey, err := q.drive.Survey(q.frame, q.task, q.speeds)
			for err == nil && !survey.Advance(looksAtOnce) {
				err = ctx.Err()
			}
			if err != nil {
				continue
			}
			last = q
			rooms := survey.Rooms()
			m := RoomMessage{Frame: q.frame, Task: q.task}
			for i, r := range rooms {
				m.Room[i] = RoomView{Free: travel(r.Direction, r.Free)}
				if !r.Endless {
					m.Room[i].Cause, m.Room[i].Brief = spoken.Cause(r.Stop, q.in), spoken.Brief(r.Stop, q.in)
				}
			}
			answer(m)
			select {
			case <-ctx.Done():
				return
			case <-time.After(roomPause):
			}
		}
	}
}

// question is what is to be asked of the surveyor now; false where the lesson does not show the room to move.
func (b *bench) question() (question, bool) {
	return question{
		drive: b.drive.Standing(), frame: b.setup.Frame, task: b.setup.Task, in: b.in, speeds: b.speeds(),
	}, !b.lesson.hides("room") && !b.predicting.on
}

// speeds are the chosen ones.
func (b *bench) speeds() jog.Speeds {
	return jog.Speeds{Straight: b.setup.Speed.MMS, Turn: kinematics.Radians(b.setup.Speed.DegS)}
}
