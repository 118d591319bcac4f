package kinematics

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// wrist is the last three joints where their axes meet in one point, the wrist centre. It sets the orientation and
// nothing else, which is what splits the inverse problem in two (Pieper 1968; Craig, Introduction to Robotics,
// ch. 4).
type wrist struct {
	link   [3]link  // of joints 4, 5, 6
	untip  Rotation // frame 6 in the flange
	centre r3.Vec   // the wrist centre in the flange's frame

	square         bool    // both twists are quarter turns
	twist4, twist5 float64 // rad
	straight       float64 // cosine of joint 5's turn, phase included, where the hand continues the forearm: 1 or −1
}

// straightWrist is how far, in rad, the last axis may be from the line of the fourth for the two to be one.
const straightWrist = 1e-12

// stretchedWrist is by how much in rad half the angle between the axes may be beyond what a wrist that is not square can
// reach for it to be just stretched or folded. It is rounding.
const stretchedWrist = angleTolerance / 2

// newWrist reads the wrist from a chain whose frames 4, 5 and 6 have their origin in the wrist centre. The forearm
// lies on joint 4's axis on the side from which it comes, the hand on joint 6's axis on the side of the flange.
func newWrist(k *chain) wrist {
	w := wrist{link: [3]link(k.link[3:6]), untip: k.tip.Transpose()}
	w.centre = w.untip.Apply(r3.Scale(-1, k.link[5].step))
	a, b := &w.link[0], &w.link[1]
	w.square = math.Abs(a.cosTwist) < 1e-15 && math.Abs(b.cosTwist) < 1e-15
	w.twist4, w.twist5 = math.Atan2(a.sinTwist, a.cosTwist), math.Atan2(b.sinTwist, b.cosTwist)

	before := &k.link[2]
	forearm := aboutX(before.cosTwist, -before.sinTwist, before.step).Z
	if math.Abs(forearm) < lengthNoise {
		forearm = 1
	}
	hand := k.link[5].step.Z
	if math.Abs(hand) < lengthNoise {
		hand = k.tip.Z.Z
	}
	w.straight = -sign(forearm) * sign(hand)
	return w
}

// lengthNoise is a length in mm that stands for zero where only a sign is asked.
const lengthNoise = 1e-6

// sign returns −1 for negative x and 1 otherwise.
func sign(x float64) float64 {
	if x < 0 {
		return -1
	}
	return 1
}

// split returns the wrist centre and writes the axes of frame 6 for this flange, both in joint 1's frame before it turns.
func (w *wrist) split(base *Pose, upright bool, flange *Pose, frame *Rotation) (centre r3.Vec) {
	centre, x, z := lastFrame(base, upright, &w.centre, &w.untip, flange)
	frame.X, frame.Y, frame.Z = x, r3.Cross(z, x), z
	return centre
}

// lastFrame returns the origin and the X and Z axes of frame 6, given in the flange, for this flange, in joint 1's frame
// before it turns.
func lastFrame(base *Pose, upright bool, origin *r3.Vec, axes *Rotation, flange *Pose) (at, x, z r3.Vec) {
	r := &flange.Rotation
	at = r3.Sub(r3.Add(flange.Position, r.apply(origin)), base.Position)
	x, z = r.apply(&axes.X), r.apply(&axes.Z)
	if !upright {
		b := &base.Rotation
		at, x, z = b.unapply(&at), b.unapply(&x), b.unapply(&z)
	}
	return at, x, z
}

// hand is the angles of joints 4, 5 and 6, rad.
type hand struct{ q4, q5, q6 float64 }

// hands are the ways to bring frame 6 to its place: the plain one first, then the flipped one. Where the wrist is
// straight, joints 4 and 6 turn about the same line, and the one given is one of infinitely many.
type hands struct {
	q      [2]hand
	n      int
	family bool
}

// solve returns the ways to bring frame 6 to m, given in joint 4's frame before it turns. Where the wrist is
// straight joint 4 is left at q4.
func (w *wrist) solve(m *Rotation, q4 float64) (h hands) {
	rho := hypot(m.Z.X, m.Z.Y)
	if !w.square {
		return w.solveSkew(m, rho, q4)
	}
	if rho < straightWrist {
		c4, s4 := w.link[0].turn(q4)
		return hands{q: [2]hand{w.bent(m, c4, s4)}, n: 1, family: true}
	}
	// The last axis seen from joint 4 is Rz(joint 4)·(sin joint 5, 0, −cos joint 5).
	toward := w.straight / rho
	plain := w.finish(m, toward*m.Z.X, toward*m.Z.Y, -m.Z.Z, w.straight*rho)
	// The other way: half a turn of joints 4 and 6, and joint 5 to the other side.
	flipped := hand{plain.q4 + math.Pi, -plain.q5 - 2*w.link[1].phase, plain.q6 + math.Pi}
	return hands{q: [2]hand{plain, flipped}, n: 2}
}

// solveSkew does the same where the three axes are not square to each other.
func (w *wrist) solveSkew(m *Rotation, rho, q4 float64) (h hands) {
	a, b := &w.link[0], &w.link[1]
	sin2, cos2, ok := halfTurn(a, b, w.twist4, w.twist5, direction{m.Z.Z, rho}.angle())
	if !ok {
		return h
	}
	if rho < straightWrist {
		c4, s4 := a.turn(q4)
		return hands{q: [2]hand{w.bent(m, c4, s4)}, n: 1, family: true}
	}
	fifth := direction{cos2 - sin2, w.straight * 2 * math.Sqrt(sin2*cos2)}.unit() // small twists leave few digits
	c5, s5 := fifth.cos, fifth.sin
	for range 2 {
		h.q[h.n] = w.skewHand(m, rho, c5, s5)
		h.n++
		if math.Abs(s5) < sameSolution && math.Abs(s5*b.sinTwist) < sameSolution*rho {
			break // stretched or folded: both ways are one, also in joint 4
		}
		s5 = -s5
	}
	return h
}

// skewHand returns the wrist joints for frame 6 at m, rho its last axis's distance from axis 4, and the turn of joint 5.
func (w *wrist) skewHand(m *Rotation, rho, c5, s5 float64) hand {
	a, b := &w.link[0], &w.link[1]
	// The last axis before joint 4 turns is (u, v, …); joint 4 turns it to m's.
	u, v := b.sinTwist*s5, -a.cosTwist*b.sinTwist*c5-a.sinTwist*b.cosTwist
	scale := 1 / hypot(u, v) / rho
	return w.finish(m, (m.Z.X*u+m.Z.Y*v)*scale, (m.Z.Y*u-m.Z.X*v)*scale, c5, s5)
}

// halfTurn returns the squares of sine and cosine of half the turn of the joint between two links, phase included, that
// sets the axis before the first link and the one after the second at this angle, 0…π; false where they cannot be so. It
// is the half-angle formulas of the spherical triangle whose sides are that angle and the links' twists (Todhunter,
// Spherical Trigonometry, art. 45), which keep their digits where the triangle is flat.
func halfTurn(first, second *link, twist1, twist2, between float64) (sin2, cos2 float64, ok bool) {
	sum, diff := twist1+twist2, twist1-twist2
	product := first.sinTwist * second.sinTwist
	a, _ := sincos((sum - between) / 2)
	b, _ := sincos((sum + between) / 2)
	c, _ := sincos((between + diff) / 2)
	d, _ := sincos((between - diff) / 2)
	sin2, cos2 = a*b/product, c*d/product
	stretched := math.Min(math.Abs(a), math.Abs(b)) < stretchedWrist
	folded := math.Min(math.Abs(c), math.Abs(d)) < stretchedWrist
	if !((sin2 >= 0 || stretched) && (cos2 >= 0 || folded)) {
		return 0, 0, false
	}
	return max(0, sin2), max(0, cos2), true
}

// sameSolution is half the joint difference in rad up to which two solutions that are about to merge count as one: the
// way of each from the middle. The rounding of a target at a singular pose alone puts a stretched arm's two elbows as
// much as 1e-7 rad apart.
const sameSolution = sameStand / 2

// bent returns the wrist joints for frame 6 at m with joint 4 turned to the angle with cosine c4 and sine s4.
// There is such a solution only where that brings axis 6 into reach of joint 5.
func (w *wrist) bent(m *Rotation, c4, s4 float64) hand {
	a := &w.link[0]
	last := aboutX(a.cosTwist, -a.sinTwist, aboutZ(c4, -s4, m.Z)) // = Rz(joint 5)·(0, −sin twist, cos twist)
	scale := 1 / hypot(last.X, last.Y)
	return w.finish(m, c4, s4, -last.Y*scale, last.X*scale)
}

// finish returns the wrist joints for frame 6 at m and the known turns of joints 4 and 5. Joint 6 is read from what
// is left after them, not from m itself, so that the three agree even where each alone is ill-defined.
func (w *wrist) finish(m *Rotation, c4, s4, c5, s5 float64) hand {
	a, b, c := &w.link[0], &w.link[1], &w.link[2]
	// The first row of Rz(−joint 5)·Rx(−twist)·Rz(−joint 4)·m = Rx(twist)·Rz(joint 6).
	cos := c5*(c4*m.X.X+s4*m.X.Y) + s5*(a.cosTwist*(c4*m.X.Y-s4*m.X.X)+a.sinTwist*m.X.Z)
	sin := -c5*(c4*m.Y.X+s4*m.Y.Y) - s5*(a.cosTwist*(c4*m.Y.Y-s4*m.Y.X)+a.sinTwist*m.Y.Z)
	return hand{a.joint(c4, s4), b.joint(c5, s5), c.joint(cos, sin)}
}

// steadyWrist is the angle in rad between axes 4 and 6 below which joint 4 is chosen with care by nearest.
const steadyWrist = 1e-5

// roundedWrist is such an angle below which rounding of joints 1 to 3 may pass for it.
const roundedWrist = 1e-9

// nearest returns of the ways to bring frame 6 to m the one whose largest joint difference from near is the
// smallest, and that difference. Next to the straight wrist the last digits of the target decide joint 4; there it
// stays as near to q4 as a tenth of the accuracy of a solution allows.
func (w *wrist) nearest(m *Rotation, near *Joints) (q hand, far float64) {
	rho := hypot(m.Z.X, m.Z.Y)
	if w.square && rho < steadyWrist {
		c4, s4 := w.link[0].turn(near[3])
		along, across := c4*m.Z.X+s4*m.Z.Y, c4*m.Z.Y-s4*m.Z.X
		const slack = angleTolerance / 10
		if math.Abs(across) > slack {
			off := math.Atan2(across, along)
			if along < 0 {
				off = math.Atan2(-across, -along) // joint 5 goes to the other side instead
			}
			sin, cos := math.Sincos(off - math.Copysign(math.Asin(slack/rho), off))
			c4, s4 = c4*cos-s4*sin, s4*cos+c4*sin
		}
		q = w.bent(m, c4, s4)
		return q, q.apart(near)
	}
	if q, far, ok := w.sameHand(m, rho, near); ok {
		return q, far
	}
	h := w.solve(m, near[3])
	far = math.Inf(1)
	for i := range h.n {
		if d := h.q[i].apart(near); d < far {
			q, far = h.q[i], d
		}
	}
	return q, far
}

// sameHand returns the way to bring frame 6 to m with joint 5 bent to the side to which it is at near, and the largest
// joint difference from near. It reports false where the other way may be nearer, and where rounding needs more care.
func (w *wrist) sameHand(m *Rotation, rho float64, near *Joints) (q hand, far float64, ok bool) {
	a, b := &w.link[0], &w.link[1]
	side := w.straight * sign(w.bend(near[4]))
	if w.square {
		toward := side / rho
		q = w.finish(m, toward*m.Z.X, toward*m.Z.Y, -m.Z.Z, side*rho)
		far = q.apart(near)
		return q, far, far < math.Pi/2 // the other has joint 4 half a turn away
	}
	// The law of cosines for the spherical triangle of halfTurn.
	c5 := (a.cosTwist*b.cosTwist - m.Z.Z) / (a.sinTwist * b.sinTwist)
	s5 := math.Sqrt((1 - c5) * (1 + c5))
	if !(s5*rho > 0.01) {
		return q, 0, false
	}
	q = w.skewHand(m, rho, c5, side*s5)
	far = q.apart(near)
	return q, far, far < s5 // the other has joint 5 twice the bend away
}

// apart returns the largest joint difference of the hand from near.
func (h hand) apart(near *Joints) float64 {
	return max(apart(h.q4, near[3]), apart(h.q5, near[4]), apart(h.q6, near[5]))
}

// turned returns the hand whole turns on, nearest to near.
func (h hand) turned(near *Joints) hand {
	return hand{h.q4 - turnsOff(h.q4, near[3]), h.q5 - turnsOff(h.q5, near[4]), h.q6 - turnsOff(h.q6, near[5])}
}

// bend returns how far joint 5 is from where the hand continues the forearm, in (−π, π], positive where the wrist is
// plain.
func (w *wrist) bend(q5 float64) float64 {
	angle := q5 + w.link[1].phase
	if w.straight < 0 {
		angle += math.Pi
	}
	return angle - turnsOff(angle, 0)
}
