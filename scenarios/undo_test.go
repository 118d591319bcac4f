package scenarios_test

import (
	"math/rand/v2"
	"testing"

	"handrule/internal/draws"
	"handrule/kinematics/jog"
)

// What was driven can be undone, from special starts too, wherever it ended or was let go: the way that was driven leads back, to
// the joints that it began with, bit for bit.
func TestEveryMotionCanBeUndone(t *testing.T) {
	count, seed := 300, draws.Seed()
	if draws.Thorough() {
		count = 30_000
	}
	for n := range count {
		rnd := rand.New(rand.NewPCG(seed+2, uint64(n)))
		c := drawRefereed(rnd)
		d := jog.NewDrive(c.arm, c.tool, c.start)
		held := 1 + rnd.IntN(2000)
		var log jog.Log
		if err := d.Start(c.jog); err != nil {
			t.Fatal(err)
		}
		for d.Tick() {
			if held--; held == 0 {
				d.Release()
			}
		}
		log.Record(d)
		if !log.CanUndo() {
			continue // it went nowhere
		}
		there, end := d.Stop(), d.Joints()
		if err := log.Undo(d); err != nil {
			t.Errorf("seed %d, case %d: %v: %v: %v", seed, n, &c, there, err)
			continue
		}
		for d.Ticks = 0; d.Tick() && d.Ticks < mostTicks; {
		}
		if d.Moving() || d.Stop().Reason != jog.Done || d.Joints() != c.start {
			t.Errorf("seed %d, case %d: %v: %v at %.10g°; the undo: %v at %.10g°", seed, n, &c, there, end.Degrees(), d.Stop(), d.Joints().Degrees())
		}
	}
}
