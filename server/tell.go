package server

import (
	"errors"
	"fmt"

	"handrule/kinematics"
	"handrule/words"
)

// tell says what an error is in the page's language, where a learner may meet it. What only a broken page can ask for, and
// what is wrong with a file, is told as it is.
func tell(err error, in *words.Language) string {
	var unfit kinematics.Unfit
	if !errors.As(err, &unfit) {
		return in.Tell(err)
	}
	is := "%.2f" // mm
	switch unfit.Why {
	case kinematics.TouchesFew:
		is = "%.0f"
	case kinematics.TouchesAlike, kinematics.PointsInLine:
		is = "%.1f" // degrees
	}
	number := func(format string, x float64) string { return fmt.Sprintf(format, x) }
	return in.Say("teach.unfit."+string(unfit.Why), "is", number(is, unfit.Is), "least", number("%.0f", unfit.Least), "good", number("%.0f", unfit.Good),
		"x", number("%.2f", unfit.Along.X), "y", number("%.2f", unfit.Along.Y), "z", number("%.2f", unfit.Along.Z))
}
