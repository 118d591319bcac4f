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
	is, least, good := in.Fixed(unfit.Is, 0), in.Fixed(unfit.Least, 0), in.Fixed(unfit.Good, 0)
	switch unfit.Why {
	case kinematics.TouchesAlike, kinematics.PointsInLine:
		is = in.Fixed(unfit.Is, 1) // degrees
	case kinematics.PointNear, kinematics.PointBeside:
		is, least, good = in.Length(unfit.Is, 2), in.Length(unfit.Least, 0), in.Length(unfit.Good, 0)
	}
	return in.Say("teach.unfit."+string(unfit.Why), "is", is, "least", least, "good", good,
		"x", in.Fixed(unfit.Along.X, 2), "y", in.Fixed(unfit.Along.Y, 2), "z", in.Fixed(unfit.Along.Z, 2))
}
