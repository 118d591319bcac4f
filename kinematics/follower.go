package kinematics

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// follower is an arm of any geometry made ready to follow its flange over the small steps of a jog, by Newton's method.
//
// The middle of the arm is frame 4 before joint 4 turns. The goal is carried there by joints 1, 2 and 3 and the flange by
// joints 6, 5 and 4, and what is missing from the one to the other is for the joints to give. Seen from the middle the
// movements by joints 3 and 4 never change, and those by joints 2 and 5 depend on one joint, so that there is little to
// compute. Lengths are parts of the arm's.
type follower struct {
	base    Pose // the arm's base frame in joint 1's frame before it turns
	upright bool // base is just a shift
	scale   float64
	link    [6]link
	tip     Rotation // as in chain

	// The movements by the joints where they never change: by joints 1, 2 and 3 seen from the next joint's frame before that
	// turns, by joint 4 from its own frame, and by joints 5 and 6 from the frame of the joint before after it turned.
	still  [6]twist
	mirror [4]float64 // see flatten
	third  float64    // see flatten
	bend   float64    // see bending
}

// twist is a movement: the velocity of the point at the origin and the angular velocity.
type twist struct{ linear, angular r3.Vec }

func newFollower(a *Arm) *follower {
	// Origins near to each other keep the digits.
	var origin [6]r3.Vec
	from := a.Flange.Position
	for i := 5; i >= 0; i-- {
		from = footOn(&a.Joints[i], from)
		origin[i] = from
	}
	c := newChain(&a.Joints, origin, a.Flange)
	f := &follower{base: c.base.Inverse(), upright: c.upright, scale: 1 / a.length, link: c.link, tip: c.tip}
	f.base.Position = r3.Scale(f.scale, f.base.Position)
	for i := range f.link {
		f.link[i].step = r3.Scale(f.scale, f.link[i].step)
	}
	for i := range 3 { // carried on over the link
		l := &f.link[i]
		f.still[i].angular = aboutX(l.cosTwist, -l.sinTwist, NoRotation.Z)
		f.still[i].linear = aboutX(l.cosTwist, -l.sinTwist, r3.Cross(NoRotation.Z, l.step))
	}
	f.still[3].angular = NoRotation.Z
	for i := 4; i < 6; i++ { // and back
		l := &f.link[i-1]
		f.still[i].angular = aboutX(l.cosTwist, l.sinTwist, NoRotation.Z)
		f.still[i].linear = r3.Cross(l.step, f.still[i].angular)
	}
	f.mirror, f.third = mirrorToFirst(&f.still[2])
	f.bend = f.bending()
	return f
}

// bending returns by how much the movements change at most, per rad of joint motion, both as lengths over all the joints.
// That by joint 1 is turned by joints 2 and 3 on its way to the middle, that by joint 2 by joint 3, that by joint 5 by joint
// 4, and that by joint 6 by joints 5 and 4. Turning by one joint changes the movement by another by their commutator, at
// most √(1 + r²) where r is how far both axes can be from the middle, added up. What the joints of one side change is at most
// the norm of the matrix of these.
func (f *follower) bending() float64 {
	far1 := r3.Norm(f.still[0].linear) + r3.Norm(f.link[1].step) + r3.Norm(f.link[2].step)
	far2 := r3.Norm(f.still[1].linear) + r3.Norm(f.link[2].step)
	far3, far5 := r3.Norm(f.still[2].linear), r3.Norm(f.still[4].linear)
	far6 := r3.Norm(f.still[5].linear) + r3.Norm(f.link[3].step)
	square := func(r float64) float64 { return 1 + r*r }
	before := square(far1+far2) + square(far1+far3) + square(far2+far3)
	after := square(far5) + square(far6) + square(far5+far6)
	return math.Sqrt(max(before, after))
}

// track writes the solution nearest to near for this flange. It reports false where it cannot say that this is the nearest.
//
// The first step, unless it is tiny, is Chebyshev's, Newton's with the term of second order, and those after it are Newton's
// (Ortega and Rheinboldt, Iterative Solution of Nonlinear Equations in Several Variables, 10.2). That the solution is the
// nearest follows as in the theorem of Newton and Kantorovich (ibid., 12.6): along the way from one solution x to another y,
// as seen from near, the movements add up to none, and they are those at near but for bend times the distance from near, on
// average at most half of |x| + |y|. So |J·(y − x)| ≤ bend·|y − x|·(|x| + |y|)/2, to which half is added for what is of third
// order (less, for joint differences within tickStep), and there is no other y unless that bound allows for |y − x|/|J⁻¹|.
// One no farther than x by its largest joint difference d has |y| ≤ √6·d.
func (f *follower) track(flange *Pose, near, q *Joints) bool {
	var turn [6]direction
	turns(f.link[:], near[:], turn[:])
	position, x, z := f.goal(flange)
	var move [6]twist
	move[2].linear, move[2].angular = f.still[2].linear, f.still[2].angular
	move[3].linear, move[3].angular = f.still[3].linear, f.still[3].angular
	var jac flatJacobian
	var parts, step, way [6]float64
	bent := 0.0 // bend·|J⁻¹|
	for n := range 4 {
		f.movements(&turn, &move)
		f.jacobian(&move, &jac)
		linear, angular := f.miss(&turn, position, x, z)
		f.flatten(linear, angular, &parts)
		f.solve(&jac, &parts, &step)
		size := norm6(&step)
		left := f.bend / 2 * size * size // about what this step leaves to the next
		if n == 0 {
			bent = f.bend * f.inverseNorm(&jac)
			if left > closeEnough {
				moreLinear, moreAngular := secondOrder(&move, &step)
				f.flatten(r3.Sub(linear, moreLinear), r3.Sub(angular, moreAngular), &parts)
				f.solve(&jac, &parts, &step)
				size = norm6(&step)
				left = bent * bent * size * size * size
			}
		}
		for i, x := range step {
			way[i] += x
		}
		if left < closeEnough {
			for i, x := range way {
				q[i] = near[i] + x
			}
			return nearest6(&way, bent)
		}
		if !(bent*size < 1 && size < tickStep) {
			break
		}
		for i := range turn {
			t := turn[i].turned(step[i])
			turn[i].cos, turn[i].sin = t.cos, t.sin
		}
	}
	return false
}

// closeEnough is a tenth of the accuracy of a solution.
const closeEnough = angleTolerance / 10

// norm6 returns the length of a joint motion.
func norm6(x *[6]float64) float64 {
	return math.Sqrt(norm2(x))
}

// nearest6 reports whether the solution at the end of this way is the nearest, by the bound that track explains.
func nearest6(way *[6]float64, bent float64) bool {
	far := 0.0
	for _, x := range way {
		far = max(far, math.Abs(x))
	}
	return far < tickStep && bent*1.5*(norm6(way)+math.Sqrt(6)*far)/2 < 1
}

// goal returns the flange's position and X and Z axes in joint 1's frame before it turns.
func (f *follower) goal(flange *Pose) (position, x, z r3.Vec) {
	position, x, z = r3.Scale(f.scale, flange.Position), flange.Rotation.X, flange.Rotation.Z
	if !f.upright {
		r := &f.base.Rotation
		position, x, z = r.apply(&position), r.apply(&x), r.apply(&z)
	}
	return r3.Add(f.base.Position, position), x, z
}

// movements writes the movements by the joints that change, 1, 2, 5 and 6, seen from the middle. It is written out because
// calls would take as long as all the rest.
func (f *follower) movements(turn *[6]direction, move *[6]twist) {
	l, c, s := &f.link[1], turn[1].cos, -turn[1].sin
	w := aboutZ(c, s, f.still[0].angular)
	v := r3.Add(aboutZ(c, s, f.still[0].linear), r3.Cross(w, l.step))
	w, v = aboutX(l.cosTwist, -l.sinTwist, w), aboutX(l.cosTwist, -l.sinTwist, v)
	l, c, s = &f.link[2], turn[2].cos, -turn[2].sin
	w = aboutZ(c, s, w)
	v = r3.Add(aboutZ(c, s, v), r3.Cross(w, l.step))
	move[0].linear, move[0].angular = aboutX(l.cosTwist, -l.sinTwist, v), aboutX(l.cosTwist, -l.sinTwist, w)
	w = aboutZ(c, s, f.still[1].angular)
	v = r3.Add(aboutZ(c, s, f.still[1].linear), r3.Cross(w, l.step))
	move[1].linear, move[1].angular = aboutX(l.cosTwist, -l.sinTwist, v), aboutX(l.cosTwist, -l.sinTwist, w)

	l, c, s = &f.link[3], turn[4].cos, turn[4].sin
	w = aboutX(l.cosTwist, l.sinTwist, aboutZ(c, s, f.still[5].angular))
	v = r3.Add(aboutX(l.cosTwist, l.sinTwist, aboutZ(c, s, f.still[5].linear)), r3.Cross(l.step, w))
	c, s = turn[3].cos, turn[3].sin
	move[4].linear, move[4].angular = aboutZ(c, s, f.still[4].linear), aboutZ(c, s, f.still[4].angular)
	move[5].linear, move[5].angular = aboutZ(c, s, v), aboutZ(c, s, w)
}

// miss returns the movement from the flange to the goal, seen from the middle; what is of third order in it is left out.
func (f *follower) miss(turn *[6]direction, p, x, z r3.Vec) (linear, angular r3.Vec) {
	for i := range 3 {
		l, t := &f.link[i], turn[i]
		x, z, p = l.unturned(t, x), l.unturned(t, z), aboutX(l.cosTwist, -l.sinTwist, r3.Sub(aboutZ(t.cos, -t.sin, p), l.step))
	}
	fx, fz, fp := f.tip.X, f.tip.Z, f.link[5].step
	for i := 5; ; i-- {
		c, s := turn[i].cos, turn[i].sin
		fx, fz, fp = aboutZ(c, s, fx), aboutZ(c, s, fz), aboutZ(c, s, fp)
		if i == 3 {
			break
		}
		l := &f.link[i-1]
		c, s = l.cosTwist, l.sinTwist
		fx, fz, fp = aboutX(c, s, fx), aboutX(c, s, fz), r3.Add(l.step, aboutX(c, s, fp))
	}
	y, fy := r3.Cross(z, x), r3.Cross(fz, fx)
	angular = r3.Scale(0.5, r3.Add(r3.Add(r3.Cross(fx, x), r3.Cross(fy, y)), r3.Cross(fz, z)))
	// The velocity is that half way.
	linear = r3.Sub(r3.Sub(p, fp), r3.Cross(angular, r3.Scale(0.5, r3.Add(p, fp))))
	return linear, angular
}

// secondOrder returns the movement of second order that comes of turning the joints one after the other: half the commutator
// of every two (the formula of Baker, Campbell and Hausdorff; Murray, Li and Sastry, app. A).
func secondOrder(move *[6]twist, step *[6]float64) (linear, angular r3.Vec) {
	v, w := r3.Scale(step[0], move[0].linear), r3.Scale(step[0], move[0].angular) // of the joints so far
	for j := 1; j < 6; j++ {
		vj, wj := r3.Scale(step[j], move[j].linear), r3.Scale(step[j], move[j].angular)
		angular = r3.Add(angular, r3.Cross(w, wj))
		linear = r3.Add(linear, r3.Sub(r3.Cross(w, vj), r3.Cross(wj, v)))
		v, w = r3.Add(v, vj), r3.Add(w, wj)
	}
	return r3.Scale(0.5, linear), r3.Scale(0.5, angular)
}
