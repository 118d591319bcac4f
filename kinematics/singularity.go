package kinematics

import "math"

// Singularity says how near the arm is to a pose in which it cannot move its TCP in every direction.
//
// The singular values belong to the Jacobian at the TCP with millimetres divided by Length, so that they are pure
// numbers and do not depend on the size of the arm.
type Singularity struct {
	Kind string // the nearest one: "wrist", "elbow", "shoulder" or "other"; "" where none is near
	Near bool   // one is near: see NearSingular

	Smallest       float64 // smallest singular value
	Condition      float64 // largest singular value over the smallest; +Inf where that is zero
	Manipulability float64 // product of the singular values (Yoshikawa, Int. J. Robotics Research 4(2), 1985)
	Length         float64 // mm that count as one rad: half the arm's length from axis to axis

	// Lost is the motion of the TCP that costs most: a unit vector of velocity, as a part of Length, and angular
	// velocity, in the base frame. Racing is the unit vector of joint speeds that it takes: they give Lost times
	// Smallest. The sign of both is arbitrary.
	Lost   [6]float64
	Racing Joints

	Angles Indicators
}

// Indicators are exact measures of the singularities of arms whose determinant of the Jacobian falls into factors.
// Those that the arm's geometry does not have are NaN.
type Indicators struct {
	Wrist    float64 // rad, joint 5 from where the hand continues the forearm; singular at 0 and ±π
	Elbow    float64 // rad, the forearm's bend from the upper arm; singular at 0 and ±π
	Shoulder float64 // mm, the wrist centre from axis 1, measured in the plane of the arm; singular at 0
}

// NearSingular is where a singularity begins to be called near: the sine of the wrist's or elbow's angle, the
// shoulder's distance as a part of Length or, where the geometry gives no such measure, the smallest singular value
// times ten.
const NearSingular = 0.1

// Singularity returns how near the arm is to a singularity at q, for the TCP of this tool.
func (a *Arm) Singularity(q Joints, tool Pose) Singularity {
	_, jac := a.Jacobian(q, tool)
	jac.shorten(a.length)
	s := decompose(&jac)
	s.Length = a.length
	s.Angles = a.method.indicators(q)
	s.Kind = s.Angles.nearest(a.length)
	if s.Kind == "" && !s.Angles.complete() && s.Smallest*10 < NearSingular {
		s.Kind = "other"
	}
	s.Near = s.Kind != ""
	return s
}

// Indicators returns the exact measures of the arm's singularities at q. It costs a small part of Singularity.
func (a *Arm) Indicators(q Joints) Indicators { return a.method.indicators(q) }

// nearest names the nearest singularity, "" where none is near.
func (i Indicators) nearest(length float64) (kind string) {
	least := NearSingular
	for _, c := range [3]struct {
		kind    string
		measure float64
	}{
		{"wrist", math.Abs(math.Sin(i.Wrist))},
		{"elbow", math.Abs(math.Sin(i.Elbow))},
		{"shoulder", math.Abs(i.Shoulder) / length},
	} {
		if c.measure < least {
			kind, least = c.kind, c.measure
		}
	}
	return kind
}

// complete reports whether all singularities of the arm are measured.
func (i Indicators) complete() bool { return !math.IsNaN(i.Wrist + i.Elbow + i.Shoulder) }

// decompose returns what Singularity says about a Jacobian: its singular values and the last of their vectors, by
// one-sided Jacobi rotations, which find small singular values to full relative accuracy (Golub and Van Loan,
// Matrix Computations, 4th ed., section 8.6.3).
func decompose(jac *Jacobian) (s Singularity) {
	s, _, _ = decomposeTwo(jac)
	return s
}

// decomposeTwo also returns the smallest singular value but one, and the joint speeds that belong to it.
func decomposeTwo(jac *Jacobian) (s Singularity, second float64, other Joints) {
	// Columns of the Jacobian, and of the product of the rotations that make them square to each other.
	var u, v [6][6]float64
	for i := range 6 {
		for k := range 6 {
			u[i][k] = jac[k][i]
		}
		v[i][i] = 1
	}
	for sweep, turned := 0, true; turned && sweep < 30; sweep++ {
		turned = false
		for i := range 5 {
			for j := i + 1; j < 6; j++ {
				turned = square(&u[i], &u[j], &v[i], &v[j]) || turned
			}
		}
	}
	var value [6]float64
	small, large := 0, 0
	s.Manipulability = 1
	for i := range u {
		value[i] = math.Sqrt(dot(&u[i], &u[i]))
		s.Manipulability *= value[i]
		if value[i] < value[small] {
			small = i
		}
		if value[i] > value[large] {
			large = i
		}
	}
	s.Smallest, s.Condition = value[small], value[large]/value[small]
	if value[large] == 0 {
		s.Condition = math.Inf(1)
	}
	s.Racing = v[small]
	s.Lost = lost(&u, &value, small)
	second = math.Inf(1)
	for i := range value {
		if i != small && value[i] < second {
			second, other = value[i], v[i]
		}
	}
	return s, second, other
}

// square turns two columns of u, and the same of v, so that those of u are at right angles, and reports whether there
// was anything to turn.
func square(ui, uj, vi, vj *[6]float64) bool {
	ii, jj, ij := dot(ui, ui), dot(uj, uj), dot(ui, uj)
	if ij*ij <= 1e-30*(ii*jj) {
		return false
	}
	c, s := squaring(ii, jj, ij)
	for k := range 6 {
		p, q := ui[k], uj[k]
		ui[k], uj[k] = c*p-s*q, s*p+c*q
		p, q = vi[k], vj[k]
		vi[k], vj[k] = c*p-s*q, s*p+c*q
	}
	return true
}

// squaring returns the cosine and the sine of the turn that makes two vectors square to each other, by their products with
// themselves and with each other.
func squaring(ii, jj, ij float64) (c, s float64) {
	diff := jj - ii
	t := 2 * ij / (diff + math.Copysign(math.Sqrt(diff*diff+4*ij*ij), diff))
	c = 1 / math.Sqrt(1+t*t)
	return c, c * t
}

func dot(a, b *[6]float64) float64 {
	return (a[0]*b[0] + a[1]*b[1]) + (a[2]*b[2] + a[3]*b[3]) + (a[4]*b[4] + a[5]*b[5])
}

// lost returns the unit vector of the smallest singular value: square to those of all the others, which also
// defines it where that value is zero.
func lost(u *[6][6]float64, value *[6]float64, small int) (best [6]float64) {
	if value[small] > 1e-6 {
		for k := range best {
			best[k] = u[small][k] / value[small]
		}
		return best
	}
	// Of the six coordinate directions take the one with the longest part square to the other vectors.
	longest := 0.0
	for axis := range 6 {
		var w [6]float64
		w[axis] = 1
		for range 2 { // twice, for the rounding of the first
			for i := range u {
				if i == small || value[i] < 1e-12 {
					continue
				}
				part := dot(&w, &u[i]) / (value[i] * value[i])
				for k := range w {
					w[k] -= part * u[i][k]
				}
			}
		}
		if n := math.Sqrt(dot(&w, &w)); n > longest {
			longest = n
			for k := range w {
				best[k] = w[k] / n
			}
		}
	}
	// The sign that the joint speeds give it, where they give it one.
	if dot(&best, &u[small]) < 0 {
		for k := range best {
			best[k] = -best[k]
		}
	}
	return best
}
