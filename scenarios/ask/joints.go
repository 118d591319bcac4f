package ask

import (
	"slices"
	"strconv"

	"handrule/kinematics"
	"handrule/kinematics/jog"
	"handrule/scenarios/lesson"
	"handrule/scenarios/spoken"
	"handrule/words"
)

// joints is the question which joints will turn.
type joints struct{}

func (joints) begin(a *Asked) error {
	if err := a.readJog(); err != nil {
		return err
	}
	if err := a.follow(a.d, a.jog, belief{}); err != nil {
		return err
	}
	for _, other := range a.otherJogs() {
		_ = a.follow(a.d, other.jog, other.belief) // one that cannot begin is no belief
	}
	return nil
}

// otherJog is a jog that somebody may take for the one that is asked about.
type otherJog struct {
	jog    jog.Jog
	belief belief
}

// otherJogs are the jog the other way, in another frame, and along in place of about an axis. Where the axes are the same in two
// frames, it is the same jog and left out.
func (a *Asked) otherJogs() (all []otherJog) {
	j := a.jog
	all = append(all, otherJog{j.Reversed(), belief{key: "opposite"}})
	if !j.Frame.Traits().Axes {
		return all
	}
	tcp := a.d.TCP()
	seen := []kinematics.Pose{}
	own, _ := a.d.Frame(j.Frame, j.Task, tcp)
	for _, f := range a.otherFrames() {
		frame, err := a.d.Frame(f.Frame, f.Task, tcp)
		if err != nil || alike(frame.Rotation, own.Rotation) || slices.ContainsFunc(seen, func(s kinematics.Pose) bool { return alike(s.Rotation, frame.Rotation) }) {
			continue
		}
		seen = append(seen, frame)
		all = append(all, otherJog{in(j, f), belief{key: "frame", fill: []any{"frame", f, "own", frameOf(j)}}})
	}
	if !j.Several() {
		turned := lesson.Speeds.Step(j.Direction, 1)
		key := "turned"
		if turned.Axis = (j.Axis + 3) % 6; j.Straight() {
			turned.Amount, turned.Speed = kinematics.Radians(15), lesson.Speeds.Turn
		} else {
			turned.Amount, turned.Speed, key = 50, lesson.Speeds.Straight, "along"
		}
		all = append(all, otherJog{turned, belief{key: key}})
	}
	return all
}

// A joint that turns about as far as what counts as turning makes no fair question.
func (joints) clear(a *Asked) error {
	for i, work := range a.ahead.Work {
		if work > a.moving/2 && work < 2*a.moving {
			return words.NewProblem("ask.unclear.joint", "joint", kinematics.JointNames[i],
				"turn", strconv.FormatFloat(kinematics.Degrees(work), 'f', 2, 64), "least", strconv.FormatFloat(kinematics.Degrees(a.moving), 'f', 1, 64))
		}
	}
	return nil
}

func (joints) take(_ *Asked, given Answer) (Answer, error) {
	some, err := takeSome(given.Joints, len(kinematics.JointNames), "joints")
	return Answer{Joints: some}, err
}

func (joints) apart(_ *Asked, x, y *Answer) float64 { return equal(slices.Equal(x.Joints, y.Joints)) }

func (joints) beliefs(a *Asked) (all []belief) {
	truth := a.truth.Joints
	add := func(key string, some []int) {
		all = append(all, belief{key: key, answer: Answer{Joints: some}})
	}
	only := func(wanted func(joint int) bool) []int {
		return slices.DeleteFunc(slices.Clone(truth), func(joint int) bool { return !wanted(joint) })
	}
	if len(truth) > 1 {
		for i := range kinematics.JointNames {
			add("one", []int{i})
		}
		add("wrist", only(func(joint int) bool { return joint < 3 }))
		add("arm", only(func(joint int) bool { return joint >= 3 }))
	}
	if a.ahead.Stop.Trouble() && len(truth) == 0 { // it was asked to go
		all = append(all, belief{key: "asked-joints", answer: Answer{Joints: []int{0, 1, 2, 3, 4, 5}}})
	} else {
		add("all", []int{0, 1, 2, 3, 4, 5})
	}
	add("none", []int{})
	for _, r := range a.runs[1:] {
		b := r.belief
		b.answer = Answer{Joints: r.ahead.Ahead().Movers(a.moving)}
		all = append(all, b)
	}
	return all
}

func (joints) asks(a *Asked, in *words.Language) string {
	return in.Say("predict.asks.joints", "jog", spoken.Jog(a.jog, in))
}

func (joints) why(a *Asked, in *words.Language) string {
	if a.ahead.Stop.Trouble() {
		return lesson.WhyStop(a.d, a.jog, &a.ahead, in)
	}
	return lesson.WhyJoints(&a.ahead, a.moving, in)
}

func (joints) tell(_ *Asked, given *Answer, in *words.Language) string {
	return jointNames(given.Joints, in)
}

// jointNames lists joints.
func jointNames(some []int, in *words.Language) string {
	if len(some) == 0 {
		return in.Say("task.joints.none")
	}
	names := make([]string, len(some))
	for i, joint := range some {
		names[i] = kinematics.JointNames[joint]
	}
	return in.List(names)
}
