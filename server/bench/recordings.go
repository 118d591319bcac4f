package bench

import (
	"math"

	"handrule/kinematics"
	"handrule/kinematics/jog"
)

// This file is the plot: how the joints went through the last jog in a frame and the last one of a joint.

// plotEvery is how often a page that shows the plot is told of a jog under way, in ticks.
const plotEvery = jog.TickRate / 4

// recorded takes note of a tick that the arm has made.
func (b *Bench) recorded() { b.plot.Take(b.drive()) }

// plotDue reports whether a page that shows the plot is to be told of the jog under way.
func (b *Bench) plotDue() bool {
	now := b.drive().Ticks
	if b.drive().Waiting() || now-b.page.plotted < plotEvery {
		return false
	}
	b.page.plotted = now
	return true
}

// recordingKey is a recording as far as it has got.
type recordingKey struct {
	of    *jog.Recording
	ticks int
	done  bool
}

// recordingTold reports whether the page is told of a recording: one that shows the plot is. One with a bench of its own is too when the jog is over: it
// keeps that, and the bench, which begins anew with the page, does not.
func (b *Bench) recordingTold(of *jog.Recording) bool {
	return of != nil && (b.page.shows.Plot || b.page.alone && of.Done)
}

// recordingKey is nil where the page is not told of the recording.
func (b *Bench) recordingKey(of *jog.Recording) any {
	if !b.recordingTold(of) {
		return nil
	}
	return recordingKey{of, of.Ticks(), of.Done}
}

func (b *Bench) recordingView(of *jog.Recording) any {
	if !b.recordingTold(of) {
		return nil
	}
	b.page.plotted = b.drive().Ticks
	return recordingView(of, b.mounted.arm.Geometry)
}

func recordingView(r *jog.Recording, arm *kinematics.Arm) RecordingView {
	v := RecordingView{
		OfJoint: r.Jog.Frame == jog.JointFrame, Direction: r.Jog.Direction, Several: r.Jog.Several(), Back: r.Back, Done: r.Done,
		Travel: []float64{}, TimeS: []float64{}, Turns: []MomentView{}, Limits: []LimitView{}, Slowed: []int{},
	}
	for _, s := range r.Samples() {
		v.Travel = append(v.Travel, thousandths(travel(r.Jog.Direction, s.Travel)))
		v.TimeS = append(v.TimeS, thousandths(s.Time))
		angles, speeds := s.Joints.Degrees(), s.Speeds.Degrees()
		for i := range angles {
			v.AnglesDeg[i] = append(v.AnglesDeg[i], thousandths(angles[i]))
			v.SpeedsDegS[i] = append(v.SpeedsDegS[i], thousandths(speeds[i]))
		}
	}
	at := func(joint int, s jog.Sample) MomentView {
		return MomentView{
			Joint: joint, Travel: thousandths(travel(r.Jog.Direction, s.Travel)), TimeS: thousandths(s.Time),
			AngleDeg: thousandths(kinematics.Degrees(s.Joints[joint])),
		}
	}
	for _, turn := range r.Turns {
		v.Turns = append(v.Turns, at(turn.Joint, turn.Sample))
	}
	for i, j := range arm.Joints {
		if r.Approached(i, arm) {
			near, limit := r.Nearest(i), j.Min
			if near.Upper {
				limit = j.Max
			}
			v.Limits = append(v.Limits, LimitView{At: at(i, near.Sample), LimitDeg: kinematics.Degrees(limit), LeftDeg: thousandths(kinematics.Degrees(near.Left))})
		}
		if r.Slowed[i] {
			v.Slowed = append(v.Slowed, i)
		}
		v.WorkDeg[i] = thousandths(kinematics.Degrees(r.Work[i]))
	}
	return v
}

// thousandths is as finely as the page draws; it keeps messages short.
func thousandths(x float64) float64 { return math.Round(x*1000) / 1000 }
