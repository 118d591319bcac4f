package kinematics

import "math"

// Solution is one way to put the flange at a pose.
type Solution struct {
	Joints       Joints  // the turn nearest to the arm's joints within the limits or, if none is, nearest to them
	Posture      Posture // in words
	WithinLimits bool    // every joint is within its limits
	Family       bool    // at a singular pose: one of infinitely many, the one nearest to the arm's joints
	Distance     float64 // the largest difference to one of the arm's joints, rad
}

// method is a way to solve the inverse problem that fits the arm's geometry. Joint angles in and out are any turn.
type method interface {
	name() string
	// solve appends every solution for the flange. Where joints are free it leaves them at near.
	solve(dst []Solution, flange Pose, near Joints) []Solution
	// track returns the solution whose largest joint difference from near is the smallest and, of a family, the member
	// nearest to home that can be reached from near without a leap. A method to which all solutions are dear looks no farther
	// than smallStep. It also returns how many steps of iteration that took.
	track(flange Pose, near, home Joints) (q Joints, steps int, ok bool)
	posture(q Joints) Posture
	indicators(q Joints) Indicators
}

// Inverse appends to dst every way to put the flange at this pose, each with its posture, and returns the longer
// slice. Nothing is appended for a pose out of reach. near is where the arm is: it decides between whole turns of a
// joint and, where solutions form a family, which member stands for it. The flange's rotation must be a rotation to rounding.
//
// A family is marked, and given by the member nearest to near: whose joints, one aside, differ from near by the smallest
// sum of squares. The one that takes up what is left is joint 6, or joint 1 of an arm solved from its flange. A family
// that bends far may be given by more than one member, each the nearest of its surroundings.
func (a *Arm) Inverse(dst []Solution, flange Pose, near Joints) []Solution {
	if !flange.finite() || !near.finite() {
		return dst
	}
	from := len(dst)
	dst = a.method.solve(dst, flange, near)
	for i := from; i < len(dst) && !isDear(a.method); i++ {
		if dst[i].Family {
			dst = a.settleFamilies(dst, from, flange, near, a.method.posture, false, &work{steps: mostSteps})
			break
		}
	}
	for i := from; i < len(dst); i++ {
		a.finish(&dst[i], &near)
	}
	return dst
}

// finish chooses the turns of the joints and compares them with the limits and with near.
func (a *Arm) finish(s *Solution, near *Joints) {
	all, most := true, 0.0
	for i := range s.Joints {
		angle, within := a.Joints[i].turn(s.Joints[i], near[i])
		s.Joints[i] = angle
		all = all && within
		most = max(most, math.Abs(angle-near[i]))
	}
	s.WithinLimits, s.Distance = all, most
}

// Solver returns in plain words how Inverse solves for this arm.
func (a *Arm) Solver() string { return a.method.name() }

func (q *Joints) finite() bool {
	sum := 0.0
	for _, x := range q {
		sum += x
	}
	return sum-sum == 0
}

func (p *Pose) finite() bool {
	return finite(p.Position) && finite(p.Rotation.X) && finite(p.Rotation.Y) && finite(p.Rotation.Z)
}
