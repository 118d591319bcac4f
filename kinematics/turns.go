package kinematics

import "math"

// limitSlack is the rounding in rad that may not push a joint standing on its limit beyond it.
const limitSlack = 1e-12

// turnsOff returns the whole number of turns, as an angle, that x is away from near: x − turnsOff(x, near) is the
// same direction as x and within half a turn of near.
func turnsOff(x, near float64) float64 {
	return 2 * math.Pi * ((x-near)*(1/(2*math.Pi)) + roundBias - roundBias)
}

// apart returns the difference between two angles, whole turns aside.
func apart(x, near float64) float64 { return math.Abs(x - near - turnsOff(x, near)) }

// nearer returns which of two angles, if there are two, is nearer to near.
func nearer(q *[2]float64, n int, near float64) int {
	if n == 2 && apart(q[1], near) < apart(q[0], near) {
		return 1
	}
	return 0
}

// farthest returns the largest difference between the angles of q and near, whole turns aside.
func farthest(q, near []float64) (most float64) {
	for i, x := range q {
		most = max(most, apart(x, near[i]))
	}
	return most
}

// turn returns x, whole turns added, as near to near as the limits of j allow; where no turn of x is within the
// limits, the one nearest to near. It reports whether the result is within the limits.
func (j *Joint) turn(x, near float64) (float64, bool) {
	x -= turnsOff(x, near)
	// Most often that or the next turn back or on is within the limits, which of them as good as at random. So no branch
	// depends on it: bits are put together, from the signs of the distances to the limits.
	above, below := math.Float64bits(j.Max+limitSlack-x)>>63, math.Float64bits(x-j.Min+limitSlack)>>63
	y := x - math.Float64frombits(-(above|below)&turnBits|below<<63)
	if y >= j.Min && y <= j.Max {
		return y, true
	}
	return j.turnWithin(x)
}

const turnBits = 0x401921fb54442d18 // the bits of 2π

// turnWithin returns x, whole turns added, as little as they may be for it to be within the limits of j, and x itself
// where that is not possible. It reports whether the result is within the limits.
func (j *Joint) turnWithin(x float64) (float64, bool) {
	switch {
	case x > j.Max+limitSlack:
		if y := x - 2*math.Pi*math.Ceil((x-j.Max-limitSlack)/(2*math.Pi)); y >= j.Min-limitSlack {
			return max(y, j.Min), true
		}
		return x, false
	case x < j.Min-limitSlack:
		if y := x + 2*math.Pi*math.Ceil((j.Min-limitSlack-x)/(2*math.Pi)); y <= j.Max+limitSlack {
			return min(y, j.Max), true
		}
		return x, false
	}
	return max(j.Min, min(j.Max, x)), true
}

// Turns appends to dst every way to stand at q within the limits: each joint at its angle or whole turns away from
// it. It appends nothing where some joint has no turn within its limits. The first varies slowest.
func (a *Arm) Turns(dst []Joints, q Joints) []Joints {
	var count [6]int
	total := 1
	for i := range q {
		j := &a.Joints[i]
		q[i] += 2 * math.Pi * math.Ceil((j.Min-limitSlack-q[i])/(2*math.Pi)) // the lowest turn
		count[i] = max(0, 1+int(math.Floor((j.Max+limitSlack-q[i])/(2*math.Pi))))
		if total *= count[i]; total > mostTurns {
			total = mostTurns
		}
	}
	for n := range total {
		next := q
		for i := 5; i >= 0; i-- {
			next[i] += 2 * math.Pi * float64(n%count[i])
			next[i] = max(a.Joints[i].Min, min(a.Joints[i].Max, next[i]))
			n /= count[i]
		}
		dst = append(dst, next)
	}
	return dst
}

// mostTurns bounds the list for joints whose limits allow very many turns.
const mostTurns = 4096
