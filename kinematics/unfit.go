package kinematics

import (
	"fmt"

	"gonum.org/v1/gonum/spatial/r3"
)

// Unfit is why points give no frame, or touches no TCP: what was measured, what would do, and what would be good. The
// error is all of it in English; with Why and the numbers it can be said in any language.
type Unfit struct {
	Why       Lack
	Is, Least float64 // by Why: mm, degrees or a count
	Good      float64 // 0 where the least is as good as any
	Along     r3.Vec  // TouchesAlike: the direction of the flange that hardly differs
	english   string
}

// Lack is what points or touches lack.
type Lack string

// The lacks.
const (
	TouchesFew   Lack = "touches-few"    // a count
	TouchesAlike Lack = "touches-alike"  // degrees
	PointNear    Lack = "point-near"     // mm from the origin to the point on X
	PointBeside  Lack = "point-beside"   // mm from the X axis to the third point
	PointsInLine Lack = "points-in-line" // degrees
)

func (u Unfit) Error() string { return u.english }

// said gives the error its English.
func (u Unfit) said(format string, values ...any) Unfit {
	u.english = fmt.Sprintf(format, values...)
	return u
}
