package kinematics

import (
	"math"
	"math/big"
	"math/rand/v2"
	"testing"
)

// exactAtan returns the arc tangent of y/x > 0 to 200 bits: the argument halved by atan t = 2·atan(t/(1+√(1+t²)))
// until the power series converges fast.
func exactAtan(y, x float64) *big.Float {
	const precision = 200
	number := func(f float64) *big.Float { return new(big.Float).SetPrec(precision).SetFloat64(f) }
	t := number(y)
	t.Quo(t, number(x))
	const halvings = 12
	for range halvings {
		root := number(1)
		root.Add(root, number(0).Mul(t, t)).Sqrt(root)
		t.Quo(t, root.Add(root, number(1)))
	}
	square := number(0).Mul(t, t)
	sum, power := number(0), number(0).Set(t)
	for k := range 12 {
		term := number(0).Quo(power, number(float64(2*k+1)))
		if k%2 == 1 {
			term.Neg(term)
		}
		sum.Add(sum, term)
		power.Mul(power, square)
	}
	return sum.Mul(sum, number(1<<halvings))
}

func TestAngleOfADirection(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 9))
	var worst, worstSmall float64
	for n := range 6000 {
		angle := math.Pi / 2 * r.Float64()
		switch n % 3 {
		case 1:
			angle = math.Exp(-20 * r.Float64())
		case 2: // next to the border between two formulas
			angle = math.Asin((float64(r.IntN(64))+0.5)/64) + 1e-9*r.NormFloat64()
		}
		d := direction{math.Cos(angle), math.Sin(angle)}
		off, _ := new(big.Float).Sub(exactAtan(d.sin, d.cos), big.NewFloat(d.angle())).Float64()
		worst = max(worst, math.Abs(off))
		if angle < 1./256 {
			worstSmall = max(worstSmall, math.Abs(off)/angle)
		}
	}
	t.Logf("largest error %.2e, of small angles as a part of them %.2e", worst, worstSmall)
	if worst > 4e-16 || worstSmall > 2.3e-16 {
		t.Errorf("error %v, of small angles as a part of them %v", worst, worstSmall)
	}
}

// Against the standard library in all quadrants, and on the axes and diagonals with either sign of zero.
func TestAngleAgreesWithTheStandardLibrary(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 9))
	minusZero := math.Copysign(0, -1)
	ds := []direction{{1, 0}, {1, minusZero}, {-1, 0}, {-1, minusZero}, {0, 1}, {minusZero, 1}, {0, -1}, {minusZero, -1},
		{math.Sqrt2 / 2, math.Sqrt2 / 2}, {-math.Sqrt2 / 2, math.Sqrt2 / 2}, {-math.Sqrt2 / 2, -math.Sqrt2 / 2}, {-1, 1e-300}, {1, -1e-300}, {1e-300, 1}}
	for range 100000 {
		s, c := math.Sincos(randomAngle(r))
		// Of length one only to rounding.
		ds = append(ds, direction{c * (1 + 1e-15*r.NormFloat64()), s * (1 + 1e-15*r.NormFloat64())})
	}
	for _, d := range ds {
		got, want := d.angle(), math.Atan2(d.sin, d.cos)
		if math.Abs(got-want) > 1e-15 || math.Signbit(got) != math.Signbit(d.sin) {
			t.Fatalf("angle of %v is %v, math.Atan2 %v", d, got, want)
		}
	}
	if a := (direction{math.NaN(), math.NaN()}).angle(); !math.IsNaN(a) {
		t.Errorf("angle of no direction is %v", a)
	}
}
