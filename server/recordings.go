package server

import (
	"math"

	"handrule/kinematics"
	"handrule/kinematics/jog"
)

// This file is the plot: how the joints went through the last jog in a frame and the last one of a joint.

// plotEvery is how often a page that shows the plot is told of a jog under way, in ticks.
const plotEvery = jog.TickRate / 4

// plot keeps the recordings, and sends them to a page that shows them.
type plot struct {
	jog.Recorder
	shown bool
	since int // ticks since the page was told
}

// moved takes note of a tick, and reports whether the page should be told.
func (p *plot) moved(d *jog.Drive) bool {
	p.Take(d)
	p.since++
	return p.shown && (!d.Moving() || p.since >= plotEvery && !d.Waiting())
}

// tellPlot sends the recording of the jog under way or just ended.
func (b *bench) tellPlot() {
	b.plot.since = 0
	of := b.plot.OfJoint
	if b.drive.Jog().Frame != jog.JointFrame {
		of = b.plot.InFrame
	}
	b.sendRecording(of)
}

func (b *bench) sendRecording(of *jog.Recording) {
	if of != nil {
		b.send("recording", recordingView(of, b.arm.Geometry))
	}
}

// showPlot begins to tell the page of recordings, with those there are, or ends it.
func (b *bench) showPlot(on bool) {
	b.plot.shown = on
	if on {
		b.sendRecording(b.plot.InFrame)
		b.sendRecording(b.plot.OfJoint)
	}
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
			near, limit := r.Nearest[i], j.Min
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
