package kinematics

import (
	"container/heap"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// This file finds out how near the TCP can come to a place, however the tool is turned, within the limits of the joints. It splits the
// joints' ranges into boxes, finds for each how near the TCP comes at least, and splits on where it may come nearest. So what it says is
// out of reach is so: nothing is sampled.

// Nearness is how near the TCP can come to a place.
type Nearness struct {
	Least float64 // mm: it comes no nearer
	Found float64 // mm: so near it comes
	At    Joints  // there, within the limits
}

// nearEnough is how well both are to agree, mm.
const nearEnough = 0.25

// nearestBoxes bounds the work: it takes some tenths of a second.
const nearestBoxes = 100_000

// Nearest returns how near the TCP, which is at tip in the flange's frame, can come to a place in the base frame. It ends as soon as it is
// found to come as near as enough, or as both bounds agree. After a certain work, and when goOn, which may be nil, says no, it ends as well;
// then Least is lower than it might be.
func (a *Arm) Nearest(tip, to r3.Vec, enough float64, goOn func() bool) Nearness {
	n := a.approach(tip, to, goOn)
	floor, start := 0.0, a.Start()
	if centre, is := a.wristCentre(); is {
		// The TCP stays as far from the wrist's centre as it is, which only joints 2 and 3 bring nearer.
		flange := a.Flange.Inverse()
		wrist := a.approach(flange.Apply(centre), to, goOn)
		near := wrist.find(0, start, 0)
		tcp := a.Flange.Apply(tip)
		floor, start = max(0, near.Least-r3.Norm(r3.Sub(tcp, centre))), near.At
	}
	return n.find(floor, start, enough)
}

// Nearer brings the TCP nearer to a place from an arm that stands at q, one joint after the other, and returns how near it got. From elsewhere
// it may get nearer.
func (a *Arm) Nearer(tip, to r3.Vec, q Joints) (at Joints, found float64) {
	const rounds = 2000
	return a.approach(tip, to, nil).nearer(q, math.Inf(1), rounds, 1e-6)
}

// wristCentre is where axes 4 to 6 meet, as the arm is measured; false where they do not.
func (a *Arm) wristCentre() (at r3.Vec, meet bool) {
	five, six := a.Joints[4], a.Joints[5]
	across := r3.Cross(five.Axis, six.Axis)
	if r3.Norm(across) < 1e-6 {
		return at, false
	}
	off := r3.Sub(six.At, five.At)
	at = r3.Add(five.At, r3.Scale(r3.Dot(r3.Cross(off, six.Axis), across)/r3.Norm2(across), five.Axis))
	for _, j := range a.Joints[3:] {
		if r3.Norm(r3.Cross(j.Axis, r3.Sub(at, j.At))) > 1e-9*(1+a.length) {
			return at, false
		}
	}
	return at, true
}

// find finds it, where it is known that the TCP comes no nearer than the floor. It begins with the arm at start.
func (n *approach) find(floor float64, start Joints, enough float64) (best Nearness) {
	const (
		few       = 64
		fewRounds = 20
	)
	whole := nearBox{low: floor}
	for i, j := range n.joints {
		low, high := j.Min, min(j.Max, j.Min+2*math.Pi)
		whole.mid[i], whole.half[i] = (low+high)/2, (high-low)/2
		if n.lever[i] < 1e-9 { // It does not move the TCP.
			whole.half[i] = 0
		}
	}
	whole.half[0] = 0 // The first joint turns to where it is best.
	best.At, best.Found = n.nearer(start, math.Inf(1), fewRounds, 1e-3)
	n.bound(&whole)
	boxes := nearBoxes{whole}
	for used := 0; len(boxes) > 0; used++ {
		box := heap.Pop(&boxes).(nearBox)
		best.Least = min(box.low, best.Found)
		if best.Found <= enough || best.Found-best.Least <= nearEnough || used >= nearestBoxes || used%few == 0 && n.goOn != nil && !n.goOn() {
			return best
		}
		for _, side := range [2]float64{-0.5, 0.5} {
			part := box
			part.mid[box.loosest] += side * box.half[box.loosest]
			part.half[box.loosest] /= 2
			if q, found := n.bound(&part); found < best.Found {
				if best.At, best.Found = n.nearer(q, found, fewRounds, 1e-3); best.Found <= enough {
					return best
				}
			}
			if part.low < best.Found-nearEnough {
				heap.Push(&boxes, part)
			}
		}
	}
	best.Least = max(best.Found-nearEnough, floor) // All that might be nearer was split off.
	return best
}

// approach is what stays the same while it is looked for.
type approach struct {
	a       *Arm
	joints  [6]Joint
	tip, to r3.Vec
	lever   [6]float64 // how far the TCP can be from each joint's axis, at most
	goOn    func() bool
}

// approach finds the levers: from axis to axis the arm is as long as it is. The last one does not change.
func (a *Arm) approach(tip, to r3.Vec, goOn func() bool) *approach {
	n := &approach{a: a, joints: a.Joints, tip: tip, to: to, goOn: goOn}
	if centre, is := a.wristCentre(); is {
		for i := 3; i < 6; i++ {
			n.joints[i].At = centre
		}
	}
	tcp := a.Flange.Apply(tip)
	last := n.joints[5]
	n.lever[5] = r3.Norm(r3.Cross(last.Axis, r3.Sub(tcp, last.At)))
	far := r3.Norm(r3.Sub(tcp, last.At))
	for i := 4; i >= 0; i-- {
		far += r3.Norm(r3.Sub(n.joints[i+1].At, n.joints[i].At))
		n.lever[i] = far
	}
	return n
}

// nearBox is all joint angles around some, and how near the TCP comes with any of them at least.
type nearBox struct {
	mid, half Joints
	low       float64
	loosest   int // the joint that makes the bound lowest
}

// bound finds how near the TCP comes with the angles of a box at least, and how near it comes in its middle, with the first joint turned
// as is best.
//
// Seen in the half plane through axis 1, the place and the TCP are at a radius r and a height z. For a unit vector u along the way from the
// place to the TCP in the middle of the box, the distance is at least u·(TCP − place). The TCP moves by J·dq, and by no more than half the
// sum of lever·dq·dq besides, as its second derivative by two joints is no more than the lever of the later one.
func (n *approach) bound(box *nearBox) (q Joints, found float64) {
	var links Links
	n.a.PutLinks(&box.mid, &links)
	flange := n.a.FlangeOf(&links)
	tcp := flange.Apply(n.tip)
	first := n.joints[0]
	origin := first.At
	p, g := r3.Sub(tcp, origin), r3.Sub(n.to, origin)
	pz, gz := r3.Dot(first.Axis, p), r3.Dot(first.Axis, g)
	pr, gr := r3.Sub(p, r3.Scale(pz, first.Axis)), r3.Sub(g, r3.Scale(gz, first.Axis))
	radius, goal := r3.Norm(pr), r3.Norm(gr)

	out := r3.Vec{} // from axis 1 to the TCP
	if radius > 1e-9 {
		out = r3.Scale(1/radius, pr)
	} else {
		out = perpendicular(first.Axis)
	}
	beside := r3.Cross(first.Axis, out)

	var jac [6]r3.Vec
	lever := n.lever
	moves := 0.0 // by how far the TCP moves at most
	for i := 5; i >= 1; i-- {
		if i < 5 { // The lever in the middle, and what the later joints add to it.
			more := 0.0
			for k := i + 1; k < 6; k++ {
				more += n.lever[k] * min(box.half[k], 2)
			}
			axis := links[i+1].Rotation.Apply(n.joints[i].Axis)
			jac[i] = r3.Cross(axis, r3.Sub(tcp, links[i+1].Apply(n.joints[i].At)))
			lever[i] = min(lever[i], r3.Norm(jac[i])+more)
		} else {
			axis := links[6].Rotation.Apply(n.joints[5].Axis)
			jac[5] = r3.Cross(axis, r3.Sub(tcp, links[6].Apply(n.joints[5].At)))
		}
		moves += lever[i] * min(box.half[i], 2) // The chord of any angle is no more than twice the radius.
	}
	bend := 0.0
	for i := 1; i < 6; i++ {
		for k := 1; k < 6; k++ {
			bend += lever[max(i, k)] * box.half[i] * box.half[k] / 2
		}
	}
	along := func(u r3.Vec) (most float64) { // how far the TCP moves along u at most
		for i := 1; i < 6; i++ {
			most += math.Abs(r3.Dot(u, jac[i])) * box.half[i]
		}
		return min(most+bend, moves)
	}

	way := math.Hypot(radius-goal, pz-gz)
	low := way - moves
	most := -1.0
	toward := r3.Vec{}
	if way > 1e-9 {
		nr, nz := (radius-goal)/way, (pz-gz)/way
		toward = r3.Add(r3.Scale(nr, out), r3.Scale(nz, first.Axis))
		least := way - along(toward)
		if nr < 0 { // The radius grows by what the TCP moves beside the half plane as well.
			inner, side := radius-along(out), along(beside)
			switch {
			case inner > side/2:
				least += nr * side * side / (2 * inner)
			case inner > 0:
				least += nr * side
			default:
				least += nr * (side - 2*inner)
			}
		}
		low = max(low, least)
	}

	for i := 1; i < 6; i++ {
		loose := math.Abs(r3.Dot(toward, jac[i]))
		for k := 1; k < 6; k++ {
			loose += lever[max(i, k)] * box.half[k] / 2
		}
		if loose *= box.half[i]; loose > most {
			most, box.loosest = loose, i
		}
	}

	// Where the first joint does not turn all the way round, the place may be beside all that it gets to.
	turn := box.mid[0]
	if goal > 1e-9 {
		turn += math.Atan2(r3.Dot(beside, gr), r3.Dot(out, gr))
	}
	wedge := 0.0
	box0, over := within(turn, first.Min, first.Max)
	if over > 0 && radius > moves {
		if wedge = over - math.Asin(moves/radius); wedge > 0 {
			low = max(low, goal*math.Sin(min(wedge, math.Pi/2)))
		}
	}
	const rounding = 1e-6 // mm
	box.low = max(box.low, low-rounding, 0)
	q = box.mid
	q[0] = box0
	turned := r3.Add(r3.Scale(math.Cos(q[0]-box.mid[0]), pr), r3.Scale(math.Sin(q[0]-box.mid[0])*radius, beside))
	return q, r3.Norm(r3.Sub(r3.Add(turned, r3.Scale(pz-gz, first.Axis)), gr))
}

// within returns the angle, or one that is the same, between low and high; else the nearer of them, and how far beyond it the angle is.
func within(angle, low, high float64) (in, over float64) {
	above := math.Mod(angle-low, 2*math.Pi)
	if above < 0 {
		above += 2 * math.Pi
	}
	if low+above <= high {
		return low + above, 0
	}
	if before, after := 2*math.Pi-above, low+above-high; before < after {
		return low, before
	} else {
		return high, after
	}
}

// nearer turns one joint after the other to where the TCP is nearest, so many rounds at most, as long as a round helps by so much.
func (n *approach) nearer(q Joints, found float64, rounds int, helps float64) (Joints, float64) {
	for range rounds {
		before := found
		for i := 5; i >= 0; i-- {
			var links Links
			n.a.PutLinks(&q, &links)
			j := n.joints[i]
			axis, at := links[i+1].Rotation.Apply(j.Axis), links[i+1].Apply(j.At)
			flange := n.a.FlangeOf(&links)
			p, g := r3.Sub(flange.Apply(n.tip), at), r3.Sub(n.to, at)
			side := r3.Cross(axis, p)
			if r3.Norm(side) < 1e-9 {
				continue
			}
			turn := math.Atan2(r3.Dot(side, g), r3.Dot(r3.Cross(side, axis), g))
			next := q
			next[i], _ = within(q[i]+turn, j.Min, j.Max)
			n.a.PutLinks(&next, &links)
			flange = n.a.FlangeOf(&links)
			if far := r3.Norm(r3.Sub(flange.Apply(n.tip), n.to)); far < found {
				q, found = next, far
			}
		}
		if before-found < helps {
			break
		}
	}
	return q, found
}

// nearBoxes are boxes with the lowest first.
type nearBoxes []nearBox

func (b nearBoxes) Len() int           { return len(b) }
func (b nearBoxes) Less(i, j int) bool { return b[i].low < b[j].low }
func (b nearBoxes) Swap(i, j int)      { b[i], b[j] = b[j], b[i] }
func (b *nearBoxes) Push(x any)        { *b = append(*b, x.(nearBox)) }
func (b *nearBoxes) Pop() any {
	last := (*b)[len(*b)-1]
	*b = (*b)[:len(*b)-1]
	return last
}

// perpendicular is a unit vector at a right angle to one.
func perpendicular(axis r3.Vec) r3.Vec {
	other := r3.Vec{X: 1}
	if math.Abs(axis.X) > 0.6 {
		other = r3.Vec{Y: 1}
	}
	return r3.Unit(r3.Cross(axis, other))
}
