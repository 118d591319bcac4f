package armfile

import (
	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
)

var directions = map[string]r3.Vec{"x": {X: 1}, "-x": {X: -1}, "y": {Y: 1}, "-y": {Y: -1}, "z": {Z: 1}, "-z": {Z: -1}}

// Direction is the unit vector along an axis of a frame, by its word: x, -x, y, -y, z or -z.
func Direction(word string) r3.Vec { return directions[word] }

// Forward returns a frame of another form of file in the base frame (ISO 9787: X forward, Z up), where that axis of it, x, -x, y or -y,
// points forward; "" is x.
func Forward(word string) kinematics.Rotation {
	if word == "" || word == "x" {
		return kinematics.NoRotation
	}
	x, z := Direction(word), r3.Vec{Z: 1}
	return kinematics.Rotation{X: x, Y: r3.Cross(z, x), Z: z}.Transpose()
}
