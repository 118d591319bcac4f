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
//
// It is sharp where rounding leaves no doubt which zeros are on the circle, and that they are simple: those are all that is given then.
func trigZeros(dst []direction, values *[circleSamples]float64, degree int) (n int, sharp bool) {
	var store [circleSamples + 1]complex128
	c := store[:2*degree+1]
	most, noise := 0.0, 0.0
	for k := 0; k <= circleSamples/2; k++ {
		sum := complex128(0)
		for i, v := range values {
			d := circle[i*k%circleSamples]
			sum += complex(v*d.cos, -v*d.sin)
		}
		if k > degree {
			noise = math.Max(noise, cmplx.Abs(sum)) // in exact arithmetic there is nothing
			continue
		}
		c[degree+k], c[degree-k] = sum, cmplx.Conj(sum)
		most = math.Max(most, cmplx.Abs(sum))
	}
	if !(most > 0) || math.IsInf(most, 1) {
		return 0, false
	}
	// Leading coefficients that are only rounding would be zeros far away.
	for len(c) > 1 && cmplx.Abs(c[0]) < 1e-11*most {
		c = c[1 : len(c)-1]
	}
	var places [circleSamples]complex128
	roots := polynomialRoots(places[:len(c)-1], c)
	// The equations behind the values are as uncertain as what is computed from them, or a little more.
	noise = 100 * math.Max(noise, 1e-16*most)
	if n, sharp = sharpZeros(dst, roots, c, noise); sharp {
		return n, true
	}
	n = 0
	for _, z := range roots {
		if size := cmplx.Abs(z); size > offCircle && size < 1/offCircle {
			dst[n] = direction{real(z) / size, imag(z) / size}
			n++
		}
	}
	return n, false
}

// sharpZeros writes to dst the roots on the unit circle, and reports whether there is no doubt of any root whether it is. Within
// n·|p(z)|/|p'(z)| of a place z there is a root of a polynomial p of degree n (Henrici, Applied and Computational Complex Analysis 1,
// section 6.4; from memory); the coefficients are uncertain by that noise. Where these discs are apart each holds one root. Roots off the
// circle come in pairs, z and 1/z̄, so the one of a disc across it is on it.
func sharpZeros(dst []direction, roots, c []complex128, noise float64) (n int, sharp bool) {
	const certain = 100 // times its uncertainty a root has to be off the circle
	degree := float64(len(roots))
	var doubt [circleSamples]float64
	for i, z := range roots {
		size := cmplx.Abs(z)
		if !(size > 0) {
			return 0, false
		}
		inside := z
		if size > 1 { // What holds for 1/z̄ holds for z.
			inside = 1 / cmplx.Conj(z)
		}
		value, slope := valueAndSlope(c, inside)
		doubt[i] = degree * (cmplx.Abs(value) + noise*(degree+1)) / (cmplx.Abs(slope) - noise*degree*(degree+1)/2)
		off := 1 - cmplx.Abs(inside)
		switch {
		case !(doubt[i] >= 0 && doubt[i] < 1e-4):
			return 0, false
		case off <= doubt[i]:
			dst[n] = direction{real(z) / size, imag(z) / size}
			n++
		case off < certain*doubt[i]:
			return 0, false
		}
		doubt[i] *= max(1, size*size) // of 1/z̄
		for k, other := range roots[:i] {
			if cmplx.Abs(z-other) <= doubt[i]+doubt[k] {
				return 0, false
			}
		}
	}
	return n, true
}

// valueAndSlope returns a polynomial's value and its derivative, coefficients from the constant on (Horner's scheme).
func valueAndSlope(c []complex128, z complex128) (value, slope complex128) {
	n := len(c) - 1
	value = c[n]
	for k := n - 1; k >= 0; k-- {
		slope = slope*z + value
		value = value*z + c[k]
	}
	return value, slope
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
		value, slope := valueAndSlope(c, z)
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
