package kinematics

import "math"

// Track returns the joint angles that put the flange at target and are continuous with near, where the arm was just
// before: of all the ways to stand there, the one whose largest joint difference from near is the smallest, whole
// turns included and limits aside. It reports false only where the target is out of reach.
//
// Of a family of solutions it is the member nearest to near, see Inverse.
func (a *Arm) Track(target Pose, near Joints) (q Joints, ok bool) {
	q, _, ok = a.Follow(target, near, near)
	far := farthest(q[:], near[:])
	if ok && far < smallStep || !isDear(a.method) || !target.finite() || !near.finite() {
		return q, ok
	}
	// Where the way is a narrow bent valley, iteration may have found another than the nearest, or none.
	var store [mostSolutions]Solution
	best, found := nearest(a.method.solve(store[:0], target, near), &near)
	if !found || ok && farthest(best[:], near[:]) >= far {
		return q, ok
	}
	for i := range best {
		best[i] -= turnsOff(best[i], near[i])
	}
	return best, true
}

// Follow is Track over the small steps of a motion that set out from home: of a family it returns the member nearest to home,
// as long as it is continuous with near. So the joints along a path do not depend on the steps in which it is followed.
// On an arm without a closed form it also reports false where the joints would have to leap, by 0.05 rad or more: to look
// for all solutions takes long. Its work is bounded on every arm: it also returns how many steps of iteration it took, 0 where the
// quick way did, so that whoever follows a path can count what that takes.
func (a *Arm) Follow(target Pose, near, home Joints) (q Joints, steps int, ok bool) {
	if a.quick.track(&target, &near, &q) {
		return q, 0, true
	}
	if !target.finite() || !near.finite() || !home.finite() {
		return near, 0, false
	}
	if home == near && a.at(&target, a.Forward(near)) {
		return near, 0, true
	}
	q, steps, ok = a.method.track(target, near, home)
	if far := farthest(q[:], near[:]); (ok && far > smallStep || !ok && !iterates(a.method)) && a.nearlySingular(near) {
		if m, can := a.method.(certain); !can || !m.sure(target, near, ok) {
			w := work{steps: mostBesideFar, leash: 4 * smallStep}
			if !ok {
				far, w = math.Inf(1), work{steps: mostFollowed}
			}
			most := w.steps
			q, ok = a.orByWork(q, far, target, near, home, &w)
			steps += most - w.steps
		}
	}
	if !ok {
		return near, steps, false
	}
	for i := range q {
		q[i] -= turnsOff(q[i], near[i])
	}
	return q, steps, true
}

// mostBesideFar is how many steps of iteration a solution close by is worth where one from afar is at hand.
const mostBesideFar = 200

// iterates reports whether a method has tried iteration already where its track finds nothing.
func iterates(m method) bool {
	switch m := m.(type) {
	case *pieperArm, *parallelArm:
		return true
	case mirrored:
		return iterates(m.image)
	}
	return false
}

// certain is a method whose equations can say that what its track has found is the answer, an answer or none, so that iteration need not
// try. It has to be right where it says so, and may say nothing.
type certain interface {
	sure(flange Pose, near Joints, found bool) bool
}

// quick is the way to track the small steps of a jog that are not too near to a singularity: by iteration from near, where
// that provably leads to the nearest solution.
type quick struct {
	placing  *placing // of an arm with a spherical wrist
	parallel *parallelArm
	mirrored bool      // it is the arm's mirror image
	follower *follower // of any other arm
}

func (a *Arm) newQuick() quick {
	switch m := a.method.(type) {
	case *elbowArm:
		return quick{placing: m.placing()}
	case *pieperArm:
		return quick{placing: m.placing()}
	case *parallelArm:
		return quick{parallel: m}
	case mirrored:
		image := Arm{method: m.image}
		q := image.newQuick()
		q.mirrored = true
		return q
	}
	return quick{follower: newFollower(a)}
}

// track writes the solution nearest to near for this flange. It reports false where it cannot say that this is the nearest,
// and where a number is not finite.
func (k *quick) track(flange *Pose, near, q *Joints) bool {
	if k.mirrored {
		var image Pose
		image.invert(flange)
		back := *near
		back.reverse()
		ok := k.step(&image, &back, q)
		q.reverse()
		return ok
	}
	return k.step(flange, near, q)
}

func (k *quick) step(flange *Pose, near, q *Joints) bool {
	switch {
	case k.placing != nil:
		return k.placing.track(flange, near, q)
	case k.parallel != nil:
		return k.parallel.follow(flange, near, q)
	}
	return k.follower.track(flange, near, q)
}
