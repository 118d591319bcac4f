package ask

import (
	"fmt"
	"slices"
	"strings"

	"handrule/kinematics"
	"handrule/kinematics/jog"
	"handrule/scenarios/form"
	"handrule/scenarios/lesson"
	"handrule/scenarios/spoken"
	"handrule/words"
)

// stop is the question what will stop a jog.
type stop struct{}

// Besides other jogs, the same one is followed where nothing stands around the arm, and where it comes up to things until it
// touches them.
func (stop) begin(a *Asked) error {
	if err := a.readJog(); err != nil {
		return err
	}
	if err := a.follow(a.d, a.jog, belief{}); err != nil {
		return err
	}
	setup := a.d.Setup()
	if setup.Scene != nil {
		if setup.SetDistance > 0 {
			touching := setup
			touching.SetDistance = 0
			if d, err := jog.New(touching, a.d.Joints()); err == nil {
				_ = a.follow(d, a.jog, belief{key: "touch"})
			}
		}
		alone := setup
		alone.Scene, alone.SetDistance = nil, 0
		if d, err := jog.New(alone, a.d.Joints()); err == nil {
			_ = a.follow(d, a.jog, belief{key: "bare"})
		}
	}
	for _, other := range a.otherJogs() {
		if other.belief.key != "turned" && other.belief.key != "along" { // how far those would go, nobody has said
			_ = a.follow(a.d, other.jog, other.belief)
		}
	}
	return nil
}

func (stop) clear(a *Asked) error {
	switch {
	case a.truth.Stop != "":
		return nil
	case a.ahead.Stop.Reason == jog.Uncomputed:
		return words.NewProblem("ask.unclear.uncomputed")
	}
	return words.NewProblem("ask.unclear.long")
}

func (stop) take(_ *Asked, given Answer) (Answer, error) {
	if !slices.Contains(lesson.StopWords, given.Stop) {
		return Answer{}, fmt.Errorf("unknown answer %s; %s", form.Quoted(given.Stop), form.UnknownWord(given.Stop, lesson.StopWords))
	}
	return Answer{Stop: given.Stop}, nil
}

func (stop) apart(_ *Asked, x, y *Answer) float64 { return equal(x.Stop == y.Stop) }

func (stop) beliefs(a *Asked) (all []belief) {
	add := func(key, answer string) {
		all = append(all, belief{key: key, answer: Answer{Stop: answer}})
	}
	add("nothing", lesson.NothingStops)
	for _, r := range a.runs[1:] {
		b := r.belief
		if b.answer.Stop = r.ahead.Ahead().Stop.Answer(); b.answer.Stop != "" {
			all = append(all, b)
		}
	}
	if a.ahead.Stop.Reason.Traits().OfJoint {
		for i := range kinematics.JointNames {
			add("other-joint", jog.Stop{Reason: a.ahead.Stop.Reason, Joint: i}.Answer())
		}
	}
	return all
}

func (stop) asks(a *Asked, in *words.Language) string {
	return in.Say("ask.asks.stop", "jog", spoken.Jog(a.jog, in))
}

func (stop) why(a *Asked, in *words.Language) string {
	return lesson.WhyStop(a.d, a.jog, &a.ahead, in)
}

func (stop) tell(_ *Asked, given *Answer, in *words.Language) string {
	return strings.TrimSpace(spoken.StopWord(given.Stop, in))
}
