package armfile

import (
	"math"
	"strings"
)

// QuarterTurn reports whether a number of radians is a whole number of quarter turns, to the two or more decimals with which it is
// written, and returns that angle. Nobody writes 1.5708 for anything else, and axes that are off by the rounding are solved by
// search.
func QuarterTurn(word string, x float64) (angle float64, is bool) {
	_, decimals, _ := strings.Cut(word, ".")
	if n := len(decimals); n < 2 || n > 15 || strings.ContainsAny(word, "eExX") {
		return x, false
	}
	k := math.Round(x / (math.Pi / 2))
	if k == 0 || math.Abs(k) > 8 {
		return x, false
	}
	off := math.Abs(x - k*math.Pi/2)
	return k * math.Pi / 2, off < math.Pow(10, -float64(len(decimals))) // rounded or cut off
}
