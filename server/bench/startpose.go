package bench

import (
	"handrule/kinematics"
	"handrule/kinematics/jog"
)

// This file undoes "start pose". That is no jog, so there is no path to drive back along: the arm is put back where it stood, with
// what had been driven until then.

// stood is an arm that was set back to its start pose, as it stood.
type stood struct {
	joints kinematics.Joints
	ticks  int64
	driven driven
}

// stood is what an undo of the start pose would lead back to. Where nothing was driven since the arm was set back last, that is
// what it led to before.
func (b *Bench) stood() *stood {
	here := b.drive().Joints()
	if b.driven.before != nil && here == b.mounted.start && b.driven.log.Len() == 0 {
		return b.driven.before
	}
	if here == b.mounted.start {
		return nil
	}
	was := b.driven
	was.before, was.change, was.stopped = nil, nil, nil
	return &stood{here, b.drive().Ticks, was}
}

// standAgain puts the arm back where it stood before it was set back to its start pose.
func (b *Bench) standAgain() error {
	before := b.driven.before
	if b.drive().Moving() {
		return jog.ErrMoving
	}
	if !b.mounted.arm.Geometry.Within(before.joints) || !b.clearAt(before.joints) {
		return jog.ErrMoved // another tool, or another edition of the arm or its cell
	}
	b.plot.Break()
	b.standAt(before.joints)
	b.drive().Ticks = before.ticks
	b.driven, b.control, b.page.aim = before.driven, control{}, nil
	b.beginLog()
	b.ways.mounted(b.drive())
	b.predicting.supersede()
	return nil
}
