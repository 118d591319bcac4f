package bench

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
	"handrule/words"
)

// This file is the mode in which a jog is asked about before it is made. The learner says which way the arm will go, then
// the arm goes, and what was said is compared with it.

// predicting is how the mode stands.
type predicting struct {
	on      bool
	joints  bool               // what is asked is which joints will turn, not which way the TCP will go
	asked   *predicted         // waits for the answer; nil for none
	pending *pendingPrediction // is to be asked; nil for none
	fresh   bool               // the latest of those given is the last thing that the arm was moved for

	given    []PredictionView // the latest last
	count    int              // all that were ever given, until they are forgotten
	right    int
	measured int     // those that have an angle to what happened
	sum      float64 // of these angles, degrees
}

// predicted is a jog that is asked about, and what it will do.
type predicted struct {
	jog    jog.Jog
	held   bool // in place of which a step is made
	asks   Asks
	at     kinematics.Pose
	leads  r3.Vec // the direction or the axis that the jog asks of the arm
	truth  r3.Vec // what comes of it; zero where the arm stays
	stays  bool
	stop   jog.Stop // how it ends
	movers []int
}

// mostPredictions is how many of the predictions given are listed.
const mostPredictions = 12

func (b *Bench) predictFirst(r *PredictFirstRequest) {
	p := &b.predicting
	if p.on == r.On && p.joints == r.Joints {
		return
	}
	b.release()
	p.supersede()
	p.on, p.joints = r.On, r.Joints
}

// pendingPrediction is a jog that is to be asked about once it is known what it will do.
type pendingPrediction struct {
	jog   jog.Jog
	held  bool
	stand standKey // where that was found out
}

// askFirst asks what a jog will do, in place of making it. The question comes once that is known.
func (b *Bench) askFirst(j jog.Jog, held bool) error {
	if b.Busy() {
		return errors.New(b.in.Say("problem.moving"))
	}
	if _, _, err := b.drive().Leads(j); err != nil {
		return err
	}
	b.page.aim = nil
	b.predicting.supersede()
	b.predicting.pending = &pendingPrediction{j, held, b.standKey()}
	return nil
}

// openPrediction finds out what the jog will do.
func (b *Bench) openPrediction(q *Question, pending *pendingPrediction) {
	drive, joints := b.drive().Standing(), b.predicting.joints
	ahead, err := drive.Foresee(pending.jog, jog.AtTCP)
	if err != nil {
		q.work, q.take = func() bool { return true }, func() { b.predicting.pending = nil }
		return
	}
	q.work = func() bool { return ahead.Advance(ticksAtOnce) }
	q.take = func() {
		b.predicting.pending = nil
		b.predicting.asked = questionAbout(drive, pending.jog, ahead, joints)
		b.predicting.asked.held = pending.held
	}
}

// questionAbout is the question about a jog of which it is known what the arm will do.
func questionAbout(d *jog.Drive, j jog.Jog, foreseen *jog.Foresight, joints bool) *predicted {
	ahead, h := foreseen.Ahead(), foreseen.Heading()
	lead, _ := d.Lead(j, h) // which askFirst has found it to have
	q := &predicted{jog: j, at: d.TCP(), asks: AsksWay, leads: lead.Asked, truth: lead.Comes, stop: ahead.Stop, stays: h.Stays()}
	switch {
	case joints && j.Frame != jog.JointFrame:
		q.asks, q.movers = AsksJoints, ahead.Movers(jog.Moving)
	case lead.Axis:
		q.asks = AsksAxis
	}
	return q
}

// cause says why the arm will stay, in a few words; "" where it will move.
func (q *predicted) cause(in *words.Language) string {
	if !q.stays {
		return ""
	}
	return cmp.Or(spoken.Cause(q.stop, in), in.Say("predict.cancels"))
}

// askHeld asks about a step in the directions that are held together.
func (b *Bench) askHeld(held jog.Jog) error {
	held.Amount = kinematics.Radians(b.chosen.Increment.Deg)
	if held.Straight() {
		held.Amount = b.chosen.Increment.MM
	}
	return b.askFirst(held, true)
}

// withdraw takes back the question that waits.
func (p *predicting) withdraw() { p.pending, p.asked = nil, nil }

// supersede withdraws the question that waits, and says of the last answer that the arm has been moved otherwise since.
func (p *predicting) supersede() {
	p.withdraw()
	p.fresh = false
}

// predict takes the learner's prediction, and lets the arm answer.
func (b *Bench) predict(r *PredictRequest) error {
	p := &b.predicting
	switch {
	case r.Forget:
		*p = predicting{on: p.on, joints: p.joints, asked: p.asked, pending: p.pending}
		return nil
	case r.Withdraw:
		b.predicting.withdraw()
		return nil
	case p.asked == nil:
		return errors.New(b.in.Say("problem.nothing-asked"))
	}
	q := p.asked
	v := PredictionView{Directions: q.jog.Directions(), Asks: q.asks, At: place(q.at), Stays: r.Stays, Joints: []int{}, Movers: []int{}, Cause: q.cause(b.in)}
	if err := q.grade(r, &v); err != nil {
		return err
	}
	if err := b.mayGo(q.jog.Direction); err != nil {
		return err
	}
	if b.Busy() {
		return errors.New(b.in.Say("problem.moving"))
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
		v.AsAsked = q.leads != r3.Vec{} && lesson.RightArrow(offBy(arrow, q.leads))
		return nil
	}
	off := offBy(arrow, q.truth)
	v.OffDeg, v.Right = &off, lesson.RightArrow(off)
	return nil
}

// offBy is the angle between two directions, degrees.
func offBy(a, b r3.Vec) float64 { return kinematics.Degrees(kinematics.AngleBetween(a, b)) }

func (b *Bench) predictionsView() PredictionsMessage {
	p := &b.predicting
	m := PredictionsMessage{On: p.on, Joints: p.joints, Given: append([]PredictionView{}, p.given...), Fresh: p.fresh, Count: p.count, Right: p.right, Measured: p.measured, Within: lesson.ArrowWithin}
	if p.measured > 0 {
		mean := p.sum / float64(p.measured)
		m.MeanDeg = &mean
	}
	if q := p.asked; q != nil {
		m.Question = &QuestionView{Directions: q.jog.Directions(), Asks: q.asks, At: place(q.at)}
		if q.held {
			step := q.jog.Amount
			if !q.jog.Straight() {
				step = kinematics.Degrees(step)
			}
			m.Question.Step = &step
		}
	}
	return m
}
