package clearance

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
)

// HalfSpace is everything below the X-Y plane of its frame: Z points out of it. It stands for floors and walls.
type HalfSpace struct{}

// Floor returns the floor at this height in the base frame.
func Floor(height float64) Thing {
	return Thing{Name: "floor", Shape: HalfSpace{}, Pose: kinematics.Pose{Position: r3.Vec{Z: height}, Rotation: kinematics.NoRotation}}
}

func (HalfSpace) closest(_, d r3.Vec) float64 {
	if d.Z < 0 {
		return 1
	}
	return 0
}

func (HalfSpace) signed(p r3.Vec) float64 { return p.Z }

func (HalfSpace) surface(p r3.Vec) (on, normal r3.Vec) { return r3.Vec{X: p.X, Y: p.Y}, r3.Vec{Z: 1} }

func (HalfSpace) halfSize() r3.Vec { return r3.Vec{X: math.Inf(1), Y: math.Inf(1), Z: math.Inf(1)} }

func (HalfSpace) check() error { return nil }
