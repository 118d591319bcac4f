package cellfile

import (
	"fmt"
	"math"
	"strconv"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/scenarios/armfile"
	"handrule/words"
)

// Rail is what the arm's mount can be moved along: a carriage that is set to a place while the arm stands. It is no
// axis to jog.
type Rail struct {
	Along    r3.Vec  // unit vector in the world frame
	From, To float64 // the ends of the travel, mm
	At       float64 // where the carriage is
}

// OnRail returns the cell with the carriage at that place of its rail, mm. All else stays where it is.
func (c *Cell) OnRail(at float64) (*Cell, error) {
	if c.Rail == nil {
		return nil, fmt.Errorf("the cell %s has no rail", c.Name)
	}
	if !(at >= c.Rail.From && at <= c.Rail.To) {
		return nil, words.NewProblem("problem.rail.ends", "from", words.Millimetres(c.Rail.From), "to", words.Millimetres(c.Rail.To), "at", words.Millimetres(at))
	}
	moved, rail := *c, *c.Rail
	moved.Mount.Position = r3.Add(c.Mount.Position, r3.Scale(at-rail.At, rail.Along))
	rail.At = at
	moved.Rail = &rail
	return &moved, nil
}

// shortestSlide in mm is how far the carriage is moved at least before it is looked where the arm is then.
const shortestSlide = 0.1

// Slide is OnRail for an arm that stands on the carriage at the joint angles q with this tool. It is refused where a link
// beyond the base, or the tool, would touch a thing on the way. The arm moves as one body, so no distance changes by more
// than the carriage moves.
func (c *Cell) Slide(arm *armfile.Arm, tool kinematics.Tool, q kinematics.Joints, at float64) (*Cell, error) {
	end, err := c.OnRail(at)
	if err != nil {
		return nil, err
	}
	for here, left := c, math.Abs(at-c.Rail.At); left > 0; {
		nearest := nearestGap(here.gaps(arm, tool, q))
		if nearest.distance <= 0 {
			return nil, nearest.touches(here.Rail.At)
		}
		step := math.Min(left, math.Max(nearest.distance, shortestSlide))
		left -= step
		if here, err = c.OnRail(at - math.Copysign(left, at-c.Rail.At)); err != nil {
			return nil, err
		}
	}
	if nearest := nearestGap(end.gaps(arm, tool, q)); nearest.distance <= 0 {
		return nil, nearest.touches(at)
	}
	return end, nil
}

// touches says what would touch what with the carriage at that place.
func (r gap) touches(at float64) error {
	key := "problem.rail.link"
	if r.tool {
		key = "problem.rail.tool"
	}
	return words.NewProblem(key, "at", words.Millimetres(math.Round(at)), "link", strconv.Itoa(r.link), "tool", r.part, "thing", r.thing)
}
