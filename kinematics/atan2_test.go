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

func TestAtan2IsExactToTwoUnitsInTheLastPlace(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 9))
	worst := 0.0
	for range 20000 {
		angle := math.Pi / 2 * r.Float64()
		y, x := math.Sin(angle)*math.Exp(4*r.NormFloat64()), math.Cos(angle)
		want := exactAtan(y, x)
		got := atan2(y, x)
		unit := math.Nextafter(got, 10) - got
		off, _ := new(big.Float).Sub(want, big.NewFloat(got)).Float64()
		worst = math.Max(worst, math.Abs(off)/unit)
	}
	t.Logf("largest error %.2f units in the last place", worst)
	if worst > 2 {
		t.Errorf("error of %v units in the last place", worst)
	}
}

// twoErrors is what two ways to compute an angle may differ by if each is wrong by up to two units in the last place of
// 1.1e-16 to 2.2e-16, as a part of the angle.
const twoErrors = 5e-16

// standardAtan2 is math.Atan2 with the sign of y also where y/x is too small for a number; there it has lost it.
func standardAtan2(y, x float64) float64 { return math.Copysign(math.Atan2(y, x), y) }

// Against the standard library in all quadrants, over the whole range of sizes and next to the borders between formulas.
func TestAtan2AgreesWithTheStandardLibrary(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 9))
	borders := []float64{0, 0.5, 1, 2}
	for n := range 400000 {
		y, x := r.NormFloat64(), r.NormFloat64()
		switch n % 4 {
		case 1:
			y *= math.Exp2(float64(r.IntN(2000) - 1000))
			x *= math.Exp2(float64(r.IntN(2000) - 1000))
		case 2:
			y = math.Copysign(x*borders[r.IntN(4)]*(1+1e-15*r.NormFloat64()), y)
		case 3:
			y, x = float64(r.IntN(9)-4), float64(r.IntN(9)-4)
		}
		got, want := atan2(y, x), standardAtan2(y, x)
		if math.Abs(got-want) > twoErrors*math.Abs(want) || math.Signbit(got) != math.Signbit(want) {
			t.Fatalf("atan2(%v, %v) = %v, math.Atan2 %v", y, x, got, want)
		}
	}
}

func TestAtan2OfNumbersThatAreNotOrdinary(t *testing.T) {
	inf, zero := math.Inf(1), 0.0
	numbers := []float64{zero, -zero, math.Copysign(0, -1), 1, -1, 3, -3, inf, -inf, math.NaN(), math.MaxFloat64, -math.MaxFloat64,
		math.SmallestNonzeroFloat64, -math.SmallestNonzeroFloat64, 1e-300, 1e300, -1e-300, -1e300}
	for _, y := range numbers {
		for _, x := range numbers {
			got, want := atan2(y, x), standardAtan2(y, x)
			if math.IsNaN(got) && math.IsNaN(want) {
				continue
			}
			if math.Abs(got-want) > twoErrors*math.Abs(want) || math.Signbit(got) != math.Signbit(want) {
				t.Errorf("atan2(%v, %v) = %v, math.Atan2 %v", y, x, got, want)
			}
		}
	}
}
