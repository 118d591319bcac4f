package lesson

import (
	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics/jog"
	"handrule/scenarios/form"
)

// Shows is what the picture shows of an option, or of a question, for which nothing is computed.
type Shows struct {
	form.Block
	Jog       Jogs     `field:"jog" about:"A jog, or up to 8 in a row, from where the stage begins: the line that the first goes along or turns about, and the way of the TCP."`
	Point     *r3.Vec  `field:"point_mm" about:"The point whose way it is instead of the TCP's: x, y, z in mm in the tool frame."`
	Line      []r3.Vec `field:"line_mm" most:"16" about:"Points to be joined by a line, each x, y, z in mm in the base frame."`
	Clearance bool     `field:"clearance" about:"The two parts that are nearest to touching."`
}

// mostJogsShown is how many jogs in a row are shown.
const mostJogsShown = 8

// besideAxis is how far a point is from a line, mm, at which a lever to it can be seen.
const besideAxis = 1

// touching is the clearance, mm, that is too small to be seen as a line; a cross marks it.
const touching = 5

func (s *Shows) validate(l *Lesson) {
	if s == nil {
		return
	}
	if !s.Given("jog") && !s.Given("line_mm") && !s.Clearance {
		s.Add("", "needs jog, line_mm or clearance: true")
	}
	if s.Given("point_mm") && !s.Given("jog") {
		s.Add("point_mm", "is whose way is shown in a jog, and there is no jog")
	}
	if len(s.Line) == 1 {
		s.Add("line_mm", "is one point; a line needs at least two")
	}
	if len(s.Jog) > mostJogsShown {
		s.Add("jog", "must be 1 to %d jogs, not %d", mostJogsShown, len(s.Jog))
	}
	if s.Clearance && l.Cell == nil {
		s.Add("clearance", "is between the arm and nothing; the lesson needs a cell")
	}
	l.checkJogs(&s.Block, "jog", s.Jog)
}

// shown is what there is to see of it with the arm as it stands at d: all of it, or what does not tell where a jog leads.
func (s *Shows) shown(d *jog.Drive, whole bool) (see Shown) {
	if s == nil {
		return see
	}
	see.Line = s.Line
	if s.Clearance {
		if pair, ok := d.Clearance(); ok {
			see.Gap = []r3.Vec{pair.OnA, pair.OnB}
			if pair.Distance < touching {
				see.Place = &pair.OnB
			}
		}
	}
	if len(s.Jog) == 0 {
		return see
	}
	point := jog.AtTCP
	if s.Point != nil {
		point = func(d *jog.Drive) r3.Vec { return d.TCP().Apply(*s.Point) }
	}
	see.Axes = axisShown(d, s.Jog[0])
	if len(see.Axes) == 1 && turns(s.Jog[0]) {
		at := point(d)
		if on := foot(see.Axes[0].At, see.Axes[0].Along, at); r3.Norm(r3.Sub(at, on)) > besideAxis {
			see.Lever = []r3.Vec{on, at}
		}
	}
	if !whole {
		return see
	}
	run := d.Copy()
	for _, j := range s.Jog {
		path, made := follow(run, j, point)
		see.Path = append(see.Path, thinned(path, mostShown/len(s.Jog))...)
		if !made {
			if end := len(see.Path) - 1; end >= 0 {
				see.Place = &see.Path[end]
			}
			break
		}
	}
	return see
}
