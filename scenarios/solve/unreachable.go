package solve

import (
	"fmt"
	"math"
	"slices"
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
}

// standsAt returns those of a task that asks for a position. Where any orientation will do, they are the one the tool has, and
// the tool pointing into 26 directions evenly around, each turned by eighths about its own axis.
func standsAt(task *lesson.Reach, goal kinematics.Pose, d *jog.Drive) stands {
	if task.Rotation != nil {
		return stands{d, []kinematics.Pose{goal}}
	}
	now := d.TCP().Rotation
	s := stands{d: d, poses: []kinematics.Pose{{Position: goal.Position, Rotation: now}}}
	if task.KeepDirection == 0 {
		for _, z := range aroundEvenly() {
			for spin := range 8 {
				s.poses = append(s.poses, kinematics.Pose{Position: goal.Position, Rotation: pointing(z, float64(spin)*math.Pi/4)})
			}
		}
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

// solutions are all joint angles that put the TCP at one of the poses, limits aside. It reports whether some may be missing.
func (s *stands) solutions() (all []kinematics.Solution, ranOut bool) {
	for _, pose := range s.poses {
		found, bound := s.d.Arm().Solutions(s.flange(pose), s.d.Joints())
		all, ranOut = append(all, found...), ranOut || bound
	}
	return all, ranOut
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
func unreachable(l *lesson.Lesson, task *lesson.Reach, d *jog.Drive, e *effort) string {
	if task.Position == nil {
		return ""
	}
	goal, err := task.Goal(l, d)
	if err != nil {
		return ""
	}
	at := standsAt(task, goal, d)
	all, ranOut := at.solutions()
	within := slices.ContainsFunc(all, func(s kinematics.Solution) bool { return d.Arm().Within(s.Joints) })
	if within {
		return inside(task, d, all)
	}
	if task.Rotation != nil && !ranOut {
		if said := at.unturned(l, task, all); said != "" {
			return said
		}
	}
	// However the tool is turned, the TCP has to get there.
	near := d.Arm().Nearest(d.Tool().Position, goal.Position, float64(task.Tolerance), e.goOn)
	if near.Least <= float64(task.Tolerance) {
		return ""
	}
	last := near.At
	reached := func(by r3.Vec) bool {
		for _, from := range []kinematics.Joints{last, near.At} {
			if !e.goOn() {
				return false
			}
			if q, found := d.Arm().Nearer(d.Tool().Position, r3.Add(goal.Position, by), from); found <= thereMM {
				last = q
				return true
			}
		}
		return false
	}
	why := fmt.Sprintf("the arm is about %.0f mm too short for it", near.Found)
	if len(all) > 0 {
		why = fmt.Sprintf("within the limits of its joints the arm stays about %.0f mm away from it", near.Found)
	}
	return "the place is out of reach: " + why + most(l, task, d, reached)
}

// thereMM is how near a place is reached, where it is told how far one could go.
const thereMM = 0.3

// unturned says why the arm cannot stand at a place with the orientation that is asked for, where no solution is within the limits; "" where
// it may, within the tolerances.
func (s *stands) unturned(l *lesson.Lesson, task *lesson.Reach, all []kinematics.Solution) string {
	if len(all) == 0 {
		// Turned within the tolerance, the wrist gets nearer by so much of what is between it and the TCP.
		arm := s.d.Arm()
		lever := r3.Norm(s.d.Tool().Position) + r3.Norm(r3.Sub(arm.Flange.Position, arm.Joints[5].At)) + r3.Norm(r3.Sub(arm.Joints[5].At, arm.Joints[4].At)) + r3.Norm(r3.Sub(arm.Joints[4].At, arm.Joints[3].At))
		short := s.short()
		if short <= float64(task.Tolerance)+lever*min(float64(task.TurnTolerance), 2) {
			return ""
		}
		return fmt.Sprintf("the place is out of reach: the arm is about %.0f mm too short for it%s", short, most(l, task, s.d, func(by r3.Vec) bool {
			there := s.moved(by)
			found, _ := there.solutions()
			return len(found) > 0
		}))
	}
	var outside []string
	for _, solution := range all {
		if over := l.Arm.OutsideLimits(solution.Joints); len(outside) == 0 || len(over) < len(outside) {
			outside = over
		}
	}
	if float64(task.TurnTolerance) > kinematics.Radians(5) || task.Tolerance > 5 || s.nearBy(task) {
		return ""
	}
	return "the arm could be there only beyond its limits: " + strings.Join(outside, "; ")
}

// nearBy reports whether the arm can stand within its limits at a pose that the tolerances allow: the place and the tool moved by each of
// them along and about each axis.
func (s *stands) nearBy(task *lesson.Reach) bool {
	pose := s.poses[0]
	axes := []r3.Vec{{}, {X: 1}, {X: -1}, {Y: 1}, {Y: -1}, {Z: 1}, {Z: -1}}
	for _, along := range axes {
		for _, about := range axes {
			near := pose
			near.Position = r3.Add(near.Position, r3.Scale(float64(task.Tolerance), along))
			if about != (r3.Vec{}) {
				near.Rotation = kinematics.RotationAbout(about, float64(task.TurnTolerance)).Mul(near.Rotation)
			}
			found, ranOut := s.d.Arm().Solutions(s.flange(near), s.d.Joints())
			if ranOut || slices.ContainsFunc(found, func(f kinematics.Solution) bool { return s.d.Arm().Within(f.Joints) }) {
				return true
			}
		}
	}
	return false
}

// most says how far the place may be along the axis of the task's frame along which it is the least too far, where reached tells whether the
// arm gets to a place that is moved by so much: "; at most X 604 here".
func most(l *lesson.Lesson, task *lesson.Reach, d *jog.Drive, moved func(by r3.Vec) bool) string {
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
		reached := func(x float64) bool { return moved(r3.Scale(x-at, along)) }
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
