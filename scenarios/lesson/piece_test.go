package lesson_test

import (
	"handrule/kinematics"
	"handrule/scenarios"
	"handrule/scenarios/lesson"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// Pieces are taken by the reader as they are, and mean the pose they were made from: also at a limit, and where the angles
// of an orientation are not unique.
func TestPiecesAreTakenByTheReader(t *testing.T) {
	cell, err := scenarios.OpenCell("glazing-bench")
	if err != nil {
		t.Fatal(err)
	}
	random := rand.New(rand.NewPCG(1, 2))
	for _, arm := range scenarios.ShippedArms() {
		tool := arm.Tools[0]
		for i := range 60 {
			var q kinematics.Joints
			for j, joint := range arm.Geometry.Joints {
				q[j] = joint.Min + random.Float64()*(joint.Max-joint.Min)
				switch {
				case i%10 == 1:
					q[j] = joint.Max
				case i%10 == 2:
					q[j] = joint.Min
				case i%10 == 3:
					q[j] = min(joint.Max, max(joint.Min, []float64{0, math.Pi / 2, -1e-9}[random.IntN(3)]))
				}
			}
			base := cell.Base(arm)
			tcp := arm.Geometry.Forward(q).Mul(tool.TCP)
			for frame, pose := range map[lesson.FrameName]kinematics.Pose{
				"base": tcp, "world": base.Mul(tcp), "task tile": cell.Tasks[0].Pose.Inverse().Mul(base.Mul(tcp)),
			} {
				pieces := lesson.PosePiece(arm, q) + lesson.TargetPiece(frame, pose) + lesson.ViewPiece(r3.Vec{X: 1234.56, Y: -0.2}, r3.Vec{Z: 300})
				text := "title: A\narm: " + arm.ID + "\ncell: glazing-bench\nstages:\n  - text: b\n    " + strings.ReplaceAll(strings.TrimSpace(pieces), "\n", "\n    ") + "\n"
				l, err := scenarios.ReadLesson("f", []byte(text))
				if err != nil {
					t.Fatal(err)
				}
				stage := &l.Stages[0]
				for j := range q {
					if math.Abs(stage.Begin[j]-q[j]) > kinematics.Radians(0.00006) {
						t.Errorf("%s: joints %v are read as %v", arm.ID, q.Degrees(), stage.Begin.Degrees())
						break
					}
				}
				d, err := l.Drive(q)
				if err != nil {
					t.Fatal(err)
				}
				if mm, rad := stage.Reach.Off(l, d); mm > 0.01 || rad > kinematics.Radians(0.02) {
					t.Errorf("%s at %v, in the %s frame: the target is %v mm and %v rad off\n%s", arm.ID, q.Degrees(), frame, mm, rad, text)
				}
				if stage.View.From != (r3.Vec{X: 1235}) || stage.View.At != (r3.Vec{Z: 300}) {
					t.Errorf("%+v", stage.View)
				}
			}
		}
	}
}
