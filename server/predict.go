package server

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/kinematics/jog"
	"handrule/scenarios/lesson"
	"handrule/scenarios/spoken"
)

// This file is the mode in which a jog is asked about before it is made. The learner says which way the arm will go, then
// the arm goes, and what was said is compared with it.

// predicting is how the mode stands.
type predicting struct {
	on     bool
	joints bool       // what is asked is which joints will turn, not which way the TCP will go
	asked  *predicted // waits for the answer; nil for none
	fresh  bool       // the latest of those given is the last thing that the arm was moved for

	given    []PredictionView // the latest last
	count    int              // all that were ever given, until they are forgotten
	right    int
	measured int     // those that have an angle to what happened
	sum      float64 // of these angles, degrees
}

// predicted is a jog that is asked about, and what it will do.
type predicted struct {
	jog    jog.Jog
	asks   string // one of the Asks constants
	at     kinematics.Pose
	leads  r3.Vec // the direction or the axis that the jog asks of the arm
	truth  r3.Vec // what comes of it; zero where the arm stays
	cause  string // why it stays, in a few words; "" where it moves
	movers []int
}

const (
	// mostPredictions is how many of the predictions given are listed.
	mostPredictions = 12
	// rightWithin is how far off an arrow may be to be right, whole degrees, as they are shown. Lessons take the same unless
	// they say otherwise.
	rightWithin = 30
)

func (b *bench) predictFirst(r *PredictFirstRequest) {
	p := &b.predicting
	if p.on == r.On && p.joints == r.Joints {
		return
	}
	b.release()
	p.on, p.joints, p.asked, p.fresh = r.On, r.Joints, nil, false
	b.tellPredictions()
	if !b.drive.Moving() {
		b.send("ghost", b.ghost())
	}
}

// askFirst asks what a jog will do, in place of making it.
func (b *bench) askFirst(j jog.Jog) error {
	if b.drive.Moving() {
		return errors.New(b.in.Say("problem.moving"))
	}
	ahead, err := b.drive.Ahead(j)
	if err != nil {
		return err
	}
	h, err := b.drive.Heading(j, jog.AtTCP)
	if err != nil {
		return err
	}
	way, turn, err := b.drive.Leads(j)
	if err != nil {
		return err
	}
	q := &predicted{jog: j, at: b.drive.TCP(), asks: AsksWay, leads: way, truth: h.First}
	switch {
	case b.predicting.joints && j.Frame != jog.JointFrame:
		q.asks, q.movers = AsksJoints, ahead.Movers(jog.Moving)
	case way == r3.Vec{} && turn != r3.Vec{}:
		q.asks, q.leads, q.truth = AsksAxis, turn, h.Turn
	}
	if h.Stays() {
		q.cause = cmp.Or(spoken.Cause(ahead.Stop, b.in), b.in.Say("predict.cancels"))
	}
	b.aim = nil
	b.predicting.asked, b.predicting.fresh = q, false
	b.tellPredictions()
	b.send("ghost", b.ghost())
	return nil
}

// askHeld asks about a step in the directions that are held together.
func (b *bench) askHeld(held jog.Jog) error {
	held.Amount = kinematics.Radians(b.setup.Increment.Deg)
	if held.Straight() {
		held.Amount = b.setup.Increment.MM
	}
	return b.askFirst(held)
}

// withdraw takes back the question that waits, if one does.
func (b *bench) withdraw() {
	if b.predicting.asked != nil {
		b.predicting.asked = nil
		b.tellPredictions()
	}
}

// outdate withdraws the question that waits, and says of the last answer that the arm has been moved otherwise since.
func (b *bench) outdate() {
	if p := &b.predicting; p.asked != nil || p.fresh {
		p.asked, p.fresh = nil, false
		b.tellPredictions()
	}
}

// predict takes the learner's prediction, and lets the arm answer.
func (b *bench) predict(r *PredictRequest) error {
	p := &b.predicting
	switch {
	case r.Forget:
		*p = predicting{on: p.on, joints: p.joints, asked: p.asked}
		b.tellPredictions()
		return nil
	case r.Withdraw:
		b.withdraw()
		return nil
	case p.asked == nil:
		return errors.New(b.in.Say("problem.nothing-asked"))
	}
	q := p.asked
	v := PredictionView{Directions: q.jog.Directions(), Asks: q.asks, At: place(q.at), Stays: r.Stays, Joints: []int{}, Movers: []int{}, Cause: q.cause}
	if err := q.grade(r, &v); err != nil {
		return err
	}
	if err := b.mayJog(q.jog.Frame); err != nil {
		return err
	}
	p.asked, p.fresh = nil, true
	p.count++
	if v.Right {
		p.right++
	}
	if v.OffDeg != nil {
		p.measured++
		p.sum += *v.OffDeg
	}
	if p.given = append(p.given, v); len(p.given) > mostPredictions {
		p.given = slices.Delete(p.given, 0, 1)
	}
	b.tellPredictions()
	return b.begin(q.jog)
}

// grade compares what was said with what the jog will do.
func (q *predicted) grade(r *PredictRequest, v *PredictionView) error {
	if q.asks == AsksJoints {
		for _, joint := range r.Joints {
			if joint < 0 || joint > 5 {
				return fmt.Errorf("there are joints 0 to 5, not %d", joint)
			}
		}
		v.Joints = append(v.Joints, slices.Compact(slices.Sorted(slices.Values(r.Joints)))...)
		v.Stays = len(v.Joints) == 0
		v.Movers = append(v.Movers, q.movers...)
		v.Wrong = lesson.Different(v.Joints, v.Movers)
		v.Right = v.Wrong == 0
		return nil
	}
	stays := q.truth == r3.Vec{}
	if !stays {
		truth := array(q.truth)
		v.Truth = &truth
	}
	if r.Stays {
		v.Right = stays
		return nil
	}
	if r.Arrow == nil {
		return errors.New("a prediction is an arrow, the joints, or that the arm stays")
	}
	arrow := vector(*r.Arrow)
	size := r3.Norm(arrow)
	if !(size > 1e-9) || math.IsInf(size, 0) {
		return errors.New("an arrow needs a direction")
	}
	given := array(r3.Scale(1/size, arrow))
	v.Arrow = &given
	if stays {
		v.AsAsked = q.leads != r3.Vec{} && within(offBy(arrow, q.leads))
		return nil
	}
	off := offBy(arrow, q.truth)
	v.OffDeg, v.Right = &off, within(off)
	return nil
}

// offBy is the angle between two directions, degrees.
func offBy(a, b r3.Vec) float64 { return kinematics.Degrees(kinematics.AngleBetween(a, b)) }

// within reports whether an arrow that is so far off, degrees, is right.
func within(off float64) bool { return math.Round(off) <= rightWithin }

func (b *bench) tellPredictions() {
	p := &b.predicting
	m := PredictionsMessage{On: p.on, Joints: p.joints, Given: append([]PredictionView{}, p.given...), Fresh: p.fresh, Count: p.count, Right: p.right, Measured: p.measured}
	if p.measured > 0 {
		mean := p.sum / float64(p.measured)
		m.MeanDeg = &mean
	}
	if q := p.asked; q != nil {
		m.Question = &QuestionView{Directions: q.jog.Directions(), Asks: q.asks, At: place(q.at)}
	}
	b.send("predictions", m)
}
