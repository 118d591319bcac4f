package kinematics

import (
	"math"
	"math/rand/v2"
	"sort"
	"testing"
)

// conicZerosByScan counts the sign changes of k on a fine scan of the circle.
func conicZerosByScan(k *conic) (angles []float64) {
	const steps = 20000
	before := k.at(direction{1, 0})
	for i := 1; i <= steps; i++ {
		angle := 2 * math.Pi * float64(i) / steps
		now := k.at(direction{math.Cos(angle), math.Sin(angle)})
		if before*now < 0 {
			angles = append(angles, angle-math.Pi/steps)
		}
		before = now
	}
	return angles
}

func TestConicMeetsCircleWhereAScanSaysSo(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 8))
	counts := map[int]int{}
	for n := range 3000 {
		var k conic
		for _, p := range []*float64{&k.cc, &k.cs, &k.ss, &k.c, &k.s, &k.one} {
			*p = r.NormFloat64()
			if r.IntN(5) == 0 {
				*p = 0
			}
			if r.IntN(8) == 0 {
				*p *= 1e-6
			}
		}
		if n%3 == 0 {
			k.one = -k.cc * r.Float64()
		}
		want := conicZerosByScan(&k)
		got, count := k.zeros()
		counts[len(want)]++
		for _, w := range want {
			found := false
			for _, d := range got[:count] {
				if apart(math.Atan2(d.sin, d.cos), w) < 1e-3 {
					found = true
				}
			}
			if !found {
				var angles []float64
				for _, d := range got[:count] {
					angles = append(angles, math.Mod(math.Atan2(d.sin, d.cos)+2*math.Pi, 2*math.Pi))
				}
				sort.Float64s(angles)
				t.Errorf("%+v: zero near %v not among %v", k, w, angles)
			}
		}
	}
	t.Log("number of zeros: how often", counts)
	if counts[4] < 50 {
		t.Error("too few conics with four zeros to say anything")
	}
}
