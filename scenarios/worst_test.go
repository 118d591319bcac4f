package scenarios_test

import (
	"math/rand/v2"
	"testing"

	"handrule/internal/worst"
	"handrule/kinematics"
	"handrule/kinematics/jog"
)

// The longest that a tick takes, on shipped arms and arms with round numbers, from special starts: of each jog the first fifty.
func BenchmarkWorstTick(b *testing.B) {
	var d *jog.Drive
	last := -1
	worst.ReportPrepared(b, func(i int) func() {
		switch {
		case i == last: // asked again
		case i%50 == 0 || !d.Tick():
			c := drawRefereed(rand.New(rand.NewPCG(3, uint64(i))))
			d = jog.NewDrive(c.arm, c.tool, c.start)
			if err := d.Start(c.jog); err != nil {
				b.Fatal(err)
			}
		}
		last = i
		run := d.Copy()
		return func() { run.Tick() }
	})
}

// The longest that all twelve rooms of a pose take, likewise.
func BenchmarkWorstRooms(b *testing.B) {
	worst.Report(b, func(i int) {
		c := drawRefereed(rand.New(rand.NewPCG(4, uint64(i))))
		d := jog.NewDrive(c.arm, c.tool, c.start)
		s, err := d.Survey(c.jog.Frame, "", jog.Speeds{Straight: 50, Turn: kinematics.Radians(15)})
		if err != nil {
			b.Fatal(err)
		}
		for !s.Advance(1000) {
		}
	})
}
