package solve

import (
	"fmt"
	"math"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/kinematics/jog"
	"handrule/scenarios/form"
	"handrule/scenarios/lesson"
)

// This file finds out without any motion why a place cannot be reached: it is too far, only joints beyond their limits would
// get there, or the arm would be inside a thing. A search would look for ways there for long, and tell of its last attempt.

// stands are the ways in which the arm could stand at a place: the poses of the TCP that the task leaves open there.
type stands struct {
	d     *jog.Drive
	poses []kinematics.Pose
	slack float64 // by how many mm the poses that were not tried may come nearer
}

// standsAt returns those of a task that asks for a position. Where any orientation will do, they are the one the tool has, and
// the tool pointing into 26 directions evenly around, each turned by eighths about its own axis.
func standsAt(task *lesson.Reach, goal kinematics.Pose, d *jog.Drive) stands {
	if task.Rotation != nil {
		return stands{d, []kinematics.Pose{goal}, 0}
	}
	now := d.TCP().Rotation
	s := stands{d: d, poses: []kinematics.Pose{{Position: goal.Position, Rotation: now}}}
	if task.KeepDirection == 0 {
		for _, z := range aroundEvenly() {
			for spin := range 8 {
				s.poses = append(s.poses, kinematics.Pose{Position: goal.Position, Rotation: pointing(z, float64(spin)*math.Pi/4)})
			}
		}
		// Between two of these directions, 45° apart, the flange can be farther along by so much of the tool's length, and as much
		// again for what its TCP is off to the side.
		s.slack = 1 + 0.3*r3.Norm(d.Tool().Position)
	} else {
		s.slack = 1 + float64(task.KeepDirection)*r3.Norm(d.Tool().Position)
	}
	return s
}

// aroundEvenly are the directions to the faces, edges and corners of a cube.
func aroundEvenly() (all []r3.Vec) {
	for x := -1.0; x <= 1; x++ {
		for y := -1.0; y <= 1; y++ {
			for z := -1.0; z <= 1; z++ {
				if v := (r3.Vec{X: x, Y: y, Z: z}); v != (r3.Vec{}) {
					all = append(all, r3.Unit(v))
				}
			}
		}
	}
	return all
}

// pointing is a rotation with its Z along z, turned about it.
func pointing(z r3.Vec, spin float64) kinematics.Rotation {
	about := math.Atan2(z.Y, z.X)
	tilt := math.Acos(max(-1, min(1, z.Z)))
	return kinematics.FixedXYZ(0, tilt, about).Mul(kinematics.FixedXYZ(0, 0, spin))
}

// flange is where the flange would be.
func (s *stands) flange(pose kinematics.Pose) kinematics.Pose { return pose.Mul(s.d.Tool().Inverse()) }

// solutions are all joint angles that put the TCP at one of the poses, limits aside.
func (s *stands) solutions() (all []kinematics.Solution) {
	for _, pose := range s.poses {
		all = s.d.Arm().Inverse(all, s.flange(pose), s.d.Joints())
	}
	return all
}

// moved returns the same poses elsewhere.
func (s stands) moved(by r3.Vec) stands {
	poses := make([]kinematics.Pose, len(s.poses))
	for i, p := range s.poses {
		p.Position = r3.Add(p.Position, by)
		poses[i] = p
	}
	s.poses = poses
	return s
}

// short is by how many mm the arm is too short for the nearest of the poses.
func (s *stands) short() float64 {
	least := math.Inf(1)
	for _, pose := range s.poses {
		least = min(least, s.d.Arm().OutOfReach(s.flange(pose), s.d.Joints()))
	}
	return least
}

// unreachable says why no way leads to a task's place, from an arm that stands at d; "" where one may.
func unreachable(l *lesson.Lesson, task *lesson.Reach, d *jog.Drive) string {
	if task.Position == nil {
		return ""
	}
	goal, err := task.Goal(l, d)
	if err != nil {
		return ""
	}
	at := standsAt(task, goal, d)
	all := at.solutions()
	if len(all) == 0 {
		short := at.short()
		if short <= at.slack+float64(task.Tolerance) {
			return ""
		}
		return fmt.Sprintf("the place is out of reach: the arm is about %.0f mm too short for it%s", short, at.most(l, task, d))
	}
	if task.Rotation == nil {
		return inside(task, d, all)
	}
	var outside []string
	for _, s := range all {
		if d.Arm().Within(s.Joints) {
			return inside(task, d, all)
		}
		if over := l.Arm.OutsideLimits(s.Joints); len(outside) == 0 || len(over) < len(outside) {
			outside = over
		}
	}
	if float64(task.TurnTolerance) > kinematics.Radians(5) || task.Tolerance > 5 {
		return "" // Near by there may be others.
	}
	return "the arm could be there only beyond its limits: " + strings.Join(outside, "; ")
}

// most says how far the place may be along the axis of the task's frame in which it is farthest out: "; at most X 604 here".
func (s *stands) most(l *lesson.Lesson, task *lesson.Reach, d *jog.Drive) string {
	zero := *task
	zero.Position = &r3.Vec{}
	frame, err := zero.Goal(l, d) // the frame's origin, and its axes where no rotation is asked for
	if err != nil {
		return ""
	}
	if task.Rotation != nil {
		frame.Rotation = frame.Rotation.Mul(task.Rotation.Transpose())
	}
	best, said := math.Inf(1), ""
	for axis, along := range []r3.Vec{frame.Rotation.X, frame.Rotation.Y, frame.Rotation.Z} {
		at := []float64{task.Position.X, task.Position.Y, task.Position.Z}[axis]
		reached := func(x float64) bool {
			there := s.moved(r3.Scale(x-at, along))
			return len(there.solutions()) > 0
		}
		// From the place towards zero, the first coordinate at which the arm gets there.
		const looks = 40
		far, near := at, math.NaN()
		for i := 1; i <= looks && math.IsNaN(near); i++ {
			if x := at * (1 - float64(i)/looks); reached(x) {
				near = x
			} else {
				far = x
			}
		}
		if math.IsNaN(near) {
			continue
		}
		for range 12 {
			if mid := (far + near) / 2; reached(mid) {
				near = mid
			} else {
				far = mid
			}
		}
		if off := math.Abs(at - near); off < best {
			how := "at most"
			if at < 0 {
				how = "at least"
			}
			best, said = off, fmt.Sprintf("; %s %s %s here", how, string("XYZ"[axis]), form.Decimal(math.Trunc(near)))
		}
	}
	return said
}

// inside says which thing the arm would be inside at the place, however it stands there; "" where it need not be.
func inside(task *lesson.Reach, d *jog.Drive, all []kinematics.Solution) string {
	deepest, said := math.Inf(-1), ""
	for _, s := range all {
		if !d.Arm().Within(s.Joints) {
			continue
		}
		there, err := jog.New(d.Setup(), s.Joints)
		if err != nil {
			return ""
		}
		pair, near := there.Clearance()
		if !near || pair.Distance > -1-float64(task.Tolerance) {
			return ""
		}
		if pair.Distance > deepest { // the least deep of all
			deepest, said = pair.Distance, fmt.Sprintf("there the arm would be inside something: %s would be %.0f mm inside %s", pair.A.Name, -pair.Distance, pair.B.Name)
		}
	}
	return said
}
