package lesson

import (
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/kinematics/jog"
)

// Shown is what the picture shows of a task that was answered, all in the base frame.
type Shown struct {
	Axes  []Axis   // that are spoken of
	Lever []r3.Vec // from the axis to the point that turns about it, two points; nil for none
	Path  []r3.Vec // that the point goes, or the walk to what is read; nil for none
	Line  []r3.Vec // that the lesson's file draws; nil for none
	Gap   []r3.Vec // between the two parts that are nearest, a point on each; nil for none
	Place *r3.Vec  // where the TCP is when a jog is stopped, or where something touches; nil for none
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
	}, func(c *Choose) Shown {
		return c.shown(r.Lesson, d, a, over)
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
		return stopShown(d, j, a.Stop, over)
	}
	if len(s.Axes) == 0 {
		s.Axes = axisShown(d, j)
	}
	return s
}

// stopShown is what there is to see of what stops a jog: the joint that was answered, or else the line that the jog goes along, and
// where it ends, of which the words tell how far it is. Once it may be told, what does stop it, and the way there.
func stopShown(d *jog.Drive, j jog.Jog, answer string, over bool) (s Shown) {
	ahead, err := d.Ahead(j)
	if err != nil {
		return s
	}
	if end := len(ahead.Path) - 1; end >= 0 {
		s.Place = &ahead.Path[end]
	}
	if over {
		answer = ahead.Stop.Answer()
		s.Path = pathOf(d, j, jog.AtTCP)
		switch ahead.Stop.Reason {
		case jog.Singularity:
			s.Axes = []Axis{ofJoint(d, ahead.Stop.Joint)}
		case jog.Contact:
			s.Place = &ahead.Stop.Touch.OnB
		case jog.SetDistance:
			s.Gap = []r3.Vec{ahead.Stop.Touch.OnA, ahead.Stop.Touch.OnB}
		}
	}
	for i := range kinematics.JointNames {
		if answer == (jog.Stop{Reason: jog.JointLimit, Joint: i}).Answer() {
			s.Axes = []Axis{ofJoint(d, i)}
		}
	}
	if len(s.Axes) == 0 {
		s.Axes = axisShown(d, j)
	}
	return s
}

// shown is what there is to see of the chosen options: what is computed for them, or what the file says of them. An option's own is shown
// whole, because it tells of that option and not which one is right. Where they have none, it is what the file says of the question, or
// of which axes the other options speak.
func (c *Choose) shown(l *Lesson, d *jog.Drive, a Answer, over bool) Shown {
	var all Shown
	for _, i := range a.Options {
		if when := c.Options[i].When; when != nil {
			all.add(when.Quantity.shown(l, d, over))
		} else {
			all.add(c.Options[i].Shows.shown(d, true))
		}
	}
	if all.nothing() {
		all = c.Shows.shown(d, over)
	}
	for i := range c.Options {
		if !all.nothing() {
			break
		}
		if when := c.Options[i].When; when != nil {
			all = when.Quantity.shown(l, d, false)
		}
	}
	return all
}

func (s *Shown) nothing() bool {
	return len(s.Axes)+len(s.Lever)+len(s.Path)+len(s.Gap)+len(s.Line) == 0 && s.Place == nil
}

// add shows something else, too. There is one of everything but of axes: the first.
func (s *Shown) add(other Shown) {
	for _, axis := range other.Axes {
		if !slices.Contains(s.Axes, axis) {
			s.Axes = append(s.Axes, axis)
		}
	}
	for _, line := range []struct{ of, with *[]r3.Vec }{{&s.Lever, &other.Lever}, {&s.Path, &other.Path}, {&s.Gap, &other.Gap}, {&s.Line, &other.Line}} {
		if len(*line.of) == 0 {
			*line.of = *line.with
		}
	}
	if s.Place == nil {
		s.Place = other.Place
	}
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
	case q.Measure == "stop":
		return stopShown(after, q.Jog[0], "", over)
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
	case q.Measure == "clearance":
		if pair, ok := after.Clearance(); ok && len(q.After) == 0 { // else the arm is not where that gap is
			s.Gap = []r3.Vec{pair.OnA, pair.OnB}
		}
	default:
		if joint, ok := bends[q.Measure]; ok {
			s.Axes = []Axis{ofJoint(after, joint)}
		}
	}
	return s
}

// bends is the joint that makes the difference between a posture's words.
var bends = map[Measure]int{"shoulder": 0, "elbow": 2, "wrist": 4}

// walkTo is the way from a frame's origin along its X, then its Y, then its Z.
func walkTo(frame kinematics.Pose, to r3.Vec) []r3.Vec {
	in := frame.Inverse().Apply(to)
	return []r3.Vec{frame.Position, frame.Apply(r3.Vec{X: in.X}), frame.Apply(r3.Vec{X: in.X, Y: in.Y}), to}
}

// pathOf is the way of a point of the arm in a jog, from where the arm stands to its end.
func pathOf(d *jog.Drive, j jog.Jog, point func(*jog.Drive) r3.Vec) []r3.Vec {
	path, _ := follow(d.Copy(), j, point)
	return thinned(path, mostShown)
}

// follow makes a jog, and returns the way of a point in it; false where it was not made whole.
func follow(run *jog.Drive, j jog.Jog, point func(*jog.Drive) r3.Vec) (path []r3.Vec, whole bool) {
	if run.Start(j) != nil {
		return nil, false
	}
	path = append(path, point(run))
	for going, ticks := true, 0; going && ticks < mostTicksShown; ticks++ {
		going = run.Tick()
		path = append(path, point(run))
	}
	return path, run.Stop().Reason == jog.Done
}

// thinned are at most so many points of a path, its ends among them.
func thinned(path []r3.Vec, most int) []r3.Vec {
	if len(path) <= most {
		return path
	}
	some := make([]r3.Vec, 0, most)
	for i := range most {
		some = append(some, path[i*(len(path)-1)/(most-1)])
	}
	return some
}

// mostTicksShown is how long a jog is followed for its path, 40 s.
const mostTicksShown = 10_000
