package clearance

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
)

// MaxMove returns a bound in mm on how far any point of any capsule's axis moves, counted from any link nearer to the
// base, while every joint goes from its angle in from to its angle in to without turning back on the way. No distance
// that the scene looks at changes by more than this in that step, whatever way the joints take. Hence:
//
//   - a step whose start has Smallest(…).Distance > MaxMove touches nothing anywhere on its way;
//   - so does one whose distances at start and end together exceed MaxMove, because the distance can not fall by one
//     part of the way's bound and rise again by the rest without staying positive;
//   - a step for which neither holds is halved, and each half is asked again.
//
// Why it holds. A joint k that turns at the rate w moves a point x of a link beyond it at the speed |w|·(distance of x
// from axis k). Let lever(j,k) be the largest such distance for the axes of link j's capsules in any posture. Then a
// point of link j travels at most Σ_k |Δq_k|·lever(j,k), summed over k ≤ j, because ∫|w| is |Δq_k| for a joint
// that does not turn back. Seen from link i only the joints i < k ≤ j count, which is a part of the same sum.
// Distances are minima, over the points of a capsule's axis, of functions that change by no more than the point
// moves, less a constant radius; so they change by no more either.
func (s *Scene) MaxMove(from, to kinematics.Joints) float64 {
	var turn [6]float64
	for k := range turn {
		turn[k] = math.Abs(to[k] - from[k])
	}
	most := 0.0
	for j := range s.levers {
		l := &s.levers[j]
		most = max(most, turn[0]*l[0]+turn[1]*l[1]+turn[2]*l[2]+turn[3]*l[3]+turn[4]*l[4]+turn[5]*l[5])
	}
	return most
}

// MaxMoves writes for each group what MaxMove is of its pairs alone, for joints that turn by so much each, rad and not
// negative, to and fro together: how far the outer link can move as seen from the inner. No distance of a group's pairs changes by
// more.
func (s *Scene) MaxMoves(turn *kinematics.Joints, moves *[MaxGroups]float64) {
	for i := range s.groups {
		moves[i] = s.MaxMoveOfGroup(i, turn)
	}
}

// MaxMoveOfGroup returns that of one group.
func (s *Scene) MaxMoveOfGroup(group int, turn *kinematics.Joints) float64 {
	g := &s.groups[group]
	return s.move(g.inner, g.outer, turn)
}

// Turn returns how far the joints turn together that move the pairs of a group.
func (s *Scene) Turn(group int, turn *kinematics.Joints) (sum float64) {
	g := &s.groups[group]
	for _, joint := range turn[g.inner:g.outer] {
		sum += joint
	}
	return sum
}

// move returns how far the capsules of a link can move as seen from one nearer to the base.
func (s *Scene) move(inner, outer int, turn *kinematics.Joints) (move float64) {
	for k := inner; k < outer; k++ {
		move += turn[k] * s.levers[outer][k]
	}
	return move
}

// MaxMoveOf is likewise for the distance of one pair: for a part and a thing what the part can move, for two parts what the
// outer can move as seen from the inner.
func (s *Scene) MaxMoveOf(id PairID, turn *kinematics.Joints) float64 {
	a, b, thing := s.members(id)
	inner, outer := 0, s.parts[a].Link
	if !thing {
		inner, outer = s.parts[a].Link, s.parts[b].Link
	}
	return s.move(inner, outer, turn)
}

// levers returns, by link j and joint k (from 0, so that link k+1 is what joint k carries), a bound in any posture on
// the distance of the axes of link j's capsules from the axis of joint k. Links without capsules have zeros.
//
// A point P_k is chosen on each joint's axis. For a link that joint k itself carries the distance does not depend on the
// posture. For one farther out, it is at most the distance of P_(k+1) from axis k, plus the way P_(k+1), P_(k+2), …
// to the last of these points that the link's own joint has, plus from there to the capsule's farther end. Each leg
// of that way lies between two points that are fixed in the same link, since a point on an axis is fixed in both
// links that the axis joins, so none of them depends on the posture. The points are chosen from the flange back, each
// the foot of the one before, which keeps the legs short.
func levers(arm *kinematics.Arm, parts []part) (lever [7][6]float64) {
	var fixed [6]r3.Vec
	fixed[5] = r3.Sub(arm.Flange.Position, fromAxis(arm.Joints[5], arm.Flange.Position))
	for k := 4; k >= 0; k-- {
		fixed[k] = r3.Sub(fixed[k+1], fromAxis(arm.Joints[k], fixed[k+1]))
	}
	for _, p := range parts {
		for _, end := range [2]r3.Vec{r3.Sub(p.middle, p.half), r3.Add(p.middle, p.half)} {
			way := 0.0
			for k := p.Link - 1; k >= 0; k-- {
				l := r3.Norm(fromAxis(arm.Joints[k], end))
				if k < p.Link-1 {
					l = r3.Norm(fromAxis(arm.Joints[k], fixed[k+1])) + way
				}
				lever[p.Link][k] = max(lever[p.Link][k], l)
				if k == p.Link-1 {
					way = r3.Norm(r3.Sub(end, fixed[k]))
				} else {
					way += r3.Norm(r3.Sub(fixed[k+1], fixed[k]))
				}
			}
		}
	}
	return lever
}

// fromAxis returns the way from the joint's axis to the point, at right angles to the axis.
func fromAxis(j kinematics.Joint, p r3.Vec) r3.Vec {
	v := r3.Sub(p, j.At)
	return r3.Sub(v, r3.Scale(r3.Dot(v, j.Axis), j.Axis))
}
