package jog

import (
	"math"

	"handrule/kinematics"
)

// plan is what a motion has to know of the path between the arm and how far it has been looked along: how slow it has to
// be where, and which joint angles it passes.
type plan struct {
	slows       [slowsKept]slow // a ring
	first, kept int

	nodes         [nodesKept]node // a ring, from the last two before the arm to the one that was looked at last
	oldest, knots int
}

// slow is a stretch of the path on which the path speed has to be lower than the chosen one.
type slow struct {
	from, to float64 // places, mm or rad
	speed    float64
	by       int // the joint, or Ceiling
}

// node is a place that has been looked at, with the joint angles there.
type node struct {
	s float64
	q kinematics.Joints
}

// How much is remembered. Where there is more, the arm looks less far ahead and goes slower.
const (
	slowsKept = 192
	nodesKept = 256
)

func (p *plan) begin(q *kinematics.Joints) {
	p.first, p.kept, p.oldest, p.knots = 0, 0, 0, 1
	p.nodes[0] = node{q: *q}
}

// full reports whether nothing more can be remembered for now.
func (p *plan) full() bool { return p.kept == slowsKept || p.knots == nodesKept }

func (p *plan) slowDown(n slow) {
	p.slows[(p.first+p.kept)%slowsKept] = n
	p.kept++
}

// forget forgets, and returns, the stretches that begin at the place s, the last that was looked along from. A plan that is nil has none.
func (p *plan) forget(s float64) (slows []slow) {
	for p != nil && p.kept > 0 {
		last := p.slows[(p.first+p.kept-1)%slowsKept]
		if last.from != s {
			break
		}
		slows = append(slows, last)
		p.kept--
	}
	return slows
}

func (p *plan) pass(s float64, q *kinematics.Joints) {
	p.nodes[(p.oldest+p.knots)%nodesKept] = node{s, *q}
	p.knots++
}

// drop forgets what has been found before the place s.
func (p *plan) drop(s float64) {
	for p.kept > 0 && p.slows[p.first].to <= s {
		p.first = (p.first + 1) % slowsKept
		p.kept--
	}
	for p.knots > 2 && p.node(2).s <= s {
		p.oldest = (p.oldest + 1) % nodesKept
		p.knots--
	}
}

// node returns one of the nodes that are remembered.
func (p *plan) node(k int) *node { return &p.nodes[(p.oldest+k)%nodesKept] }

// between returns joint angles near those at a place that has been looked along. They tell which way to stand the arm comes
// by, also where several meet, and are exact where the places beside it are as good as one.
func (p *plan) between(s float64) (q kinematics.Joints, exact bool) {
	k := 1
	for k < p.knots && p.node(k).s < s {
		k++
	}
	from := p.node(k - 1)
	q = from.q
	if k < p.knots {
		to := p.node(k)
		part, length := (s-from.s)/(to.s-from.s), to.s-from.s
		// As the joints went from the node before, if that is not too near to tell, they bend.
		before, curve, ratio := from, 0.0, 0.0
		if k > 1 {
			before = p.node(k - 2)
			if last := from.s - before.s; last*mostGrowth >= length {
				ratio = length / last
				curve = part * (part - 1) * length / (length + last)
			}
		}
		for i := range q {
			turn := to.q[i] - from.q[i]
			q[i] += part*turn + curve*(turn-ratio*(from.q[i]-before.q[i]))
		}
		exact = to.s-from.s <= passing && farthestTurn(&from.q, &to.q) <= straightTurn
	}
	return q, exact
}

// farthestTurn returns the largest joint difference, rad.
func farthestTurn(p, q *kinematics.Joints) (most float64) {
	for i := range p {
		most = math.Max(most, math.Abs(p[i]-q[i]))
	}
	return most
}
