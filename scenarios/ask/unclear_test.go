package ask

import (
	"errors"
	"testing"

	"handrule/kinematics/jog"
	"handrule/words"
)

// A question what will stop a jog is unclear where its way on is not computed, and where it takes too long, each for its own reason.
func TestWhatStopsHasNoAnswerThatIsNotComputed(t *testing.T) {
	for _, c := range []struct {
		stop jog.Stop
		want string
	}{
		{jog.Stop{Reason: jog.OutOfReach}, ""},
		{jog.Stop{Reason: jog.Uncomputed}, "ask.unclear.uncomputed"},
		{jog.Stop{}, "ask.unclear.long"},
	} {
		a := &Asked{}
		a.ahead.Stop, a.truth.Stop = c.stop, c.stop.Answer()
		var unclear words.Problem
		if err := (stop{}).clear(a); errors.As(err, &unclear) != (c.want != "") || unclear.Key != c.want {
			t.Errorf("%v: %v", c.stop, err)
		}
	}
}
