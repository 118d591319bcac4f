package jog_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/kinematics/clearance"
	"handrule/kinematics/jog"
)

// crowd is twenty things: a table, and boxes, cylinders and spheres around the arm, clear of the benchmarks' paths.
func crowd() []clearance.Thing {
	things := []clearance.Thing{table(-20), clearance.Floor(-1100)}
	for i := range 18 {
		angle := float64(i) * 20 * degree
		far := 480 + 35*float64(i%4)
		shape := []clearance.Shape{
			clearance.Box{Size: r3.Vec{X: 80, Y: 60, Z: 120}},
			clearance.Cylinder{Radius: 40, Height: 110},
			clearance.Sphere{Radius: 45},
		}[i%3]
		things = append(things, clearance.Thing{Name: "thing", Shape: shape, Pose: kinematics.Pose{
			Position: r3.Vec{X: far * math.Cos(angle), Y: far * math.Sin(angle), Z: -240 + 40*float64(i%5)},
			Rotation: kinematics.RotationAbout(r3.Unit(r3.Vec{X: 1, Y: float64(i), Z: 2}), angle),
		}})
	}
	return things
}

// footed is the crowd with a ring about the arm's foot in the place of one of them: 3 mm from link 1 however that turns.
func footed() []clearance.Thing {
	things := crowd()
	things[len(things)-1] = clearance.Thing{Name: "ring", Shape: clearance.Cylinder{Radius: 40, Height: 20}, Pose: place(0, 0, -103)}
	return things
}

// One tick of a straight jog: profile, limits, speeds, singularities and path included. The arm goes to and fro.
func BenchmarkStraightTick(b *testing.B) {
	for _, c := range []struct {
		name  string
		speed float64
		drive *jog.Drive
	}{
		{"alone at 50", 50, inCell(b, bent, 0)},
		{"20 things at 50", 50, inCell(b, bent, 0, crowd()...)},
		{"20 things at 250", 250, inCell(b, bent, 0, crowd()...)},
		{"20 things, set distance at 250", 250, inCell(b, bent, 5, crowd()...)},
		{"20 things, one always inside the set distance, at 50", 50, inCell(b, bent, 5, footed()...)},
		{"20 things, one always inside the set distance, at 250", 250, inCell(b, bent, 5, footed()...)},
	} {
		b.Run(c.name, func(b *testing.B) {
			j, drive := jog.Jog{Direction: base(1, 1), Amount: 100, Speed: c.speed}, c.drive.Copy()
			b.ReportAllocs()
			for b.Loop() {
				if drive.Tick() {
					continue
				}
				if r := drive.Stop().Reason; r != jog.Done && r != "" {
					b.Fatal(drive.Stop())
				}
				j.Sign = -j.Sign
				if err := drive.Start(j); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// The room in all twelve directions.
func BenchmarkRooms(b *testing.B) {
	d := inCell(b, bent, 0, crowd()...)
	for _, frame := range []jog.Frame{jog.JointFrame, jog.BaseFrame, jog.ToolFrame} {
		b.Run(string(frame), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				s, err := d.Survey(frame, "", jog.Speeds{Straight: 50, Turn: 15 * degree})
				if err != nil {
					b.Fatal(err)
				}
				for !s.Advance(1000) {
				}
			}
		})
	}
}
