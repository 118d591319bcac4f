package kinematics

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// This file goes from the elimination's equations back to joint angles.

// mostCandidates is how many a ring may have: three for each zero of its determinant.
const mostCandidates = 3 * 2 * determinantDegree

// candidates writes joint angles, in the ring's order, at or near which the ring closes. It reports whether they are sharp: whether
// there is no doubt that these are all, each by itself.
func (r *ring) candidates(dst *[mostCandidates]Joints) (n int, sharp bool) {
	e := r.eliminated()
	var values [circleSamples]float64
	for i := range values {
		six := e.at(circle[i])
		values[i] = determinant(&six)
	}
	var thirds [2 * determinantDegree]direction
	zeros, sharp := trigZeros(thirds[:], &values, determinantDegree)
	for _, third := range thirds[:zeros] {
		six := e.at(third)
		var pairs [3][2]direction
		for _, p := range pairs[:nullAngles(&six, &pairs)] {
			if q, ok := r.closed(third, p[0], p[1]); ok {
				dst[n] = q
				n++
			}
		}
	}
	return n, sharp && n == zeros
}

// nullAngles writes the turns of joints 4 and 5 at which the six equations vanish, or nearly do: one pair, and two
// more where two solutions share this turn of joint 3.
func nullAngles(six *[6]bilinear, dst *[3][2]direction) (n int) {
	m := eliminant(six)
	var basis [2]nullVector
	double := nullVectors(&m, &basis)
	add := func(v *nullVector) {
		if fourth, fifth, ok := v.angles(); ok {
			dst[n] = [2]direction{fourth, fifth}
			n++
		}
	}
	add(&basis[0])
	if !double {
		return n
	}
	// Of all the sums of the two, those have the form of a solution whose columns all give the same half of joint 4:
	// a quadratic for the ratio of the two. Take the pair of columns that tells most.
	var best [3]float64
	for i, j := range [3]int{1, 2, 0} {
		p, q := &basis[0], &basis[1]
		c := [3]float64{
			p[6+i]*p[9+j] - p[9+i]*p[6+j],
			p[6+i]*q[9+j] + q[6+i]*p[9+j] - p[9+i]*q[6+j] - q[9+i]*p[6+j],
			q[6+i]*q[9+j] - q[9+i]*q[6+j],
		}
		if c[0]*c[0]+c[1]*c[1]+c[2]*c[2] > best[0]*best[0]+best[1]*best[1]+best[2]*best[2] {
			best = c
		}
	}
	// c0·x² + c1·x·y + c2·y²
	root := math.Sqrt(math.Max(0, best[1]*best[1]-4*best[0]*best[2]))
	h := -(best[1] + math.Copysign(root, best[1])) / 2
	for _, xy := range [2][2]float64{{h, best[0]}, {best[2], h}} {
		var v nullVector
		for k := range v {
			v[k] = xy[0]*basis[0][k] + xy[1]*basis[1][k]
		}
		add(&v)
	}
	return n
}

// nullVector is a solution of the twelve equations: (cos, sin of 3/2 joint 4, cos, sin of 1/2 joint 4) times (cos, sin
// of joint 5, 1), to a factor.
type nullVector [12]float64

func (v *nullVector) angles() (fourth, fifth direction, ok bool) {
	// Half of joint 4 from the column that has the largest numbers.
	col := 2
	for b := range 2 {
		if math.Abs(v[6+b])+math.Abs(v[9+b]) > math.Abs(v[6+col])+math.Abs(v[9+col]) {
			col = b
		}
	}
	half := direction{v[6+col], v[9+col]}
	if half.cos == 0 && half.sin == 0 {
		return fourth, fifth, false
	}
	half = half.unit()
	row := func(b int) float64 { return half.cos*v[6+b] + half.sin*v[9+b] }
	fifth = direction{row(0), row(1)}
	if fifth.cos == 0 && fifth.sin == 0 {
		return fourth, fifth, false
	}
	if row(2) < 0 {
		fifth.cos, fifth.sin = -fifth.cos, -fifth.sin
	}
	return half.times(half), fifth.unit(), true
}

// nearlyNull is how small the last but one pivot, as a part of the first, makes a second solution likely.
const nearlyNull = 1e-3

// nullVectors writes two vectors that m takes nearly to zero, the first more so, by elimination with full pivoting;
// it reports whether the second is worth having.
func nullVectors(m *[12][12]float64, v *[2]nullVector) (double bool) {
	var order [12]int
	for i := range order {
		order[i] = i
	}
	for i := range 11 {
		pr, pc, big := i, i, 0.0
		for r := i; r < 12; r++ {
			for c := i; c < 12; c++ {
				if x := math.Abs(m[r][c]); x > big {
					pr, pc, big = r, c, x
				}
			}
		}
		if big == 0 {
			break
		}
		m[i], m[pr] = m[pr], m[i]
		if pc != i {
			for r := range 12 {
				m[r][i], m[r][pc] = m[r][pc], m[r][i]
			}
			order[i], order[pc] = order[pc], order[i]
		}
		inverse := 1 / m[i][i]
		for r := i + 1; r < 12; r++ {
			f := m[r][i] * inverse
			for c := i; c < 12; c++ {
				m[r][c] -= f * m[i][c]
			}
		}
	}
	for k := range v {
		free := 11 - k
		var x [12]float64
		x[free] = 1
		for i := free - 1; i >= 0; i-- {
			sum := 0.0
			for c := i + 1; c <= free; c++ {
				sum += m[i][c] * x[c]
			}
			if m[i][i] != 0 {
				x[i] = -sum / m[i][i]
			}
		}
		for i := range x {
			v[k][order[i]] = x[i]
		}
	}
	return math.Abs(m[10][10]) < nearlyNull*math.Abs(m[0][0])
}

// closed completes the turns of joints 3, 4 and 5 by those of 1, 2 and 6 that close the ring best.
func (r *ring) closed(third, fourth, fifth direction) (q Joints, ok bool) {
	j := &r.joints
	rest := j[2].about(third).Mul(j[3].about(fourth)).Mul(j[4].about(fifth))
	line := pointedLine{j[5].At, j[5].Axis}
	here := rest.carry(line)
	there := r.goal.carry(line)
	// exp1·exp2·here = there. Five functions of a line and its point do not change by turning about axis 1; carried
	// by joint 2 each is linear in its cosine and sine.
	want := j[0].unmoved(there)
	var v [3][5]float64
	for k, d := range quarters {
		turned := j[1].about(d)
		v[k] = j[0].unmoved(turned.carry(here))
	}
	var cc, cs, ss, c, s float64
	for k := range 5 {
		cos, sin, one := fitted(v[0][k], v[1][k], v[2][k])
		rest := want[k] - one
		cc += cos * cos
		cs += cos * sin
		ss += sin * sin
		c += cos * rest
		s += sin * rest
	}
	det := cc*ss - cs*cs
	if !(det > 0) {
		return q, false
	}
	second := direction{(ss*c - cs*s) / det, (cc*s - cs*c) / det}.unit()
	after := j[1].about(second)
	here = after.carry(here)
	first := j[0].turnTo(here, there)
	turn1 := j[0].about(first)
	left := turn1.Mul(after).Mul(rest).Inverse().Mul(r.goal)
	x := rotationToZ(j[5].Axis).X
	y := r3.Cross(j[5].Axis, x)
	moved := left.Rotation.Apply(x)
	sixth := direction{r3.Dot(moved, x), r3.Dot(moved, y)}
	for i, d := range [6]direction{first, second, third, fourth, fifth, sixth} {
		q[i] = math.Atan2(d.sin, d.cos)
	}
	return q, q.finite()
}

// unmoved returns five functions of a line and its point that turning about j does not change: heights of both along
// the axis, the line's moment about it, and the point's distance from j's point, also along the line.
func (j *Joint) unmoved(l pointedLine) [5]float64 {
	p := r3.Sub(l.point, j.At)
	return [5]float64{r3.Dot(j.Axis, l.along), r3.Dot(j.Axis, p), r3.Dot(j.Axis, r3.Cross(p, l.along)), r3.Norm2(p), r3.Dot(p, l.along)}
}

// turnTo returns the turn about j that brings a line and its point nearest to another.
func (j *Joint) turnTo(from, to pointedLine) direction {
	var d direction
	for _, pair := range [2][2]r3.Vec{{from.along, to.along}, {r3.Sub(from.point, j.At), r3.Sub(to.point, j.At)}} {
		a, b := pair[0], pair[1]
		d.cos += r3.Dot(a, b) - r3.Dot(j.Axis, a)*r3.Dot(j.Axis, b)
		d.sin += r3.Dot(j.Axis, r3.Cross(a, b))
	}
	return d.unit()
}
