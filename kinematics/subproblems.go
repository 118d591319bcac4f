package kinematics

import "math"

// reachSlack is how many mm a target may lie outside the reach and still be taken as on its edge. It is rounding,
// not tolerance: it stays below the accuracy every solution has.
const reachSlack = 5e-10

// triangle is the planar two-link arm: two links of these lengths, the second bent from the first.
type triangle struct{ upper, fore float64 }

// bend returns cosine and sine of the angle in 0…π by which the second link bends from the first so that its end
// is at distance d from the start of the first; the other solution bends the other way. The two factors of the
// sine, unlike 1−cos², keep their digits where the links are nearly stretched or folded. It reports false out of
// reach; a miss of less than reachSlack counts as reached. (The law of cosines; the third of Paden and Kahan's
// subproblems, Murray, Li and Sastry, A Mathematical Introduction to Robotic Manipulation, ch. 3.)
func (t triangle) bend(d float64) (cos, sin float64, ok bool) {
	difference := math.Abs(t.upper - t.fore)
	beyond, within := t.upper+t.fore-d, d-difference
	if !(beyond > -reachSlack && within > -reachSlack) {
		return 0, 0, false
	}
	// Products of sums and differences of the three sides, as in Heron's formula: over 2·upper·fore the one is
	// 1−cos, the other 1+cos.
	stretched := max(0, beyond) * (t.upper + t.fore + d)
	folded := max(0, within) * (d + difference)
	scale := 1 / (2 * t.upper * t.fore)
	cos = (folded - stretched) * scale / 2
	return max(-1, min(1, cos)), math.Sqrt(stretched*folded) * scale, true
}

// direction is the cosine and sine of an angle.
type direction struct{ cos, sin float64 }

// linear is an expression in the cosine and sine of an angle: the three numbers times cosine, sine and one.
type linear [3]float64

func (l *linear) at(d direction) float64 { return l[0]*d.cos + l[1]*d.sin + l[2] }

// tangentTolerance is by how much, as a part of the circle's radius, a line may miss the circle and still be taken to touch
// it. What comes of it is checked by those who use it.
const tangentTolerance = 1e-7

// zeros returns the angles at which l vanishes: where a line cuts the unit circle. It returns none where l is the
// same at all angles. (The fourth of the canonical subproblems of Elias and Wen, "IK-Geo", Mechanism and Machine
// Theory 209 (2025) 105971.)
func (l *linear) zeros() (d [2]direction, n int) {
	size := hypot(l[0], l[1])
	if size == 0 {
		return d, 0
	}
	x, y := l[0]/size, l[1]/size
	foot := -l[2] / size
	half2 := (1 - foot) * (1 + foot)
	if !(half2 > -2*tangentTolerance) {
		return d, 0
	}
	if half2 <= 0 {
		return [2]direction{{x * sign(foot), y * sign(foot)}}, 1
	}
	half := math.Sqrt(half2)
	d = [2]direction{{foot*x - half*y, foot*y + half*x}, {foot*x + half*y, foot*y - half*x}}
	return d, 2
}

// conic is a quadratic expression in the cosine and sine of an angle: the symmetric matrix between (cos, sin, 1).
type conic struct{ cc, cs, ss, c, s, one float64 }

// addProduct adds factor times the product of two linear expressions.
func (k *conic) addProduct(factor float64, a, b *linear) {
	k.cc += factor * a[0] * b[0]
	k.cs += factor * (a[0]*b[1] + a[1]*b[0]) / 2
	k.ss += factor * a[1] * b[1]
	k.c += factor * (a[0]*b[2] + a[2]*b[0]) / 2
	k.s += factor * (a[1]*b[2] + a[2]*b[1]) / 2
	k.one += factor * a[2] * b[2]
}

func (k *conic) at(d direction) float64 {
	return (k.cc*d.cos+2*k.cs*d.sin+2*k.c)*d.cos + (k.ss*d.sin+2*k.s)*d.sin + k.one
}

// slope returns the derivative of k by the angle.
func (k *conic) slope(d direction) float64 {
	return 2 * ((k.cs*d.cos+k.ss*d.sin+k.s)*d.cos - (k.cc*d.cos+k.cs*d.sin+k.c)*d.sin)
}

// nearlyDouble is how near, in rad, two zeros on the circle are at most to be called nearly double.
const nearlyDouble = 1e-4

// doubtful reports whether zeros may say too little: k nearly vanishes everywhere, or two of its zeros d are nearly one. They
// are even in number but where a line touches.
func (k *conic) doubtful(d []direction) bool {
	if math.Abs(k.cc)+math.Abs(k.cs)+math.Abs(k.ss)+math.Abs(k.c)+math.Abs(k.s)+math.Abs(k.one) < 1e-9 || len(d)&1 == 1 {
		return true
	}
	for i := range d {
		for k := range i {
			x, y := d[i].cos-d[k].cos, d[i].sin-d[k].sin
			if x*x+y*y < nearlyDouble*nearlyDouble {
				return true
			}
		}
	}
	return false
}

// doubtful reports whether zeros may say too little: l, of which size is the size of what it was made from, nearly vanishes
// everywhere, or its two zeros are nearly one.
func (l *linear) doubtful(size float64) bool {
	most := hypot(l[0], l[1])
	if most+math.Abs(l[2]) < 1e-9*size {
		return true
	}
	return math.Abs(math.Abs(l[2])-most) < nearlyDouble*nearlyDouble*most
}

// zeros returns the angles, at most four, at which k vanishes: where a conic section cuts the unit circle. Of the
// conics through those points (k plus a multiple of the circle) one is a pair of real lines; it is found first, as
// the zero of a cubic, and then the lines are cut with the circle. (The pencil of two conics, Richter-Gebert,
// Perspectives on Projective Geometry, ch. 11; that a pair of real lines always lies between the multiples used
// here is derived below.)
func (k *conic) zeros() (d [4]direction, n int) {
	// Turn the axes until the mixed term is gone and take e2 of the circle away: what is left is
	// e·x² + 2p·x + 2r·y + g with e ≥ 0.
	diff, mixed := k.cc-k.ss, 2*k.cs
	e := hypot(diff, mixed)
	turn := direction{1, 0}
	if e > 0 {
		big := math.Sqrt((1 + math.Abs(diff)/e) / 2)
		small := mixed / (2 * e * big)
		if turn = (direction{big, small}); diff < 0 {
			turn = direction{small, big}
		}
	}
	p, r := turn.cos*k.c+turn.sin*k.s, turn.cos*k.s-turn.sin*k.c
	g := k.one + (k.cc+k.ss-e)/2
	if e < 1e-14*(math.Abs(p)+math.Abs(r)+math.Abs(g)) {
		line := linear{2 * p, 2 * r, g}
		two, n := line.zeros()
		for i := range n {
			d[i] = turn.times(two[i])
		}
		return d, n
	}
	p, r, g = p/e, r/e, g/e
	// The determinant of x² + 2p·x + 2r·y + g − m·(x² + y² − 1) is a cubic in m. At m = 0 it is r², at m = 1 it
	// is −p², up to a common sign: a zero lies between, and there the quadratic part (1−m)·x² − m·y² is that of
	// two real lines.
	m := lineZero(p, r, g)
	alpha, beta := math.Sqrt(1-m), math.Sqrt(m)
	// (alpha·x + a)² = (beta·y − b)², where a² − b² is what is left for the constant.
	var a, b float64
	if alpha > beta {
		a = p / alpha
		b = math.Copysign(math.Sqrt(max(0, a*a-g-m)), r)
	} else {
		b = r / beta
		a = math.Copysign(math.Sqrt(max(0, b*b+g+m)), p)
	}
	for _, side := range [2]float64{1, -1} {
		line := linear{alpha, -side * beta, a + side*b}
		two, count := line.zeros()
		for i := range count {
			d[n] = k.sharpened(turn.times(two[i]))
			n++
		}
	}
	return d, n
}

// lineZero returns a zero in 0…1 of p²·m − r²·(1−m) − m·(1−m)·(g+m), by Newton's method kept within bounds.
func lineZero(p, r, g float64) float64 {
	p2, r2 := p*p, r*r
	low, high := 0.0, 1.0 // the value is −r² ≤ 0 at 0 and p² ≥ 0 at 1
	m := r2 / max(r2+p2, 1e-300)
	for range 100 {
		value := p2*m - r2*(1-m) - m*(1-m)*(g+m)
		if value > 0 {
			high = m
		} else {
			low = m
		}
		slope := p2 + r2 - (1-2*m)*(g+m) - m*(1-m)
		next := m - value/slope
		if !(next > low && next < high) {
			next = (low + high) / 2
		}
		if math.Abs(next-m) <= 1e-16*math.Abs(m)+1e-300 {
			return next
		}
		m = next
	}
	return m
}

// sharpened returns d after two steps of Newton's method towards a zero of k, where they lead to one close by.
func (k *conic) sharpened(d direction) direction {
	for range 2 {
		step := -k.at(d) / k.slope(d)
		if !(math.Abs(step) < 1e-3) {
			break
		}
		d = d.times(direction{1 - step*step/2, step}).unit()
	}
	return d
}

// times returns the direction of the sum of two angles.
func (d direction) times(o direction) direction {
	return direction{d.cos*o.cos - d.sin*o.sin, d.sin*o.cos + d.cos*o.sin}
}

func (d direction) unit() direction {
	n := 1 / hypot(d.cos, d.sin)
	return direction{d.cos * n, d.sin * n}
}

// hypot returns √(x² + y²), in less time than math.Hypot, which minds squares that overflow or vanish. Lengths in mm and
// parts of unit vectors do neither.
func hypot(x, y float64) float64 { return math.Sqrt(x*x + y*y) }
