package scenarios_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"handrule/internal/draws"
	"handrule/kinematics"
	"handrule/kinematics/jog"
)

// A limit that no joint goes beyond ends no jog: it goes as far as with that limit farther out, also where the joint stands on
// it all the way, and singularities are passed.
func TestALimitThatIsNotPassedChangesNothing(t *testing.T) {
	count := 4000
	if draws.Thorough() {
		count = 100_000
	}
	rested := 0
	for n := range count {
		rnd := rand.New(rand.NewPCG(draws.Seed(), uint64(n)))
		c := drawRefereed(rnd)
		resting := rnd.IntN(6)
		joints := c.arm.Joints
		limit := joints[resting].Max
		if rnd.IntN(2) == 0 {
			limit = joints[resting].Min
		}
		c.start[resting] = limit
		joints[resting].Min, joints[resting].Max = joints[resting].Min-0.2, joints[resting].Max+0.2
		wide, err := kinematics.New(joints, c.arm.Flange)
		if err != nil {
			t.Fatal(err)
		}
		run := func(arm *kinematics.Arm) (d *jog.Drive, most float64) {
			d = jog.NewDrive(arm, c.tool, c.start)
			if err := d.Start(c.jog); err != nil {
				t.Fatal(err)
			}
			for d.Tick() && d.Ticks < mostTicks {
				q := d.Joints()[resting]
				most = math.Max(most, math.Max(q-c.arm.Joints[resting].Max, c.arm.Joints[resting].Min-q))
			}
			return d, most
		}
		free, beyond := run(wide)
		if beyond > 1e-9 {
			continue
		}
		bound, _ := run(c.arm)
		was, is := free.Stop(), bound.Stop()
		if math.Abs(bound.Joints()[resting]-limit) < 1e-9 {
			rested++
		}
		// Of several reasons at one place the limit is told first.
		if math.Abs(was.Travel-is.Travel) > 0.05 {
			t.Errorf("case %d: %v, J%d on its limit: %v; with the limit 0.2 rad farther %v", n, &c, resting+1, is, was)
		}
	}
	t.Logf("in %d of %d the joint rests on its limit", rested, count)
}
