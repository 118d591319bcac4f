package bench

import (
	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/kinematics/jog"
	"handrule/scenarios/armfile"
	"handrule/scenarios/cellfile"
	"handrule/scenarios/spoken"
	"handrule/words"
)

// This file writes the arm's own types as messages of the wire: degrees, plain arrays, quaternions.

func array(v r3.Vec) [3]float64 { return [3]float64{v.X, v.Y, v.Z} }

func vector(a [3]float64) r3.Vec { return r3.Vec{X: a[0], Y: a[1], Z: a[2]} }

// PlaceOf is a pose as messages tell it.
func PlaceOf(p kinematics.Pose) Place { return place(p) }

func place(p kinematics.Pose) Place {
	q := p.Rotation.Quaternion()
	return Place{Position: array(p.Position), Quaternion: [4]float64{q.Imag, q.Jmag, q.Kmag, q.Real}}
}

func places(links kinematics.Links) (p [7]Place) {
	for i := range links {
		p[i] = place(links[i])
	}
	return p
}

func capsules(body []kinematics.Capsule) []Capsule {
	views := []Capsule{}
	for _, c := range body {
		views = append(views, Capsule{Link: c.Link, FromMM: array(c.From), ToMM: array(c.To), RadiusMM: c.Radius})
	}
	return views
}

func armMessage(arm *armfile.Arm, tools []kinematics.Tool, in *words.Language) ArmMessage {
	origin := arm.Origin()
	m := ArmMessage{
		ID: arm.ID, Name: arm.Texts.NameIn(in, arm.Name), About: arm.Texts.AboutIn(in, arm.About),
		MountHeightMM: arm.MountHeight,
		ReachMM:       arm.Geometry.Reach(),
		Origin:        OriginView{FromJ1MM: origin.FromJ1, BelowJoint2MM: origin.BelowJoint2},
		Flange:        place(arm.Geometry.Flange),
		Body:          capsules(arm.Body),
		Meshes:        []MeshView{},
	}
	for _, mesh := range arm.Meshes {
		m.Meshes = append(m.Meshes, MeshView{Link: mesh.Link, Tool: mesh.Tool, File: mesh.File, At: place(mesh.At), Scale: array(mesh.Scale), Colour: mesh.Colour})
	}
	for i, j := range arm.Geometry.Joints {
		m.Joints[i] = JointView{
			Name: j.Name, AtMM: array(j.At), Axis: array(j.Axis), MeasuredDeg: kinematics.Degrees(j.Measured),
			LimitsDeg: [2]float64{kinematics.Degrees(j.Min), kinematics.Degrees(j.Max)},
			SpeedDegS: kinematics.Degrees(j.Speed),
		}
	}
	for _, tool := range append(tools[:len(tools):len(tools)], kinematics.NoTool) {
		_, found := cellfile.FoundTCP(tool.Name)
		m.Tools = append(m.Tools, ToolView{Name: tool.Name, Title: in.Named(tool.Name), TCP: place(tool.TCP), Found: found, Body: capsules(tool.Body)})
	}
	return m
}

// stopView tells why the last motion ended.
func (b *Bench) stopView() any {
	if b.driven.stopped == nil {
		return nil
	}
	m := stopMessage(*b.driven.stopped, b.in)
	m.Count = b.driven.stops
	if b.driven.undone && m.Reason == jog.Done {
		m.Headline, m.Numbers = b.in.Say("stop.undone"), spoken.Undone(*b.driven.stopped, b.in)
	}
	return m
}

func stopMessage(s jog.Stop, in *words.Language) StopMessage {
	m := StopMessage{
		Reason: s.Reason, Direction: s.Jog.Direction, Travel: travel(s.Jog.Direction, s.Travel),
		Cause: spoken.Cause(s, in), Headline: spoken.Headline(s, in), Means: spoken.Means(s, in), Numbers: spoken.Numbers(s, in), Advice: spoken.Advice(s, in), Trouble: s.Trouble(),
	}
	if s.Reason == jog.JointLimit || s.Reason == jog.Singularity {
		m.Joint = kinematics.JointNames[s.Joint]
	}
	if joint, ok := s.Advised(); ok {
		m.Advised = &joint
	}
	return m
}

// travel gives a distance along a jog's path in the unit the page shows.
func travel(d jog.Direction, amount float64) float64 {
	if d.Straight() {
		return amount
	}
	return kinematics.Degrees(amount)
}
