package bench

import (
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/kinematics/jog"
	"handrule/scenarios/lesson"
	"handrule/scenarios/spoken"
	"handrule/words"
)

// This file tells the page of the open lesson and its task.

func (b *Bench) lessonMessage() LessonMessage {
	l := b.lesson
	m := LessonMessage{Aims: []string{}, Sources: []string{}, Stages: []StageView{}, Hints: []string{}, Allow: l.allowView()}
	if l == nil {
		return m
	}
	lesson, stage := l.Lesson, l.Stage()
	m.ID, m.Title, m.Minutes = lesson.ID, lesson.Title, int(lesson.Minutes)
	m.Aims, m.Sources = append(m.Aims, lesson.Aims...), append(m.Sources, lesson.Sources...)
	m.Drawn, m.Seed = len(lesson.Draw) > 0, int64(lesson.Seed)
	m.Edition, m.Stage, m.HTML = l.edition, l.At(), stage.HTML
	for _, p := range l.Progress.Stages {
		m.Stages = append(m.Stages, StageView{
			Title: p.Title, Task: p.Task, Done: p.Done, GivenUp: p.GivenUp, Tries: p.Tries,
			Seconds: p.Seconds, Jogs: p.Jogs, Contacts: p.Contacts, Hints: p.Hints,
		})
	}
	m.Hints = append(m.Hints, l.Hints()...)
	if shown := len(m.Hints); shown < len(stage.Hints) {
		m.NextHint = stage.Hints[shown].After
	}
	m.Over = l.Progress.Over()
	if v := stage.View; v != nil {
		m.View = &ViewFrom{FromMM: array(v.From), AtMM: array(v.At)}
	}
	if stage.Task == nil {
		return m
	}
	m.Task = l.taskView(b)
	m.Target = targetView(l.target(), m.Task.State == TaskDone)
	return m
}

// target is where the stage wants the TCP; nil where it wants it nowhere.
func (l *lessonRun) target() *lesson.Target {
	if l == nil {
		return nil
	}
	if reach, ok := l.Stage().Task.(*lesson.Reach); ok {
		return reach.Target(l.Lesson)
	}
	return nil
}

func targetView(t *lesson.Target, reached bool) *TargetView {
	if t == nil {
		return nil
	}
	at := kinematics.Pose{Position: t.Position, Rotation: kinematics.NoRotation}
	if t.Rotation != nil {
		at.Rotation = *t.Rotation
	}
	return &TargetView{
		Place: place(at), Reached: reached, HasRotation: t.Rotation != nil,
		ToleranceMM: t.Tolerance, ToleranceDeg: kinematics.Degrees(t.TurnTolerance),
	}
}

func (l *lessonRun) taskView(b *Bench) *LessonTask {
	p, task := l.Progress.Stages[l.At()], l.Stage().Task
	right := l.Right(l.begin)
	v := &LessonTask{
		Kind: task.Kind(), State: TaskOpen, Tries: p.Tries, Jogs: l.jogs, Moved: b.drive().Joints() != l.begin.Joints(),
		Right: right.Words,
	}
	switch {
	case p.Done:
		v.State = TaskDone
	case p.GivenUp:
		v.State = TaskGivenUp
	case !l.MayJog() && task.Kind() != "predict":
		v.State = TaskFailed
	}
	if l.verdict != nil {
		v.Verdict = verdictView(l.verdict, task)
	}
	switch task := task.(type) {
	case *lesson.Reach:
		v.Reach = l.reachView(task, b)
	case *lesson.Predict:
		v.Predict = l.predictView(task, right.Answer.Arrow, b.in)
	case *lesson.Read:
		v.Read = &ReadView{
			Measure: string(task.Measure), Frame: string(task.Frame), Joint: jointName((*int)(task.Joint)),
			Unit: task.AnswerUnit(), Tolerance: float64(task.Tolerance),
		}
	case *lesson.Choose:
		v.Choose = &ChooseView{Question: task.Question, Several: task.Several}
		for i := range task.Options {
			v.Choose.Options = append(v.Choose.Options, task.Options[i].Text)
		}
	case *lesson.Free:
		v.Free = &FreeView{Enough: int(task.Enough)}
		if v.Free.Enough == 0 {
			v.Free.Enough = len(task.Notice)
		}
		for i := range task.Notice {
			v.Free.Notice = append(v.Free.Notice, NoticeView{Text: task.Notice[i].Text, Happened: slices.Contains(p.Noticed, i)})
		}
	}
	return v
}

// verdictView leaves out how far off a number was that is still asked for: with it anybody could work out the answer.
func verdictView(v *lesson.Verdict, task lesson.Task) *VerdictView {
	view := &VerdictView{Done: v.Done, Words: v.Words, Given: v.Given, Error: v.Error, Unit: v.Unit}
	if _, read := task.(*lesson.Read); read && !v.Done {
		view.Error = nil
	}
	return view
}

func (l *lessonRun) reachView(r *lesson.Reach, b *Bench) *ReachView {
	mm, rad := r.Off(l.Lesson, b.drive())
	v := &ReachView{
		Frame: frameOr(string(r.Frame)), Joint: jointName((*int)(r.Joint)),
		ToleranceMM: float64(r.Tolerance), ToleranceDeg: kinematics.Degrees(float64(r.TurnTolerance)),
		OffMM: mm, OffDeg: kinematics.Degrees(rad),
		Posture: []Posture{}, Frames: append([]jog.Frame{}, r.Frames...), MostJogs: int(r.MostJogs), NoContact: r.NoContact,
		PathFactor: float64(r.PathFactor), KeepDirection: kinematics.Degrees(float64(r.KeepDirection)),
	}
	for _, w := range r.Posture(b.mounted.arm.Geometry.Posture(b.drive().Joints())) {
		v.Posture = append(v.Posture, Posture(w))
	}
	if r.Position != nil {
		at := array(*r.Position)
		v.PositionMM = &at
	}
	if r.Rotation != nil {
		angles, _ := r.Rotation.FixedXYZ()
		deg := kinematics.Degrees3(array(angles))
		v.RotationDeg = &deg
	}
	if r.Angle != nil {
		v.AngleDeg = kinematics.Degrees(float64(*r.Angle))
	}
	return v
}

// predictView tells of a prediction; the truth is nil where it may not be shown or is no direction.
func (l *lessonRun) predictView(p *lesson.Predict, truth *r3.Vec, in *words.Language) *PredictView {
	v := &PredictView{
		Jog: spoken.Jog(p.Jog[0], in), Ask: string(p.Ask), Point: string(p.Point), Frame: frameOr(string(p.Frame)), Options: []string{}, Ways: [][3]float64{},
	}
	if v.Point == "" {
		v.Point = "tcp"
	}
	switch p.Ask {
	case "direction":
		v.Options = lesson.NamedDirections
		for _, name := range v.Options {
			way, _ := p.Named(l.Lesson, l.begin, name) // The lesson was checked.
			v.Ways = append(v.Ways, array(way))
		}
		if truth != nil {
			way := array(*truth)
			v.Truth = &way
		}
	case "stop":
		v.Options = lesson.StopWords
	}
	at := l.begin.TCP()
	if v.Point == "flange" {
		at = l.begin.Arm().Forward(l.begin.Joints())
	}
	v.At = place(at)
	return v
}

// frameOr is the frame a lesson names, or the base frame.
func frameOr(name string) string {
	if name == "" {
		return "base"
	}
	return name
}

func jointName(joint *int) string {
	if joint == nil {
		return ""
	}
	return kinematics.JointNames[*joint]
}
