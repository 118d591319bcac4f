package armfile

import (
	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
)

// Sketch is what is known of an arm while it is being written: its joints so far, and where what the last one carries ends.
type Sketch struct {
	MountHeight float64
	Joints      []kinematics.Joint // at most six; axes are unit vectors
	End         *kinematics.Pose   // nil: not known yet
}

// Drawn is a sketch with its joints turned.
type Drawn struct {
	At, Along []r3.Vec // of every joint's axis: the point where the arm meets it, and the direction about which it turns to plus
	Way       []r3.Vec // from the mounting surface from axis to axis, and to the end
	End       *kinematics.Pose
}

// At returns the sketch with its joints at those angles. Where it is measured, a joint is at the angle that it reads there.
func (s *Sketch) At(q kinematics.Joints) (d Drawn) {
	var end *r3.Vec
	if s.End != nil {
		end = &s.End.Position
	}
	way := wayAlong(s.MountHeight, s.Joints, end)
	moved := kinematics.Identity
	d.Way = append(d.Way, way[0])
	for i, j := range s.Joints {
		at, along := moved.Apply(way[i+1]), moved.Rotation.Apply(j.Axis)
		d.At, d.Along, d.Way = append(d.At, at), append(d.Along, along), append(d.Way, at)
		turn := kinematics.RotationAbout(j.Axis, q[i]-j.Measured)
		moved = moved.Mul(kinematics.Pose{Position: r3.Sub(j.At, turn.Apply(j.At)), Rotation: turn})
	}
	if s.End != nil {
		there := moved.Mul(*s.End)
		d.End, d.Way = &there, append(d.Way, there.Position)
	}
	return d
}
