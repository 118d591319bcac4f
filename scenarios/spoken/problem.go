package spoken

import (
	"errors"
	"fmt"

	"handrule/kinematics"
	"handrule/kinematics/jog"
	"handrule/words"
)

// refusals are the errors of the motion that a learner may meet, and the keys of their texts.
var refusals = map[error]string{
	jog.ErrMoving:        "problem.moving",
	jog.ErrNothingToUndo: "problem.undo.nothing",
	jog.ErrMoved:         "problem.undo.moved",
}

// Tell says what an error is in that language, where a learner may meet it: a refusal of the motion, points that give no
// frame, touches that give no TCP, a words.Problem. What is wrong with a file, and what only a broken page can ask for,
// is told as it is.
func Tell(err error, in *words.Language) string {
	for refusal, key := range refusals {
		if errors.Is(err, refusal) {
			return in.Say(key)
		}
	}
	var unfit kinematics.Unfit
	if errors.As(err, &unfit) {
		return tellUnfit(unfit, in)
	}
	return in.Tell(err)
}

func tellUnfit(unfit kinematics.Unfit, in *words.Language) string {
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
