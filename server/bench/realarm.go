package bench

import (
	"math"
	"strconv"

	"handrule/kinematics"
	"handrule/scenarios/armfile"
	"handrule/scenarios/compare"
	"handrule/words"
)

// This file holds the arm on the bench, with the tool that it carries, against what a real arm's display shows. Nothing is sent to the real arm.

// realArm answers with poses to jog the real arm to, or with what the readings of some say.
func (b *Bench) realArm(r *RealArmRequest) error {
	arm, tool := b.mounted.arm, b.drive().Setup().Tool
	m := RealArmMessage{
		Arm: arm.Texts.NameIn(b.in, arm.Name), Tool: b.in.Named(tool.Name), Enough: compare.EnoughForFit,
		PosesDeg: [][6]float64{}, OffMM: [][3]float64{}, Causes: []string{}, Unseen: []string{},
	}
	if len(r.Readings) == 0 {
		for _, q := range compare.Poses(arm, tool.TCP, max(3, min(12, r.Poses))) {
			m.PosesDeg = append(m.PosesDeg, q.Degrees())
		}
		b.tell("real-arm", m)
		return nil
	}
	var readings []compare.Reading
	for _, given := range r.Readings {
		readings = append(readings, compare.Reading{Joints: radians(&given.JointsDeg), At: vector(given.AtMM)})
	}
	found := compare.Diagnose(arm.Geometry, tool.TCP, readings)
	for _, off := range found.Off {
		m.OffMM = append(m.OffMM, array(off))
	}
	m.Said = b.in.Say("real-arm.together", "mm", b.in.Length(found.RMS, 2)) + " "
	for _, cause := range found.Unseen {
		if cause.Kind == compare.Zero {
			m.Unseen = append(m.Unseen, kinematics.JointNames[cause.Joint])
		}
	}
	for _, cause := range found.Causes {
		m.Causes = append(m.Causes, b.in.Say("real-arm.cause.left", "cause", causeSaid(cause, arm.Geometry, b.in), "mm", b.in.Length(cause.RMS, 2)))
	}
	mended, does := arm, false
	switch found.Verdict {
	case compare.Agrees:
		m.Said += b.in.Say("real-arm.agrees")
	case compare.CannotTell:
		m.Said += b.in.Say("real-arm.cannot-tell")
	case compare.Named:
		m.Said += b.in.Say("real-arm.named")
		mended, does = found.Causes[0].Mend(arm, tool.Name)
	case compare.NoSingle:
		m.Said += b.in.Say("real-arm.no-single")
		if fit, ok := compare.FitZeros(arm.Geometry, tool.TCP, readings); ok {
			m.Fit = &RealArmFit{BeforeMM: fit.Before, AfterMM: fit.After, AddDeg: fit.Zeros.Degrees(), TCPMM: array(fit.TCP), Unsure: fit.Unsure}
			mended, does = fit.Mend(arm, tool.Name)
			does = does || tool.Name == kinematics.NoTool.Name
		}
	}
	if does {
		m.File = string(mended.Text())
		if again, err := armfile.Parse(ownFileName, []byte(m.File)); err != nil {
			m.File = "" // it is no arm that a file may hold
		} else if left := compare.Diagnose(again.Geometry, toolOf(again, tool).TCP, readings); m.Fit == nil || left.RMS < found.RMS {
			m.LeftMM = left.RMS
		}
	}
	b.tell("real-arm", m)
	return nil
}

// toolOf is the arm's own tool of that name, or that tool.
func toolOf(arm *armfile.Arm, tool kinematics.Tool) kinematics.Tool {
	if own, err := arm.Tool(tool.Name); err == nil {
		return own
	}
	return tool
}

// causeSaid says what a cause is.
func causeSaid(c compare.Cause, arm *kinematics.Arm, in *words.Language) string {
	joint := kinematics.JointNames[c.Joint]
	switch c.Kind {
	case compare.Sign:
		return in.Say("real-arm.cause.sign", "joint", joint)
	case compare.Zero:
		reads := kinematics.Degrees(arm.Joints[c.Joint].Measured - c.Value)
		return in.Say("real-arm.cause.zero", "joint", joint, "at", in.Fixed(kinematics.Degrees(c.Value), 2)+"°", "reads", strconv.FormatFloat(math.Round(reads*100)/100, 'f', -1, 64))
	case compare.Height:
		return in.Say("real-arm.cause.height", "mm", in.Length(c.Value, 1))
	case compare.Tool:
		return in.Say("real-arm.cause.tool", "mm", in.Length(c.Value, 1))
	}
	switch {
	case c.Value > 100:
		return in.Say("real-arm.cause.metres")
	case c.Value > 1:
		return in.Say("real-arm.cause.inches")
	}
	return in.Say("real-arm.cause.file-inches")
}
