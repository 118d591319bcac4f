package scenarios_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"handrule/internal/draws"
	"handrule/kinematics"
	"handrule/kinematics/jog"
	"handrule/scenarios"
)

// Every jog comes to its end, or stops with its reason, in a counted number of ticks: from starts with the elbow straight, the
// wrist straight, J5 square to the forearm and joints on their limits too, where rounding says nothing of how the joints go on.
func TestEveryJogEnds(t *testing.T) {
	count, seed := 500, draws.Seed()
	if draws.Thorough() {
		count = 50_000
	}
	// Once seen to creep for over 100,000 ticks.
	c := refereed{start: radians(120, 105, 90, 180, -135, -90), jog: jog.Jog{Direction: jog.Direction{Frame: jog.ToolFrame, Axis: 5, Sign: 1}, Amount: 2 * math.Pi, Speed: kinematics.Radians(15)}}
	for _, file := range scenarios.ShippedArms() {
		if file.ID == "plover" {
			c.name, c.arm, c.tool = file.ID, file.Geometry, kinematics.Identity
		}
	}
	for n := range count {
		if n > 0 {
			rnd := rand.New(rand.NewPCG(seed+1, uint64(n)))
			c = drawRefereed(rnd)
			q := c.start
			for i := range q {
				if rnd.IntN(2) == 0 {
					q[i] = float64(rnd.IntN(9)-4) * math.Pi / 2 // the elbow is straight at one of them
				}
			}
			if c.arm.Within(q) {
				c.start = q
			}
		}
		d := jog.NewDrive(c.arm, c.tool, c.start)
		if err := d.Start(c.jog); err != nil {
			t.Fatal(err)
		}
		for d.Tick() && d.Ticks < mostTicks {
		}
		if d.Moving() {
			t.Errorf("seed %d, case %d: %v: still under way after %d ticks at %.10g°, %.10g along", seed, n, &c, d.Ticks, d.Joints().Degrees(), d.Travel())
		}
	}
}

// radians are joint angles given in degrees.
func radians(degrees ...float64) (q kinematics.Joints) {
	for i, x := range degrees {
		q[i] = kinematics.Radians(x)
	}
	return q
}
