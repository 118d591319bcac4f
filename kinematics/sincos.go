package kinematics

import "math"

// π/2 as a sum of two numbers, the first with so few digits that its
// products with whole numbers below 2²⁰ are exact (Cody and Waite, Software Manual for the Elementary Functions).
const (
	halfPiHigh = 1.57079632673412561417e+00 // first 33 bits of π/2
	halfPiLow  = 6.07710050650619224932e-11 // the rest
	roundBias  = 3 << 51                    // adding it to a double leaves the nearest whole number in the low bits
	sincosMost = 1 << 20                    // rad; beyond it the standard library is asked
)

// sincos returns the sine and cosine of x rad to within one unit in the last place. It does what math.Sincos does
// in a third of the time: the arm's equations need six at once, and no branch depends on the angle. The
// polynomials are the minimax ones for |r| ≤ π/4 of the C library's kernel functions (fdlibm k_sin.c, k_cos.c).
func sincos(x float64) (s, c float64) {
	if !(x < sincosMost && x > -sincosMost) {
		return math.Sincos(x)
	}
	biased := x*(2/math.Pi) + roundBias
	quarter := math.Float64bits(biased)
	n := biased - roundBias
	r := (x - n*halfPiHigh) - n*halfPiLow
	z := r * r
	sin := r + r*z*(-1.66666666666666324348e-01+z*(8.33333333332248946124e-03+z*(-1.98412698298579493134e-04+
		z*(2.75573137070700676789e-06+z*(-2.50507602534068634195e-08+z*1.58969099521155010221e-10)))))
	cos := 1 - (0.5*z - z*z*(4.16666666666666019037e-02+z*(-1.38888888888741095749e-03+z*(2.48015872894767294178e-05+
		z*(-2.75573143513906633035e-07+z*(2.08757232129817482790e-09+z*-1.13596475577881948265e-11))))))
	// Odd quarters swap the two; quarters 2 and 3 turn the sine's sign, 1 and 2 the cosine's.
	sb, cb := math.Float64bits(sin), math.Float64bits(cos)
	swap := (sb ^ cb) & -(quarter & 1)
	sb ^= swap ^ (quarter&2)<<62
	cb ^= swap ^ ((quarter+1)&2)<<62
	return math.Float64frombits(sb), math.Float64frombits(cb)
}
