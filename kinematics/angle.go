package kinematics

import "math"

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
