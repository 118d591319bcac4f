package kinematics

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

const radPerDeg = math.Pi / 180

// Radians returns an angle given in degrees, or a speed given in degrees/s, in rad.
func Radians(deg float64) float64 { return deg * radPerDeg }

// Degrees returns an angle in rad, or a speed in rad/s, in degrees.
func Degrees(rad float64) float64 { return rad / radPerDeg }

// Degrees returns the joints' angles, or speeds, in degrees.
func (q Joints) Degrees() (deg [6]float64) {
	for i := range q {
		deg[i] = Degrees(q[i])
	}
	return deg
}

// Degrees3 returns three angles in rad in degrees.
func Degrees3(rad [3]float64) (deg [3]float64) {
	for i := range rad {
		deg[i] = Degrees(rad[i])
	}
	return deg
}

// AngleBetween returns the angle between two directions, rad. Their lengths do not matter, but none may be zero.
func AngleBetween(a, b r3.Vec) float64 { return math.Atan2(r3.Norm(r3.Cross(a, b)), r3.Dot(a, b)) }
