package spoken

import (
	"errors"

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
	is := 2 // decimals of mm
	switch unfit.Why {
	case kinematics.TouchesFew:
		is = 0
	case kinematics.TouchesAlike, kinematics.PointsInLine:
		is = 1 // of degrees
	}
	return in.Say("teach.unfit."+string(unfit.Why), "is", in.Fixed(unfit.Is, is), "least", in.Fixed(unfit.Least, 0), "good", in.Fixed(unfit.Good, 0),
		"x", in.Fixed(unfit.Along.X, 2), "y", in.Fixed(unfit.Along.Y, 2), "z", in.Fixed(unfit.Along.Z, 2))
}
