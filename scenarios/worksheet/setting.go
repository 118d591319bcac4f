package worksheet

import (
	"cmp"
	"html/template"
	"slices"
	"strings"

	"handrule/kinematics"
	"handrule/kinematics/clearance"
	"handrule/kinematics/jog"
	"handrule/scenarios/lesson"
	"handrule/scenarios/spoken"
)

// setting is all there is to know of the arm and its cell to solve the tasks: three tables.
type setting struct {
	Origin   string        // where the base frame is
	Drawings template.HTML // of the arm at its start, with all frames
	At       string        // at which joints it is there
	Joints   [][]string
	Frames   [][]string
	Things   [][]string
}

// keys are the letters that stand for things in the drawings.
const keys = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ"

// keyedThings are the cell's things, each with a letter as long as there are any.
func (w *writer) keyedThings() (all []keyed) {
	for _, t := range w.l.Surroundings().Things {
		key := ""
		if t.Name != clearance.MountingSurface && len(all) < len(keys) {
			key = keys[len(all) : len(all)+1]
		}
		all = append(all, keyed{key, t})
	}
	return all
}

func (w *writer) setting(width float64) (s setting, err error) {
	start := w.l.Arm.Geometry.Start()
	d, err := w.l.Drive(start)
	if err != nil {
		return s, err
	}
	arm, setup := w.l.Arm, d.Setup()
	o := arm.Origin()
	mm := func(x float64) string { return w.in.Short(x, 1) + " mm" }
	s.Origin = w.in.Say("sheet.origin", "arm", arm.Texts.NameIn(w.in, arm.Name), "height", mm(o.AboveMount))
	s.At = w.in.Say("sheet.at-zero")
	if start != (kinematics.Joints{}) {
		s.At = w.in.Say("sheet.at-joints", "joints", w.joints(start))
	}
	links := arm.Geometry.Links(start)
	for i, j := range arm.Geometry.Joints {
		at, axis := links[i].Apply(j.At), links[i].Rotation.Apply(j.Axis)
		s.Joints = append(s.Joints, []string{kinematics.JointNames[i], w.place(at, 1), w.axis(axis.X, axis.Y, axis.Z), w.degrees(j.Min) + " … " + w.degrees(j.Max)})
	}
	s.Joints = append(s.Joints,
		[]string{w.in.Say("sheet.flange"), w.place(arm.Geometry.Forward(start).Position, 1), "", ""},
		[]string{"TCP", w.place(d.TCP().Position, 1), "", ""})
	all := lesson.Stage{}
	for _, t := range setup.Tasks {
		all.Text += lesson.Prose(" *" + t.Name + "*")
	}
	zero, err := w.sceneOf(&all, start)
	if err != nil {
		return s, err
	}
	s.Drawings = template.HTML(zero.drawings(width, w.in))
	if w.l.Cell == nil {
		return s, nil
	}
	frame := func(name string, p kinematics.Pose) {
		a, _ := p.Rotation.FixedXYZ()
		s.Frames = append(s.Frames, []string{name, w.place(p.Position, 1), w.degrees(round(a.X)) + ", " + w.degrees(round(a.Y)) + ", " + w.degrees(round(a.Z))})
	}
	frame(spoken.FrameName(jog.BaseFrame, "", w.in), setup.Mount)
	for _, t := range setup.Tasks {
		frame(spoken.FrameName(jog.TaskFrames, t.Name, w.in), t.Pose)
	}
	for _, t := range w.keyedThings() {
		if t.key == "" {
			continue
		}
		size, turned := "", ""
		switch shape := t.Shape.(type) {
		case clearance.Box:
			size = w.in.Say("sheet.box", "x", w.in.Short(shape.Size.X, 1), "y", w.in.Short(shape.Size.Y, 1), "z", w.in.Short(shape.Size.Z, 1))
		case clearance.Cylinder:
			size = w.in.Say("sheet.cylinder", "radius", w.in.Short(shape.Radius, 1), "length", w.in.Short(shape.Height, 1))
		case clearance.Sphere:
			size = w.in.Say("sheet.sphere", "radius", w.in.Short(shape.Radius, 1))
		case clearance.HalfSpace:
			size = w.in.Say("sheet.plane")
		}
		if a, _ := t.Pose.Rotation.FixedXYZ(); a.X != 0 || a.Y != 0 || a.Z != 0 {
			turned = w.degrees(round(a.X)) + ", " + w.degrees(round(a.Y)) + ", " + w.degrees(round(a.Z))
		}
		s.Things = append(s.Things, []string{t.key, w.in.Named(t.Name), w.place(t.Pose.Position, 1), size, turned})
	}
	return s, nil
}

// round takes off what is left of computing an angle.
func round(rad float64) float64 {
	const fine = 1e-9
	if rad < fine && rad > -fine {
		return 0
	}
	return rad
}

// axis names a direction: an axis of the base frame, or its three parts.
func (w *writer) axis(x, y, z float64) string {
	for i, part := range []float64{x, y, z} {
		if other := x*x + y*y + z*z - part*part; other < 1e-12 {
			if part < 0 {
				return "−" + "XYZ"[i:i+1]
			}
			return "+" + "XYZ"[i:i+1]
		}
	}
	return "(" + strings.Join([]string{w.in.Short(x, 3), w.in.Short(y, 3), w.in.Short(z, 3)}, w.in.Say("sheet.between")) + ")"
}

// framesOf are those that a stage is about: the base frame, with a cell the world frame, and those that its task or its text
// speaks of.
func (w *writer) framesOf(s *lesson.Stage, d *jog.Drive) (all []drawnFrame) {
	setup := d.Setup()
	names := []string{"base"}
	if w.l.Cell != nil {
		names = append(names, "world")
	}
	spoken := strings.Contains(strings.ToLower(string(s.Text)), w.in.Say("sheet.frame.world"))
	add := func(word string) {
		spoken = spoken || word == "world"
		if word != "" && word != "joint" && !slices.Contains(names, word) {
			names = append(names, word)
		}
	}
	jogs := func(all lesson.Jogs) {
		for _, j := range all {
			add(strings.TrimSpace(string(j.Frame) + " " + j.Task))
		}
	}
	quantity := func(q *lesson.Quantity) {
		add(string(q.Frame))
		jogs(q.After)
		jogs(q.Jog)
		if q.Toward != nil {
			jogs(lesson.Jogs{{Direction: *q.Toward}})
		}
	}
	switch {
	case s.Reach != nil:
		add(string(s.Reach.Frame))
	case s.Predict != nil:
		add(string(s.Predict.Frame))
		jogs(s.Predict.Jog)
	case s.Read != nil:
		quantity(&s.Read.Quantity)
	case s.Choose != nil:
		for i := range s.Choose.Options {
			if c := s.Choose.Options[i].When; c != nil {
				quantity(&c.Quantity)
			}
		}
		text := said(s)
		for _, frame := range []string{"world", "tool", "task"} {
			if !speaksOf(text, w.in.Say("jog.frame."+frame)) {
				continue
			}
			if frame != "task" {
				add(frame)
				continue
			}
			for _, t := range setup.Tasks {
				add("task " + t.Name)
			}
		}
	}
	for _, t := range setup.Tasks {
		if strings.Contains(string(s.Text), "*"+t.Name+"*") {
			add("task " + t.Name)
		}
	}
	for _, name := range names {
		frame, task, _ := strings.Cut(name, " ")
		pose, err := setup.Frame(jog.Frame(frame), task, d.TCP())
		if err != nil {
			continue // "task" alone is any of them.
		}
		label := task
		if label == "" {
			label = w.in.Say("sheet.frame." + frame)
		}
		all = append(all, drawnFrame{name, label, setup.Mount.Mul(pose), name == "world" && !spoken})
	}
	return all
}

// isAsked reports whether a stage asks for a number in the frame.
func (f drawnFrame) isAsked(s *lesson.Stage) bool {
	return s.Read != nil && cmp.Or(string(s.Read.Frame), "base") == f.word
}
