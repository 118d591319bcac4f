package lesson

import (
	"slices"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/kinematics/jog"
)

// Shown is what the picture shows of a task that was answered, all in the base frame.
type Shown struct {
	Axes  []Axis   // that are spoken of
	Lever []r3.Vec // from the axis to the point that turns about it, two points; nil for none
	Path  []r3.Vec // that the point goes, or the walk to what is read; nil for none
}

// Axis is a line of the picture.
type Axis struct {
	At, Along r3.Vec // a point of it, and a unit vector
	Joint     int    // whose axis it is; −1 for none
}

// mostShown is how many points a path is shown by.
const mostShown = 32

// Shown returns what the picture shows of the answer for the arm as it stands at d. Where the task is over, that is also
// what happens; the right answer is not told before.
func (r *Run) Shown(d *jog.Drive, a Answer) Shown {
	if !r.Reveals() {
		return Shown{}
	}
	p := r.here()
	over := p.Done || p.GivenUp
	return ByKind(r.Stage().Task, func(*Reach) Shown {
		return Shown{}
	}, func(p *Predict) Shown {
		return p.shown(d, a, over)
	}, func(read *Read) Shown {
		return read.Quantity.shown(r.Lesson, d, over)
	}, func(c *Choose) (s Shown) {
		for _, i := range a.Options {
			if when := c.Options[i].When; when != nil && len(s.Axes) == 0 {
				s = when.Quantity.shown(r.Lesson, d, over)
			}
		}
		return s
	}, func(*Free) Shown {
		return Shown{}
	})
}

func ofJoint(d *jog.Drive, joint int) Axis {
	at, along := jointAxis(d, joint)
	return Axis{at, along, joint}
}

// axisShown is the line that a jog goes along or turns about, without its sign, which may be what is asked.
func axisShown(d *jog.Drive, j jog.Jog) []Axis {
	at, along, ok := axisOfJog(d, j)
	if !ok {
		return nil
	}
	way := j.Directions()[0]
	if way.Frame == jog.JointFrame {
		return []Axis{ofJoint(d, way.Axis)}
	}
	return []Axis{{at, r3.Scale(float64(way.Sign), along), -1}}
}

func (p *Predict) shown(d *jog.Drive, a Answer, over bool) (s Shown) {
	j := p.Jog[0]
	switch p.Ask {
	case askDirection:
		s.Axes = axisShown(d, j)
		if len(s.Axes) == 1 && turns(j) {
			s.Lever = []r3.Vec{foot(s.Axes[0].At, s.Axes[0].Along, p.point(d)), p.point(d)}
		}
		if over {
			s.Path = pathOf(d, j, p.point)
		}
	case askJoints:
		joints := a.Joints
		if ahead, err := d.Ahead(j); over && err == nil {
			joints = ahead.Movers(p.turn())
		}
		for _, joint := range joints {
			s.Axes = append(s.Axes, ofJoint(d, joint))
		}
		if over {
			s.Path = pathOf(d, j, jog.AtTCP)
		}
	case askStop:
		stop := a.Stop
		if ahead, err := d.Ahead(j); over && err == nil {
			stop = ahead.Stop.Answer()
			if ahead.Stop.Reason == jog.Singularity {
				s.Axes = append(s.Axes, ofJoint(d, ahead.Stop.Joint))
			}
			s.Path = pathOf(d, j, jog.AtTCP)
		}
		for i := range kinematics.JointNames {
			if stop == (jog.Stop{Reason: jog.JointLimit, Joint: i}).Answer() {
				s.Axes = append(s.Axes, ofJoint(d, i))
			}
		}
	}
	return s
}

// shown is what there is to see of a quantity: the axis that it is measured along or about, and once it may be told the walk to
// it or the way it takes.
func (q *Quantity) shown(l *Lesson, d *jog.Drive, over bool) (s Shown) {
	after, err := After(d, q.After)
	if err != nil {
		return s
	}
	if q.Joint != nil {
		s.Axes = []Axis{ofJoint(d, int(*q.Joint))}
	}
	switch m := q.Measure.about(); {
	case m.frame:
		frame, err := l.frame(q.Frame, after)
		if err != nil {
			return s
		}
		axis := slices.Index([]Measure{"x", "y", "z", "about-x", "about-y", "about-z"}, q.Measure)
		at := frame.Position
		if axis >= 3 {
			at = d.TCP().Position
		}
		s.Axes = []Axis{{at, frame.Rotation.Axis(axis % 3), -1}}
		if over && axis < 3 {
			s.Path = walkTo(frame, after.TCP().Position)
		}
	case len(q.Jog) > 0:
		if q.Joint == nil {
			s.Axes = axisShown(after, q.Jog[0])
		}
		if over {
			s.Path = pathOf(after, q.Jog[0], jog.AtTCP)
		}
	case q.Toward != nil:
		s.Axes = axisShown(after, roomJog(*q.Toward))
		if over {
			s.Path = pathOf(after, roomJog(*q.Toward), jog.AtTCP)
		}
	case strings.HasPrefix(string(q.Measure), "wrist"):
		s.Axes = []Axis{ofJoint(after, 4)}
	}
	return s
}

// walkTo is the way from a frame's origin along its X, then its Y, then its Z.
func walkTo(frame kinematics.Pose, to r3.Vec) []r3.Vec {
	in := frame.Inverse().Apply(to)
	return []r3.Vec{frame.Position, frame.Apply(r3.Vec{X: in.X}), frame.Apply(r3.Vec{X: in.X, Y: in.Y}), to}
}

// pathOf is the way of a point of the arm in a jog, from where the arm stands to its end.
func pathOf(d *jog.Drive, j jog.Jog, point func(*jog.Drive) r3.Vec) []r3.Vec {
	run := d.Copy()
	if run.Start(j) != nil {
		return nil
	}
	path := []r3.Vec{point(run)}
	for going, ticks := true, 0; going && ticks < mostTicksShown; ticks++ {
		going = run.Tick()
		path = append(path, point(run))
	}
	if len(path) <= mostShown {
		return path
	}
	some := make([]r3.Vec, 0, mostShown)
	for i := range mostShown {
		some = append(some, path[i*(len(path)-1)/(mostShown-1)])
	}
	return some
}

// mostTicksShown is how long a jog is followed for its path, 40 s.
const mostTicksShown = 10_000
