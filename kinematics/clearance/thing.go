package clearance

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
)

// MountingSurface is what the surface under an arm that stands alone is called. No file names it, so it is said in the
// reader's language.
const MountingSurface = "mounting surface"

// Thing is something in the cell that the arm can touch.
type Thing struct {
	Name  string
	Shape Shape
	Pose  kinematics.Pose // of the shape's frame in the base frame
}

// Shape is a convex solid in a frame of its own: a Box, Cylinder, Sphere or HalfSpace.
type Shape interface {
	// closest returns the t in 0…1 at which the point a+t·d has the smallest signed distance.
	closest(a, d r3.Vec) float64
	// signed returns the distance of p from the surface, negative inside.
	signed(p r3.Vec) float64
	// surface returns the point of the surface nearest to p, and the outward normal there: for p outside, the
	// direction from that point to p.
	surface(p r3.Vec) (on, normal r3.Vec)
	// halfSize returns half the edges of a box about the origin, along the axes, that holds the shape; +Inf
	// where it has no end.
	halfSize() r3.Vec
	// check says what is wrong with the shape's numbers.
	check() error
}

// largest is the greatest length and coordinate in mm that a scene accepts, 1 km, so that rounding stays below 1e-9.
const largest = 1e6

// grazing in mm is below what a point is taken to be on a surface, an axis or a centre when a direction away from it is
// wanted. Closer than this, the direction to the point is rounding, or underflow, and no normal.
const grazing = 1e-9

// insideTolerance in mm is below what a segment is searched for a part inside a shape. It only has to be above rounding.
const insideTolerance = 1e-6

func (t Thing) check() error {
	if t.Shape == nil {
		return fmt.Errorf("it has no shape; give it a box, cylinder, sphere or half-space")
	}
	if err := t.Shape.check(); err != nil {
		return err
	}
	if !inRange(t.Pose.Position) {
		return fmt.Errorf("its position %v mm must be numbers within ±%.0f mm", t.Pose.Position, largest)
	}
	x, y, z := t.Pose.Rotation.X, t.Pose.Rotation.Y, t.Pose.Rotation.Z
	off := math.Abs(r3.Norm(x)-1) + math.Abs(r3.Norm(y)-1) + r3.Norm(r3.Sub(r3.Cross(x, y), z))
	if !(off < 1e-9) {
		return fmt.Errorf("the axes of its pose must be perpendicular unit vectors of a right-handed frame")
	}
	return nil
}

func inRange(v r3.Vec) bool {
	return math.Abs(v.X) <= largest && math.Abs(v.Y) <= largest && math.Abs(v.Z) <= largest
}

// checkLength says what is wrong with a length in mm; zero is a length.
func checkLength(what string, mm float64) error {
	if !(mm >= 0 && mm <= largest) {
		return fmt.Errorf("its %s of %v mm must be 0 to %.0f mm", what, mm, largest)
	}
	return nil
}

// into returns the vector v of the base frame in the turned frame.
func into(r *kinematics.Rotation, v r3.Vec) r3.Vec {
	return r3.Vec{X: r3.Dot(r.X, v), Y: r3.Dot(r.Y, v), Z: r3.Dot(r.Z, v)}
}

// along returns the point a+t·d.
func along(a, d r3.Vec, t float64) r3.Vec {
	return r3.Vec{X: a.X + t*d.X, Y: a.Y + t*d.Y, Z: a.Z + t*d.Z}
}

// length returns the length of v; r3.Norm guards against overflow, which lengths in a scene cannot reach, and takes
// several times as long.
func length(v r3.Vec) float64 { return math.Sqrt(r3.Norm2(v)) }
