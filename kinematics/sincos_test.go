package kinematics

import (
	"math"
	"math/big"
	"math/rand/v2"
	"testing"
)

// exactSincos returns sine and cosine of x to some 200 bits by the power series of the exponential function.
func exactSincos(x float64) (s, c *big.Float) {
	number := func(f float64) *big.Float { return new(big.Float).SetPrec(400).SetFloat64(f) }
	s, c = number(0), number(1)
	term := number(1)
	for k := 1; float64(k) < 60+6*math.Abs(x); k++ {
		term.Mul(term, number(x)).Quo(term, number(float64(k)))
		sum := s
		if k%2 == 0 {
			sum = c
		}
		if k%4 < 2 {
			sum.Add(sum, term)
		} else {
			sum.Sub(sum, term)
		}
	}
	return s, c
}

func TestSincosIsExactToItsWord(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 9))
	worst := 0.0
	off := func(exact *big.Float, got float64) float64 {
		d, _ := new(big.Float).Sub(exact, big.NewFloat(got)).Float64()
		return math.Abs(d)
	}
	for n := range 3000 {
		x := 7 * (2*r.Float64() - 1)
		switch n % 4 {
		case 1:
			x *= 8
		case 2: // next to the border between two parts of the circle
			x = (float64(r.IntN(512)-256) + 0.5 + 1e-9*r.NormFloat64()) * (2 * math.Pi / directionCount)
		case 3: // next to whole parts, the quarter turns among them
			x = float64(r.IntN(512)-256) * (2 * math.Pi / directionCount) * (1 + 1e-9*r.NormFloat64())
		}
		s, c := sincos(x)
		exactS, exactC := exactSincos(x)
		worst = max(worst, off(exactS, s), off(exactC, c))
	}
	t.Logf("largest error %.2e", worst)
	if worst > 1.2e-16 {
		t.Errorf("error %v", worst)
	}
}

// Small angles keep their digits, quarter turns are as good as the number given for them, and large angles and what
// is no angle are as in the standard library.
func TestSincosAgreesWithTheStandardLibrary(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 9))
	numbers := []float64{0, math.Copysign(0, -1), math.Pi / 2, -math.Pi / 2, math.Pi, -math.Pi, 2 * math.Pi, math.NaN(), math.Inf(1), math.Inf(-1),
		sincosMost, -sincosMost, 1e300, math.SmallestNonzeroFloat64}
	for range 100000 {
		numbers = append(numbers, 6*r.NormFloat64()*math.Exp(6*r.NormFloat64()))
	}
	for _, x := range numbers {
		s, c := sincos(x)
		wantS, wantC := math.Sincos(x)
		if math.IsNaN(wantS) {
			if !math.IsNaN(s) || !math.IsNaN(c) {
				t.Errorf("sincos(%v) = %v, %v", x, s, c)
			}
			continue
		}
		slack := 2.5e-16
		if math.Abs(x) < 0.01 {
			slack = math.Abs(x) * 2.5e-16
		}
		if math.Abs(s-wantS) > slack || math.Abs(c-wantC) > 2.5e-16 {
			t.Errorf("sincos(%v) = %v, %v, want %v, %v", x, s, c, wantS, wantC)
		}
	}
}

func TestTableOfDirections(t *testing.T) {
	for i, d := range directions {
		x := float64(i) * (2 * math.Pi / directionCount)
		if math.Abs(d.sin-math.Sin(x)) > 1e-15 || math.Abs(d.cos-math.Cos(x)) > 1e-15 {
			t.Errorf("direction %d is %v", i, d)
		}
	}
}
