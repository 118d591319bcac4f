package kinematics

import (
	"math"
	"math/cmplx"
)

// circleSamples is the number of places on the circle at which a trigonometric polynomial is given.
const circleSamples = 32

// circle are directions spread evenly over the circle, the first at zero.
var circle = func() (d [circleSamples]direction) {
	for i := range d {
		d[i] = spread(i, circleSamples)
	}
	return d
}()

// spread returns direction i of n spread evenly over the circle.
func spread(i, n int) direction {
	s, c := math.Sincos(2 * math.Pi * float64(i) / float64(n))
	return direction{c, s}
}

// trigZeros writes to dst the angles at or near which a trigonometric polynomial of this degree (less than half of
// circleSamples) vanishes, from its values on the circle, and returns their number, at most twice the degree.
//
// With z = exp(i·angle) it is a polynomial of twice the degree, and on the unit circle, where real zeros are, its
// coefficients in z are as good as its values. Zeros that rounding has driven off the circle, in pairs, are given
// as the nearest angle.
func trigZeros(dst []direction, values *[circleSamples]float64, degree int) (n int) {
	var store [circleSamples + 1]complex128
	c := store[:2*degree+1]
	most := 0.0
	for k := 0; k <= degree; k++ {
		for i, v := range values {
			d := circle[i*k%circleSamples]
			c[degree+k] += complex(v*d.cos, -v*d.sin)
		}
		c[degree-k] = cmplx.Conj(c[degree+k])
		most = math.Max(most, cmplx.Abs(c[degree+k]))
	}
	if !(most > 0) || math.IsInf(most, 1) {
		return 0
	}
	// Leading coefficients that are only rounding would be zeros far away.
	for len(c) > 1 && cmplx.Abs(c[0]) < 1e-11*most {
		c = c[1 : len(c)-1]
	}
	var roots [circleSamples]complex128
	for _, z := range polynomialRoots(roots[:len(c)-1], c) {
		if size := cmplx.Abs(z); size > offCircle && size < 1/offCircle {
			dst[n] = direction{real(z) / size, imag(z) / size}
			n++
		}
	}
	return n
}

// offCircle is the size a root may have and still be taken for one on the unit circle that rounding displaced. What
// comes of it is refined and checked.
const offCircle = 0.97

// polynomialRoots writes and returns the roots of a polynomial, coefficients from the constant on, by the simultaneous iteration
// of Aberth and Ehrlich (Aberth, Mathematics of Computation 27(122), 1973).
func polynomialRoots(roots, c []complex128) []complex128 {
	n := len(roots)
	for i := range roots {
		d := spread(2*i+1, 2*n)
		roots[i] = complex(d.cos, d.sin) * complex(0.9+0.2*float64(i%2), 0.05)
	}
	var done [circleSamples]bool
	for range 60 {
		moved := false
		for i, z := range roots {
			if done[i] {
				continue
			}
			// Outside the unit circle the reversed polynomial is evaluated, at 1/z, where powers stay small.
			ratio := newtonStep(c, z)
			sum := complex128(0)
			for k, other := range roots {
				if k != i && other != z {
					sum += 1 / (z - other)
				}
			}
			step := ratio / (1 - ratio*sum)
			if cmplx.IsNaN(step) || cmplx.IsInf(step) {
				done[i] = true
				continue
			}
			roots[i] = z - step
			if abs1(step) < 1e-15*abs1(z) {
				done[i] = true
			} else {
				moved = true
			}
		}
		if !moved {
			break
		}
	}
	return roots
}

func abs1(z complex128) float64 { return math.Abs(real(z)) + math.Abs(imag(z)) }

// newtonStep returns the polynomial's value over its derivative at z.
func newtonStep(c []complex128, z complex128) complex128 {
	n := len(c) - 1
	if abs1(z) <= 1 {
		value, slope := c[n], complex128(0)
		for k := n - 1; k >= 0; k-- {
			slope = slope*z + value
			value = value*z + c[k]
		}
		return value / slope
	}
	w := 1 / z
	value, slope := c[0], complex128(0)
	for k := 1; k <= n; k++ {
		slope = slope*w + value
		value = value*w + c[k]
	}
	// p(z) = zⁿ·r(1/z), so p'/p = n/z − r'/(r·z²).
	return 1 / (complex(float64(n), 0)*w - slope/value*w*w)
}
