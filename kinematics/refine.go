package kinematics

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Accuracy of every solution fed back through Forward.
const (
	positionTolerance = 1e-9  // mm
	angleTolerance    = 1e-12 // rad
)

// work bounds what an answer may cost. It is counted and not timed, so that an answer is always the same.
type work struct {
	steps int     // of refine that are left, all attempts together
	trail *trail  // where settle has been; nil where it is not noted
	leash float64 // rad that an attempt may stray from where it begins; 0: any
}

const (
	// mostStepsEach is how many steps one attempt of refine may take.
	mostStepsEach = 60
	// hopeful is after how many of them an attempt is given up whose miss, squared as a part of the arm's length, is still more
	// than hopeless: one that leads to a solution is usually there by then.
	hopeful  = 15
	hopeless = 1e-4
	// paceOf is in how many of them the miss, squared, has to fall to a quarter, or the attempt is given up: even where two
	// solutions meet, Newton's method quarters it with every step.
	paceOf = 12

	// stuck is the part of the miss, squared, that a step has to promise to take away that did not lead nearer, or the attempt is given
	// up: a shorter one promises less.
	stuck = 1e-3

	// mostSteps is how many all the attempts of one Inverse may take together, and mostFollowed those of one Follow.
	mostSteps    = 5000
	mostFollowed = 1000
)

// refine is refineWithin without a bound but its own.
func (a *Arm) refine(target Pose, near Joints) (q Joints, miss float64, ok bool) {
	return a.refineWithin(target, near, &work{steps: mostStepsEach})
}

// refineWithin is the Levenberg–Marquardt iteration from near (Nocedal and Wright, Numerical Optimization, ch. 10). It
// works for any arm and also on the singular poses, where the damping keeps the step short. It returns the joint
// angles of the best attempt, its miss (mm, and rad times the arm's length, taken together) and whether it is within
// the accuracy of a solution.
func (a *Arm) refineWithin(target Pose, near Joints, w *work) (q Joints, miss float64, ok bool) {
	q = near
	err, jac := a.residual(target, q)
	cost := norm2(&err)
	// Damping above the cost would keep the last steps to a nearly singular pose from being taken (Yamashita and
	// Fukushima, Computing Supplementa 15, 2001).
	lambda := math.Min(1e-6, cost)
	before := math.Inf(1) // the cost so many steps ago
	fresh := true         // no step from here was refused yet
	for n := range mostStepsEach {
		if w.steps <= 0 || a.withinTolerance(err) || n == hopeful && cost > hopeless {
			break
		}
		if n%paceOf == 0 {
			if cost > before/4 {
				break
			}
			before = cost
		}
		w.steps--
		step, ok := dampedStep(&jac, err, lambda)
		if !ok || !(longest(&step) <= math.Pi) {
			lambda = max(10*lambda, 1e-12)
			continue
		}
		next := q
		for i := range next {
			next[i] += step[i]
		}
		nextErr, nextJac := a.residual(target, next)
		nextCost := norm2(&nextErr)
		if nextCost >= cost && fresh && w.steps > 0 && longest(&step) < smallStep {
			// Where the arm can nearly move without its flange moving, the way to a solution bends. A step along it misses by its square,
			// which can be more than was missed before, and which the next step takes away. So that one is made before a step is refused
			// (the watchdog technique; Nocedal and Wright, ch. 15.6).
			w.steps--
			then := descent{next, nextErr, nextJac, nextCost}
			if then.shortStep(a, target, math.Min(1e-6, nextCost), cost/2) {
				next, nextErr, nextJac, nextCost = then.q, then.err, then.jac, then.cost
			}
		}
		if fresh = nextCost < cost; fresh {
			q, err, jac, cost = next, nextErr, nextJac, nextCost
			lambda = math.Min(lambda/100, cost)
			if w.leash > 0 && farthest(q[:], near[:]) > w.leash {
				return q, math.Sqrt(cost) * a.length, false
			}
		} else if jac.leaves(&step, &err) > (1-stuck)*cost {
			break
		} else {
			lambda = 10*lambda + 1e-15
		}
	}
	return q, math.Sqrt(cost) * a.length, a.withinTolerance(err)
}

// leaves returns the square of what a step leaves of a residual, as far as the Jacobian tells.
func (jac *Jacobian) leaves(step, e *[6]float64) (sum float64) {
	for k := range e {
		left := e[k] - dot(&jac[k], step)
		sum += left * left
	}
	return sum
}

// polished returns q, which puts the flange at target to the accuracy of a solution, after more of such steps, as long as each brings
// it much nearer. Where two solutions are about to meet that accuracy leaves joint angles to half its digits.
func (a *Arm) polished(target Pose, q Joints, w *work) Joints {
	at := a.descentFrom(target, q)
	for range mostPolishing {
		if w.steps <= 0 || at.cost < 1e-32 {
			break
		}
		w.steps--
		if !at.shortStep(a, target, min(at.cost, 1e-18), at.cost/2) {
			break
		}
	}
	return at.q
}

// descent is where damped steps have led: joint angles, what they miss of the target, its square and its derivatives.
type descent struct {
	q    Joints
	err  [6]float64
	jac  Jacobian
	cost float64
}

func (a *Arm) descentFrom(target Pose, q Joints) descent {
	d := descent{q: q}
	d.err, d.jac = a.residual(target, q)
	d.cost = norm2(&d.err)
	return d
}

// shortStep makes one damped step, if it is short and brings the cost below that.
func (d *descent) shortStep(a *Arm, target Pose, lambda, below float64) bool {
	step, ok := dampedStep(&d.jac, d.err, lambda)
	if !ok || longest(&step) > smallStep {
		return false
	}
	next := d.q
	for i := range next {
		next[i] += step[i]
	}
	then := a.descentFrom(target, next)
	if !(then.cost < below) {
		return false
	}
	*d = then
	return true
}

// mostPolishing is how many steps polished takes at most.
const mostPolishing = 12

// sharpened returns q where it already puts the flange at target and else what refine makes of it, and how many steps that took.
func (a *Arm) sharpened(target Pose, q Joints) (to Joints, steps int, ok bool) {
	if a.at(&target, a.Forward(q)) {
		return q, 0, true
	}
	w := work{steps: mostStepsEach}
	to, _, ok = a.refineWithin(target, q, &w)
	return to, mostStepsEach - w.steps, ok
}

// longest returns the largest of the numbers. Where joints are free, steps along their free motion cost nothing and can
// be of any length, and joint angles of many turns lose their digits.
func longest(step *[6]float64) (most float64) {
	for _, x := range step {
		most = max(most, math.Abs(x))
	}
	return most
}

// at reports whether two poses are the same to the accuracy of a solution.
func (a *Arm) at(p *Pose, q Pose) bool {
	// Three axes off by at most a part of the tolerance are a turn within it.
	off := r3.Norm2(r3.Sub(p.Rotation.X, q.Rotation.X)) + r3.Norm2(r3.Sub(p.Rotation.Z, q.Rotation.Z))
	return r3.Norm2(r3.Sub(p.Position, q.Position)) < positionTolerance*positionTolerance && off < angleTolerance*angleTolerance
}

func (a *Arm) residual(target Pose, q Joints) ([6]float64, Jacobian) {
	now, jac := a.Jacobian(q, Identity)
	move, turn := now.Twist(target)
	move = r3.Scale(1/a.length, move)
	jac.shorten(a.length)
	return [6]float64{move.X, move.Y, move.Z, turn.X, turn.Y, turn.Z}, jac
}

func (a *Arm) withinTolerance(e [6]float64) bool {
	p := math.Sqrt(e[0]*e[0]+e[1]*e[1]+e[2]*e[2]) * a.length
	r := math.Sqrt(e[3]*e[3] + e[4]*e[4] + e[5]*e[5])
	return p <= positionTolerance && r <= angleTolerance
}

func norm2(e *[6]float64) float64 {
	return (e[0]*e[0] + e[1]*e[1]) + (e[2]*e[2] + e[3]*e[3]) + (e[4]*e[4] + e[5]*e[5])
}

// dampedStep solves (JᵀJ + λ·1)·x = Jᵀ·e.
func dampedStep(jac *Jacobian, e [6]float64, lambda float64) (x [6]float64, ok bool) {
	var n normal
	if ok = n.factor(jac, lambda); ok {
		n.solve(&e, &x)
	}
	return x, ok
}

// normal is JᵀJ + λ·1 as the lower half that Cholesky's method makes of it, its diagonal inverted, and J's columns.
type normal struct {
	column, lower [6][6]float64
}

// factor factors it, and reports false where it is not positive.
func (m *normal) factor(jac *Jacobian, lambda float64) bool {
	for k := range 6 {
		for i := range 6 {
			m.column[i][k] = jac[k][i]
		}
	}
	for i := range 6 {
		row := &m.lower[i]
		for j := range i {
			other := &m.lower[j]
			s := dot(&m.column[i], &m.column[j])
			for k := range j {
				s -= row[k] * other[k]
			}
			row[j] = s * other[j]
		}
		s := dot(&m.column[i], &m.column[i]) + lambda
		for k := range i {
			s -= row[k] * row[k]
		}
		if !(s > 0) {
			return false
		}
		row[i] = 1 / math.Sqrt(s)
	}
	return true
}

// solve writes the x for which that, times x, is Jᵀ·e.
func (m *normal) solve(e, x *[6]float64) {
	for i := range 6 {
		row := &m.lower[i]
		s := dot(&m.column[i], e)
		for k := range i {
			s -= row[k] * x[k]
		}
		x[i] = s * row[i]
	}
	for i := 5; i >= 0; i-- {
		s := x[i]
		for k := i + 1; k < 6; k++ {
			s -= m.lower[k][i] * x[k]
		}
		x[i] = s * m.lower[i][i]
	}
}
