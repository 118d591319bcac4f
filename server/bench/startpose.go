package bench

import (
	"handrule/kinematics"
	"handrule/kinematics/jog"
)

// This file undoes "start pose", and what else puts the arm elsewhere at once. That is no jog, so there is no path to drive back along: the
// arm is put back where it stood, with what had been driven until then.

// stood is an arm that was put elsewhere, as it stood.
type stood struct {
	joints kinematics.Joints
	ticks  int64
	driven driven
}

// stood is what an undo would lead back to once the arm is put there. Where it stands there already, with nothing driven since, that is
// what an undo leads back to now.
func (b *Bench) stood(there kinematics.Joints) *stood {
	here := b.drive().Joints()
	if here == there && b.driven.log.Len() == 0 {
		return b.driven.before
	}
	if here == there {
		return nil
	}
	was := b.driven
	was.before, was.change, was.stopped = nil, nil, nil
	return &stood{here, b.drive().Ticks, was}
}

// standAgain puts the arm back where it stood before it was put elsewhere.
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
