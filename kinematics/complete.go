package kinematics

import "math"

// This file completes the answers of closed forms where their equations tell too little: where solutions meet, or form
// families, an equation has a double zero, or vanishes everywhere, and rounding may hide what is there.

// startsAround is from how many places all around iteration sets out where a closed form may have missed a solution.
const startsAround = 24

// complete marks the families among dst[from:], and appends what iteration leads to from near and, if all is set, from places
// all around.
func (a *Arm) complete(dst []Solution, from int, flange Pose, near Joints, posture func(Joints) Posture, all bool) []Solution {
	w := work{steps: mostSteps, trail: &trail{}}
	starts := 1
	if all {
		dst = a.settleFamilies(dst, from, flange, near, posture, true, &w)
		starts += startsAround
	}
	for k := range starts {
		dst = a.from(dst, from, flange, spreadFrom(near, k), near, posture, &w)
	}
	return dst
}

// from refines a start and appends what comes of it, if it is a solution that is not among dst[first:] yet.
func (a *Arm) from(dst []Solution, first int, flange Pose, start, near Joints, posture func(Joints) Posture, w *work) []Solution {
	if len(dst)-first >= mostSolutions {
		return dst // of infinitely many, in more ways than one
	}
	q, _, ok := a.refineWithin(flange, start, w)
	if !ok || known(dst[first:], &q, sameStand) {
		return dst
	}
	q, free := a.settle(flange, q, near, w)
	if free && known(dst[first:], &q, sameFree) {
		return dst
	}
	if !free {
		if i := a.onSlope(dst[first:], &q); i >= 0 {
			if s := &dst[first+i]; !s.Family && farthest(q[:], near[:]) < farthest(s.Joints[:], near[:]) {
				s.Joints, s.Posture = q, posture(q)
			}
			return dst
		}
	}
	return append(dst, Solution{Joints: q, Posture: posture(q), Family: free})
}

// onSlope returns which of the solutions q is, but for what the accuracy of a flange leaves undetermined next to a
// singularity: a difference along the joint speeds that hardly move the flange. It returns −1 where it is none.
func (a *Arm) onSlope(solutions []Solution, q *Joints) int {
	s := a.freedom(*q)
	if s.Smallest > 1e-5 {
		return -1
	}
	play := min(0.01, 10*angleTolerance/s.Smallest)
	for i := range solutions {
		along, off := 0.0, 0.0
		for k := range q {
			d := solutions[i].Joints[k] - q[k]
			along += (d - turnsOff(d, 0)) * s.Racing[k]
		}
		if math.Abs(along) > play {
			continue
		}
		for k := range q {
			d := solutions[i].Joints[k] - q[k]
			off = max(off, math.Abs(d-turnsOff(d, 0)-along*s.Racing[k]))
		}
		if off < max(sameStand, play*play) {
			return i
		}
	}
	return -1
}

// settleFamilies puts the nearest member in the place of every one of dst[from:] that belongs to a family, and leaves
// out those that are then given twice. Where all is not set, only those are looked at that are marked already.
func (a *Arm) settleFamilies(dst []Solution, from int, flange Pose, near Joints, posture func(Joints) Posture, all bool, w *work) []Solution {
	kept := from
	for i := from; i < len(dst); i++ {
		s := dst[i]
		if s.Family || all {
			if s.Joints, s.Family = a.settle(flange, s.Joints, near, w); s.Family {
				s.Posture = posture(s.Joints)
				if known(dst[from:kept], &s.Joints, sameFree) {
					continue
				}
			}
		}
		dst[kept] = s
		kept++
	}
	return dst[:kept]
}

// orByIteration returns the nearer to near of best, which is least rad from it, and of what iteration leads to from there:
// for a method whose equations say too little here. Of a family it returns the member nearest to home, unless the arm would
// have to leap to it. It also returns how many steps of iteration it took.
func (a *Arm) orByIteration(best Joints, least float64, flange Pose, near, home Joints) (q Joints, steps int, ok bool) {
	w := work{steps: mostFollowed}
	q, ok = a.orByWork(best, least, flange, near, home, &w)
	return q, mostFollowed - w.steps, ok
}

func (a *Arm) orByWork(best Joints, least float64, flange Pose, near, home Joints, w *work) (Joints, bool) {
	q, far, ok := a.refineBeside(flange, near, w)
	if !ok {
		return best, !math.IsInf(least, 1)
	}
	if far < smallStep {
		q = a.polished(flange, q, w)
		far = farthest(q[:], near[:])
	}
	if to, free := a.settle(flange, q, home, w); free {
		if home != near && farthest(to[:], near[:]) > far+smallStep {
			to, _ = a.settle(flange, q, near, w)
		}
		to = a.polished(flange, to, w)
		if far < smallStep {
			return to, true
		}
		q, far = to, farthest(to[:], near[:])
	}
	if far < least-sameStand || !a.at(&flange, a.Forward(best)) { // the equations' own answer has the more digits
		return q, true
	}
	return best, true
}

// refineBeside refines near and, where that leads nowhere or far away from a nearly singular pose, places to both sides of
// it: in a singular pose itself nothing tells iteration to which side a solution is. It returns the solution nearest to near
// that it finds, and how far in rad that is.
func (a *Arm) refineBeside(flange Pose, near Joints, w *work) (q Joints, far float64, ok bool) {
	q, _, ok = a.refineWithin(flange, near, w)
	if far = farthest(q[:], near[:]); ok && far < smallStep {
		return q, far, true
	}
	if !ok {
		far = math.Inf(1)
	}
	s := a.freedom(near)
	if s.Smallest > nearlySingular {
		return q, far, ok
	}
	// The way to a solution from where two meet grows with the root of what is missing.
	e, _ := a.residual(flange, near)
	by := min(smallStep, math.Sqrt(math.Sqrt(norm2(&e))))
	for _, by := range [2]float64{by, -by} {
		each := work{steps: min(w.steps, mostBeside), leash: w.leash}
		w.steps -= each.steps
		to, _, found := a.refineWithin(flange, moved(&near, by, &s.Racing), &each)
		w.steps += each.steps
		if d := farthest(to[:], near[:]); found && d < far {
			q, far, ok = to, d, true
		}
	}
	return q, far, ok
}

// mostBeside is how many steps an attempt beside a singular pose may take.
const mostBeside = 20

// nearlySingular is the smallest singular value, or the sine of an angle that stands for it, below which solutions are so
// near to meeting that equations lose digits.
const nearlySingular = 1e-3

// nearlySingular reports whether the arm is in or next to a singularity at q.
func (a *Arm) nearlySingular(q Joints) bool {
	if i := a.method.indicators(q); i.complete() {
		return math.Abs(math.Sin(i.Wrist)) < nearlySingular || math.Abs(math.Sin(i.Elbow)) < nearlySingular || math.Abs(i.Shoulder) < nearlySingular*a.length
	}
	return a.freedom(q).Smallest < nearlySingular
}

// nearestAround returns, of q and the solution that may have met it nearby, the one nearest to near; of a family, the
// member that orByIteration returns.
func (a *Arm) nearestAround(flange Pose, q, near, home Joints) (to Joints, steps int) {
	far := farthest(q[:], near[:])
	_, jac := a.residual(flange, q)
	s, ok := jac.aboutSmallest()
	if !ok || s.Smallest < 2*freeBelow {
		s = decompose(&jac)
	}
	if s.Smallest < freeBelow {
		q, steps, _ = a.orByIteration(q, far, flange, near, home)
		return q, steps
	}
	// Along the joint speeds that hardly move the flange its movement is, in the direction that is nearly lost, about
	// smallest·x + bend·x²/2, which vanishes at another place too.
	const delta = 1e-3
	_, jac = a.residual(flange, moved(&q, delta, &s.Racing))
	bend := 0.0
	for row, lost := range s.Lost {
		for i, v := range s.Racing {
			bend += lost * jac[row][i] * v
		}
	}
	bend = (bend - s.Smallest) / delta
	by := -2 * s.Smallest / bend
	if !(math.Abs(by) < 3*far) {
		return q, 0
	}
	to, steps, ok = a.sharpened(flange, moved(&q, by, &s.Racing))
	if ok && farthest(to[:], near[:]) < far {
		return to, steps
	}
	return q, steps
}
