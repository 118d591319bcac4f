package ask

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/kinematics/jog"
)

// This file is which way the flange goes when the tool turns about the TCP, which only tasks of lessons ask.

// atFlange is which way the flange goes in a turn about an axis through the TCP; of any length.
func (a *Asked) atFlange(turn r3.Vec) r3.Vec {
	return r3.Cross(turn, r3.Sub(a.d.Arm().Forward(a.d.Joints()).Position, a.d.TCP().Position))
}

// turnsFlange reports whether the jog is a turn about the TCP in which the flange moves.
func (a *Asked) turnsFlange() bool {
	way, turn, err := a.d.Leads(a.jog)
	return err == nil && way == zero && turn != zero && a.jog.Frame.Traits().Axes && !a.jog.Several() && r3.Norm(a.atFlange(turn)) > 1
}

func (a *Asked) flangeBeliefs() (all []belief) {
	j, goes := a.jog, *a.truth.Arrow
	add := func(key string, v r3.Vec, fill ...any) {
		if size := r3.Norm(v); size > 1e-6 {
			all = append(all, belief{key: key, fill: fill, answer: pointing(r3.Scale(1/size, v))})
		}
	}
	all = append(all, belief{key: "tip-stays", answer: Answer{Stays: true}})
	add("minus", r3.Scale(-1, goes))
	add("left", r3.Scale(-1, goes))
	add("flange-axis", a.lead.Asked)
	add("flange-axis", r3.Scale(-1, a.lead.Asked))
	tcp := a.d.TCP()
	for _, other := range a.otherFrames() {
		if _, turn, err := a.d.Leads(in(j, other)); err == nil {
			add("frame", a.atFlange(turn), "frame", other, "own", frameOf(j))
		}
	}
	vertical, _ := a.d.Frame(jog.WorldFrame, "", tcp)
	add("front", kinematics.RotationAbout(vertical.Rotation.Z, math.Pi).Apply(goes))
	frame, _ := a.d.Frame(j.Frame, j.Task, tcp)
	own := j.Axis % 3
	for i := range 6 {
		if i%3 != own {
			sign := float64(1 - 2*(i/3))
			add("axis", a.atFlange(r3.Scale(sign, frame.Rotation.Axis(i%3))), "axis", signOf(sign)+axisName(i%3), "own", signOf(float64(j.Sign))+axisName(own))
		}
	}
	return all
}
