package scenarios_test

import (
	"math/rand/v2"
	"testing"

	"handrule/internal/worst"
	"handrule/kinematics"
	"handrule/kinematics/jog"
)

// The longest that a tick takes, on shipped arms and arms with round numbers, and on arms that are solved by search, from special
// starts: of each jog the first fifty.
func BenchmarkWorstTick(b *testing.B) {
	for name, draw := range drawn {
		b.Run(name, func(b *testing.B) {
			var d *jog.Drive
			worst.ReportReady(b, func(i int) func() func() {
				if i%50 == 0 || !d.Tick() {
					c := draw(rand.New(rand.NewPCG(3, uint64(i))))
					d = jog.NewDrive(c.arm, c.tool, c.start)
					if err := d.Start(c.jog); err != nil {
						b.Fatal(err)
					}
				}
				now := d.Copy()
				return func() func() {
					run := now.Copy()
					return func() { run.Tick() }
				}
			})
		})
	}
}

// The longest that all twelve rooms of a pose take, likewise.
func BenchmarkWorstRooms(b *testing.B) {
	for name, draw := range drawn {
		b.Run(name, func(b *testing.B) {
			if testing.Short() && name == "search" {
				b.Skip("takes a minute, and is the same code")
			}
			worst.Report(b, func(i int) {
				c := draw(rand.New(rand.NewPCG(4, uint64(i))))
				d := jog.NewDrive(c.arm, c.tool, c.start)
				s, err := d.Survey(c.jog.Frame, "", jog.Speeds{Straight: 50, Turn: kinematics.Radians(15)})
				if err != nil {
					b.Fatal(err)
				}
				for !s.Advance(1000) {
				}
			})
		})
	}
}

// The longest that one of them takes, which is the piece of work that an answer waits for.
func BenchmarkWorstRoom(b *testing.B) {
	for name, draw := range drawn {
		b.Run(name, func(b *testing.B) {
			if testing.Short() && name == "search" {
				b.Skip("takes a minute, and is the same code")
			}
			worst.ReportReady(b, func(i int) func() func() {
				c, nth := draw(rand.New(rand.NewPCG(4, uint64(i/12)))), i%12
				d := jog.NewDrive(c.arm, c.tool, c.start)
				known := func(s *jog.Survey, n int) bool {
					r := s.Rooms()[n]
					return r.Endless || r.Stop.Reason != ""
				}
				return func() func() {
					s, err := d.Survey(c.jog.Frame, "", jog.Speeds{Straight: 50, Turn: kinematics.Radians(15)})
					if err != nil {
						b.Fatal(err)
					}
					for nth > 0 && !known(s, nth-1) {
						s.Advance(1)
					}
					return func() {
						for !known(s, nth) {
							s.Advance(1)
						}
					}
				}
			})
		})
	}
}
