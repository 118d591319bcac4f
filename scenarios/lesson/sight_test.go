package lesson_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/kinematics/clearance"
	"handrule/kinematics/jog"
	"handrule/scenarios"
	"handrule/scenarios/lesson"
)

// In every stage of every shipped lesson at least half of the tool and of the target are seen, and the axis that is spoken of is
// not seen end-on. All of it is found out a second time from where the page looks, which may be the file's own place: what is
// hidden by steps along the line of sight, and the axis by driving.
func TestEveryStageIsSeenFromWhereNothingIsHidden(t *testing.T) {
	asked := 0 // questions that speak of a jog or a line
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
			if s.View != nil {
				way = r3.Unit(r3.Sub(s.View.From, s.View.At))
			}
			setup, links := d.Setup(), d.Arm().Links(d.Joints())
			flange, tcp := d.Arm().FlangeOf(&links).Position, d.TCP().Position
			toEye := setup.Mount.Rotation.Transpose().Apply(way)
			var things []clearance.Thing
			if l.Cell != nil {
				things = l.Cell.Things
			}
			hidden := func(p r3.Vec) bool {
				for far := 0.0; far < 1500; far += 2 {
					at := r3.Add(p, r3.Scale(far, toEye))
					for _, c := range l.Arm.Body {
						if c.Link < 6 && fromSegment(at, links[c.Link].Apply(c.From), links[c.Link].Apply(c.To)) < c.Radius-1 {
							return true
						}
					}
					inWorld := setup.Mount.Apply(at)
					for _, thing := range things {
						if clearance.Between(kinematics.Capsule{From: inWorld, To: inWorld}, thing).Distance < -1 {
							return true
						}
					}
				}
				return false
			}
			behind := 0
			for n := range 9 {
				if hidden(r3.Add(flange, r3.Scale(float64(n)/8, r3.Sub(tcp, flange)))) {
					behind++
				}
			}
			if behind > 4 {
				t.Errorf("%s, stage %d: %d of 9 points of the tool are hidden", l.ID, i+1, behind)
			}
			if s.Reach != nil {
				if target := s.Reach.Target(l); target != nil {
					behind, around := 0, 0.04*l.Arm.Geometry.Reach()
					for _, side := range []r3.Vec{{X: around}, {X: -around}, {Y: around}, {Y: -around}, {Z: around}, {Z: -around}} {
						if hidden(r3.Add(target.Position, side)) {
							behind++
						}
					}
					if behind > 3 {
						t.Errorf("%s, stage %d: %d of 6 points around the target are hidden", l.ID, i+1, behind)
					}
				}
			}
			for _, axis := range spokenOf(t, l, s, d) {
				asked++
				if angle := kinematics.Degrees(kinematics.AngleBetween(axis, toEye)); min(angle, 180-angle) < 20 {
					t.Errorf("%s, stage %d: what is asked about is along %.2f, %.0f° from the line of sight", l.ID, i+1, axis, angle)
				}
			}
		}
	}
	if asked < 50 {
		t.Errorf("only %d questions speak of a jog or a line", asked)
	}
}

// spokenOf are the lines that a question to predict or to choose from speaks of, in the base frame: where the TCP goes in its jogs, and about
// what it turns. Each jog is driven for that, so that nothing is taken from the code that chooses the view.
func spokenOf(t *testing.T, l *lesson.Lesson, s *lesson.Stage, d *jog.Drive) (along []r3.Vec) {
	first := func(jogs lesson.Jogs) {
		if len(jogs) == 0 || len(jogs[0].Directions()) != 1 {
			return
		}
		bent := d.Joints()
		for _, joint := range []int{1, 2, 4} {
			bent[joint] += kinematics.Radians(20)
		}
		elsewhere, err := l.Drive(bent)
		if err != nil {
			t.Fatal(err)
		}
		// Where the question is about what stops it, it goes one way only, or from elsewhere; there the base's, the world's and task frames lie as here.
		for _, try := range []struct {
			from *jog.Drive
			sign int
		}{{d, 1}, {d, -1}, {elsewhere, 1}, {elsewhere, -1}} {
			run, j := try.from.Standing(), jogs[0]
			j.Sign *= try.sign
			if try.from == elsewhere && (j.Frame == jog.JointFrame || j.Frame == jog.ToolFrame) || run.Start(j) != nil {
				continue
			}
			from := run.TCP()
			for ticks := 0; ticks < 250 && run.Tick(); ticks++ {
			}
			to := run.TCP()
			way, turn := r3.Sub(to.Position, from.Position), to.Rotation.Mul(from.Rotation.Transpose()).Vector()
			if r3.Norm(turn) > 1e-3 {
				way = turn
			}
			if r3.Norm(way) > 1e-3 {
				along = append(along, r3.Unit(way))
				return
			}
		}
		t.Errorf("%s: %v leads nowhere", s.Title, jogs[0])
	}
	shows := func(of *lesson.Shows) {
		if of == nil {
			return
		}
		first(of.Jog)
		if len(of.Line) == 2 {
			along = append(along, r3.Unit(r3.Sub(of.Line[1], of.Line[0])))
		}
	}
	switch {
	case s.Predict != nil:
		first(s.Predict.Jog)
	case s.Choose != nil:
		shows(s.Choose.Shows)
		for i := 0; i < len(s.Choose.Options) && len(along) == 0; i++ {
			if o := &s.Choose.Options[i]; o.When != nil {
				first(o.When.Jog)
			} else {
				shows(o.Shows)
			}
		}
	}
	return along
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
