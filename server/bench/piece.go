package bench

import (
	"fmt"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics/jog"
	"handrule/scenarios/lesson"
)

// piece sends a piece of a lesson file made of where the arm or the page's eye is now.
func (b *Bench) piece(r *PieceRequest) error {
	text := ""
	switch r.Of {
	case PiecePose:
		text = lesson.PosePiece(b.mounted.arm, b.drive().Joints())
	case PieceTarget:
		text = b.targetPiece()
	case PieceView:
		from, at := vector(r.FromMM), vector(r.AtMM)
		if size := max(r3.Norm(from), r3.Norm(at)); !(size <= farthestView) {
			return fmt.Errorf("a view is within %v mm of the world's origin", farthestView)
		}
		text = lesson.ViewPiece(from, at)
	default:
		return fmt.Errorf("there is no piece of %q", r.Of)
	}
	b.tell("piece", PieceMessage{Text: text})
	return nil
}

const farthestView = 100_000.0 // mm

// targetPiece is where the TCP is in the frame that positions are read in; in the base frame where that is a frame the
// learner has taught, which no file has.
func (b *Bench) targetPiece() string {
	in, tcp := b.chosen.ReadIn, b.drive().TCP()
	if slices.ContainsFunc(b.mounted.taught, func(t jog.TaskFrame) bool { return t.Name == in.Task }) {
		return lesson.TargetPiece(lesson.FrameName(jog.BaseFrame), tcp)
	}
	name := string(in.Frame)
	if in.Task != "" {
		name += " " + in.Task
	}
	return lesson.TargetPiece(lesson.FrameName(name), b.seen(tcp))
}
