package lesson_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/scenarios"
)

// In every stage of every shipped lesson at least half of the tool and of the target are seen, and the axis that is spoken of is
// not seen end-on. What is hidden of the tool is found out in another way too: by steps along the line of sight.
func TestEveryStageIsSeenFromWhereNothingIsHidden(t *testing.T) {
	for _, offered := range scenarios.ShippedLessons() {
		l, err := scenarios.OpenLesson(offered.ID, 1)
		if err != nil {
			t.Fatal(err)
		}
		for i := range l.Stages {
			s := &l.Stages[i]
			d, err := l.Drive(s.Begin)
			if err != nil {
				t.Fatal(err)
			}
			way, sight := l.Face(s, d)
			if sight.ToolHidden > 0.5 || sight.TargetHidden > 0.5 || sight.EndOn > math.Cos(kinematics.Radians(20)) {
				t.Errorf("%s, stage %d: %+v from %v", l.ID, i+1, sight, way)
			}
			if math.Abs(r3.Norm(way)-1) > 1e-9 || way.Z < 0.2 {
				t.Errorf("%s, stage %d: seen from %v", l.ID, i+1, way)
			}
			setup, links := d.Setup(), d.Arm().Links(d.Joints())
			flange, tcp := d.Arm().FlangeOf(&links).Position, d.TCP().Position
			hidden := 0
			for n := range 9 {
				p := r3.Add(flange, r3.Scale(float64(n)/8, r3.Sub(tcp, flange)))
				toEye := setup.Mount.Rotation.Transpose().Apply(way)
				for far := 0.0; far < 1500; far += 2 {
					at := r3.Add(p, r3.Scale(far, toEye))
					inside := false
					for _, c := range l.Arm.Body {
						if c.Link < 6 && fromSegment(at, links[c.Link].Apply(c.From), links[c.Link].Apply(c.To)) < c.Radius-1 {
							inside = true
						}
					}
					if inside {
						hidden++
						break
					}
				}
			}
			if hidden > 4 {
				t.Errorf("%s, stage %d: %d of 9 points of the tool are behind the arm", l.ID, i+1, hidden)
			}
		}
	}
}

// fromSegment is how far a point is from a segment.
func fromSegment(p, a, b r3.Vec) float64 {
	way := r3.Sub(b, a)
	t := 0.0
	if n := r3.Norm2(way); n > 0 {
		t = min(max(r3.Dot(r3.Sub(p, a), way)/n, 0), 1)
	}
	return r3.Norm(r3.Sub(p, r3.Add(a, r3.Scale(t, way))))
}

func BenchmarkFace(b *testing.B) {
	l, err := scenarios.OpenLesson("not-touching-things", 0)
	if err != nil {
		b.Fatal(err)
	}
	d, err := l.Drive(l.Stages[2].Begin)
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		l.Face(&l.Stages[2], d)
	}
}
