package lesson

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/kinematics/clearance"
	"handrule/kinematics/jog"
)

// This file chooses from where a stage is seen: so that the arm and what stands around it hide neither the tool nor the target,
// and the axis that is spoken of is not seen end-on. Only the direction is chosen; how near, the page decides by its window.

// Sight is how well a stage is seen from one direction.
type Sight struct {
	ToolHidden   float64 // the part of the tool that is behind the arm or a thing, 0 to 1
	TargetHidden float64 // likewise of the target; 0 where there is none
	EndOn        float64 // how nearly the axis that is most nearly seen end-on is so: the cosine of its angle to the line of sight
}

const (
	// usualAzimuth and usualElevation are where the page looks from unless something is hidden, degrees: behind the arm and to its
	// right, so that X points away and Y to the left.
	usualAzimuth, usualElevation = 213, 28
	// farEnough is how far towards the eye something is looked for that may be in between, mm.
	farEnough = 4000
)

// look is all that decides from where a stage is seen, in the world frame.
type look struct {
	bodies []kinematics.Capsule // of the arm, without the last link and the tool
	hand   []kinematics.Capsule // these
	things []clearance.Thing
	tool   []r3.Vec // points of it
	target []r3.Vec // around it
	there  bool     // the tool is at the target, which nobody minds
	axes   []r3.Vec
}

// Face returns the direction from which the stage is best seen, with the arm as it stands at d: a unit vector of the world
// frame from the arm towards the eye.
func (l *Lesson) Face(s *Stage, d *jog.Drive) (toEye r3.Vec, seen Sight) {
	look := l.lookAt(s, d)
	best := math.Inf(1)
	for _, elevation := range []float64{28, 14, 45, 65} {
		for azimuth := range 24 {
			way := towards(usualAzimuth+15*float64(azimuth), elevation)
			unusual := kinematics.AngleBetween(way, towards(usualAzimuth, usualElevation)) / math.Pi
			if unusual >= best {
				continue // Whatever is hidden would only be worse, and rays are what takes time.
			}
			sight := look.from(way)
			cost := 4*sight.ToolHidden + 4*sight.TargetHidden + unusual
			cost += 30 * (math.Max(0, sight.ToolHidden-0.4) + math.Max(0, sight.TargetHidden-0.4))
			cost += 10 * math.Max(0, sight.EndOn-0.8)
			if cost < best-1e-9 {
				best, toEye, seen = cost, way, sight
			}
		}
	}
	return toEye, seen
}

func towards(azimuth, elevation float64) r3.Vec {
	a, e := kinematics.Radians(azimuth), kinematics.Radians(elevation)
	return r3.Vec{X: math.Cos(e) * math.Cos(a), Y: math.Cos(e) * math.Sin(a), Z: math.Sin(e)}
}

func (l *Lesson) lookAt(s *Stage, d *jog.Drive) *look {
	setup := d.Setup()
	world, links := setup.Mount, d.Arm().Links(d.Joints())
	place := func(c kinematics.Capsule, by kinematics.Pose) kinematics.Capsule {
		return kinematics.Capsule{Link: c.Link, From: world.Apply(by.Apply(c.From)), To: world.Apply(by.Apply(c.To)), Radius: c.Radius}
	}
	look := &look{}
	for _, c := range l.Arm.Body {
		if c.Link == 6 {
			look.hand = append(look.hand, place(c, links[6]))
		} else {
			look.bodies = append(look.bodies, place(c, links[c.Link]))
		}
	}
	flange, tcp := d.Arm().FlangeOf(&links), d.TCP()
	for _, c := range setup.Tool.Body {
		look.hand = append(look.hand, place(c, flange))
	}
	if l.Cell != nil {
		look.things = l.Cell.Things
	}
	for i := range 9 {
		at := r3.Add(flange.Position, r3.Scale(float64(i)/8, r3.Sub(tcp.Position, flange.Position)))
		look.tool = append(look.tool, world.Apply(at))
	}
	if reach, ok := s.Task.(*Reach); ok {
		if target := reach.Target(l); target != nil {
			around := 0.04 * l.Arm.Geometry.Reach()
			look.there = r3.Norm(r3.Sub(target.Position, tcp.Position)) < 2*around
			for i := range 3 {
				for _, side := range []float64{-around, 0, around} {
					at := target.Position
					switch i {
					case 0:
						at.X += side
					case 1:
						at.Y += side
					default:
						at.Z += side
					}
					look.target = append(look.target, world.Apply(at))
				}
			}
		}
	}
	for _, axis := range l.axesOf(s, d) {
		look.axes = append(look.axes, world.Rotation.Apply(axis))
	}
	return look
}

// axesOf are the axes that a stage speaks of, in the base frame.
func (l *Lesson) axesOf(s *Stage, d *jog.Drive) (axes []r3.Vec) {
	add := func(j jog.Jog) {
		if _, along, ok := axisOfJog(d, j); ok {
			axes = append(axes, along)
		}
	}
	quantity := func(q *Quantity) {
		for _, j := range q.Jog {
			add(j)
		}
		if q.Toward != nil {
			add(roomJog(*q.Toward))
		}
		if q.Joint != nil {
			axes = append(axes, ofJoint(d, int(*q.Joint)).Along)
		}
		if m := q.Measure.about(); m.frame {
			for i, name := range []Measure{"x", "y", "z", "about-x", "about-y", "about-z"} {
				if frame, err := l.frame(q.Frame, d); q.Measure == name && err == nil {
					axes = append(axes, frame.Rotation.Axis(i%3))
				}
			}
		}
	}
	shows := func(s *Shows) {
		switch {
		case s == nil:
		case len(s.Jog) > 0:
			add(s.Jog[0])
		case len(s.Line) == 2: // A line of more points is a way, and has no direction of its own.
			axes = append(axes, r3.Unit(r3.Sub(s.Line[1], s.Line[0])))
		}
	}
	switch task := s.Task.(type) {
	case *Predict:
		add(task.Jog[0])
	case *Read:
		quantity(&task.Quantity)
	case *Choose:
		for i := range task.Options {
			if when := task.Options[i].When; when != nil && len(axes) == 0 {
				quantity(&when.Quantity)
			}
		}
		if len(axes) > 0 {
			break
		}
		shows(task.Shows)
		for i := 0; i < len(task.Options) && len(axes) == 0; i++ {
			shows(task.Options[i].Shows)
		}
	case *Reach:
		if task.Joint != nil {
			axes = append(axes, ofJoint(d, int(*task.Joint)).Along)
		}
	}
	return axes
}

// from tells how well all of it is seen by an eye that is far away in that direction.
func (k *look) from(way r3.Vec) (s Sight) {
	s.ToolHidden = k.hidden(k.tool, way, false)
	s.TargetHidden = k.hidden(k.target, way, !k.there)
	for _, axis := range k.axes {
		s.EndOn = math.Max(s.EndOn, math.Abs(r3.Dot(axis, way)))
	}
	return s
}

// hidden is the part of the points that are behind something; the hand hides a target, and not itself.
func (k *look) hidden(points []r3.Vec, way r3.Vec, byHand bool) float64 {
	if len(points) == 0 {
		return 0
	}
	n := 0
	for _, p := range points {
		ray := kinematics.Capsule{From: p, To: r3.Add(p, r3.Scale(farEnough, way))}
		if k.between(ray, byHand) {
			n++
		}
	}
	return float64(n) / float64(len(points))
}

func (k *look) between(ray kinematics.Capsule, byHand bool) bool {
	for _, c := range k.bodies {
		if clearance.BetweenCapsules(ray, c).Distance < 0 {
			return true
		}
	}
	if byHand {
		for _, c := range k.hand {
			if clearance.BetweenCapsules(ray, c).Distance < 0 {
				return true
			}
		}
	}
	for i := range k.things {
		if clearance.Between(ray, k.things[i]).Distance < 0 {
			return true
		}
	}
	return false
}
