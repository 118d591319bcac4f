package kinematics

import "math"

// The circle is cut into directionCount equal parts. Their width is the sum of two numbers, the first with so few
// digits that its products with whole numbers below 2²⁰ are exact (Cody and Waite, Software Manual for the Elementary
// Functions).
const (
	directionCount = 256
	partHigh       = 1.57079632673412561417e+00 / 64 // first 33 bits of 2π/256
	partLow        = 6.07710050650619224932e-11 / 64 // the rest
	sincosMost     = 1 << 14                         // rad; beyond it the standard library is asked
	roundBias      = 3 << 51                         // added to a double and taken away it leaves the nearest whole number, in between with it in the low bits
)

// sincos returns the sine and cosine of x rad, each wrong by at most 1.2e-16. It does what math.Sincos does in a
// quarter of the time: the arm's equations need six at once, and no branch depends on the angle. The nearest of the
// directions is looked up; for what is left, at most π/256, two terms of a polynomial do (by Chebyshev's points, to
// 2e-18), and the theorem of addition puts the two together.
func sincos(x float64) (s, c float64) {
	if !(x < sincosMost && x > -sincosMost) {
		return math.Sincos(x)
	}
	biased := x*(directionCount/(2*math.Pi)) + roundBias
	n := biased - roundBias
	d := &directions[math.Float64bits(biased)%directionCount]
	r := (x - n*partHigh) - n*partLow
	z := r * r
	sin := r + r*z*(-0.16666666666610394+z*0.008333303446814067)
	cos1 := z * (-0.5 + z*(0.041666666666596325+z*-0.0013888851530726128)) // the cosine less one
	return d.sin + (d.cos*sin + d.sin*cos1), d.cos + (d.cos*cos1 - d.sin*sin)
}

// tickStep is an angle in rad that no joint turns in a tick, unless it is about to race.
const tickStep = 0.02

// turned returns d turned by at most tickStep, to rounding: the next terms of the power series are 3e-16 and less.
func (d direction) turned(x float64) direction {
	z := x * x
	sin := x * (1 - z*(1./6-z*(1./120)))
	cos1 := z * (z*(1./24-z*(1./720)) - 0.5) // the cosine less one
	return direction{d.cos + (d.cos*cos1 - d.sin*sin), d.sin + (d.sin*cos1 + d.cos*sin)}
}

// directions are those at the multiples of 2π/256.
var directions = func() (d [directionCount]direction) {
	const quarter = directionCount / 4
	for i := range quarter {
		s, c := sines[i], sines[quarter-i]
		d[i] = direction{c, s}
		d[i+quarter] = direction{-s, c}
		d[i+2*quarter] = direction{-c, -s}
		d[i+3*quarter] = direction{s, -c}
	}
	return d
}()

// sines are those of the multiples of 2π/256 up to a quarter turn, rounded to the nearest number.
var sines = [directionCount/4 + 1]float64{
	0.0, 0.024541228522912288, 0.049067674327418015, 0.07356456359966743, 0.0980171403295606,
	0.1224106751992162, 0.14673047445536175, 0.17096188876030122, 0.19509032201612828, 0.2191012401568698,
	0.2429801799032639, 0.26671275747489837, 0.2902846772544624, 0.31368174039889146, 0.33688985339222005,
	0.35989503653498817, 0.3826834323650898, 0.40524131400498986, 0.4275550934302821, 0.4496113296546066,
	0.47139673682599764, 0.49289819222978404, 0.5141027441932218, 0.5349976198870973, 0.5555702330196022,
	0.5758081914178453, 0.5956993044924334, 0.6152315905806268, 0.6343932841636455, 0.6531728429537768,
	0.6715589548470184, 0.6895405447370669, 0.7071067811865476, 0.7242470829514669, 0.7409511253549591,
	0.7572088465064846, 0.773010453362737, 0.7883464276266062, 0.8032075314806449, 0.8175848131515837,
	0.8314696123025452, 0.8448535652497071, 0.8577286100002721, 0.8700869911087115, 0.881921264348355,
	0.8932243011955153, 0.9039892931234433, 0.9142097557035307, 0.9238795325112867, 0.9329927988347388,
	0.9415440651830208, 0.9495281805930367, 0.9569403357322088, 0.9637760657954398, 0.970031253194544,
	0.9757021300385286, 0.9807852804032304, 0.9852776423889412, 0.989176509964781, 0.99247953459871,
	0.9951847266721969, 0.9972904566786902, 0.9987954562051724, 0.9996988186962042, 1.0,
}
