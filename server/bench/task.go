package bench

import (
	"math"
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
	m := LessonMessage{Aims: []string{}, Sources: []string{}, Stages: []StageView{}, Hints: []string{}, Allow: l.allowView(b.chosen.Unit), Preparing: b.preparing()}
	if l == nil {
		return m
	}
	lesson, stage := l.Lesson, l.Stage()
	m.ID, m.Title, m.Minutes = lesson.ID, lesson.Title, int(lesson.Minutes)
	m.Aims, m.Sources = b.besideAll(lesson.Aims), append(m.Sources, lesson.Sources...)
	m.Assessment = l.assessmentView()
	if m.Drawn = lesson.Deals() && !l.assessed(); m.Drawn {
		m.Seed = int64(lesson.Seed) // That of an assessment stays here.
	}
	m.Edition, m.Stage, m.HTML = l.edition, l.At(), b.beside(stage.HTML)
	for i, p := range l.Scored().Stages {
		worth := lesson.Worth(&lesson.Stages[i])
		if !l.HandedIn() {
			p.Earned = 0
		}
		if i == l.At() && !l.Progress.Over() {
			p.Seconds = 0 // They pass; they are told when the stage is left, so that the lesson is not told anew all the time.
		}
		m.Stages = append(m.Stages, StageView{
			Title: lesson.Stages[i].Title, Task: p.Task, Done: p.Done, GivenUp: p.GivenUp, Tries: p.Tries,
			Seconds: p.Seconds, Jogs: p.Jogs, Contacts: p.Contacts, Hints: p.Hints,
			Points: worth.Points, Late: worth.Late, TriesMay: worth.Tries, Earned: p.Earned,
		})
	}
	m.Hints = b.besideAll(l.Hints())
	if shown := len(m.Hints); shown < len(stage.Hints) {
		m.NextHint = stage.Hints[shown].After
	}
	m.Over = l.Progress.Over()
	m.Face = l.face
	if l.Waits() {
		m.HTML, m.Hints, m.NextHint = "", []string{}, 0
		return m
	}
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

// beside is a text of the lesson's author with inches beside every length, for whoever reads in inches; but where a stage asks to
// turn a length into inches.
func (b *Bench) beside(text string) string {
	if t, read := b.lesson.Stage().Task.(*lesson.Read); read && t.AnswerUnit() == "inch" {
		return text
	}
	return b.in.Beside(text)
}

func (b *Bench) besideAll(texts []string) []string {
	all := make([]string, len(texts))
	for i, text := range texts {
		all[i] = b.beside(text)
	}
	return all
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
		Right: right.Words, Why: l.why, Shown: l.shown, Left: l.TriesLeft(), MayTry: l.MayTry(),
	}
	switch {
	case p.Done:
		v.State = TaskDone
	case p.GivenUp, l.HandedIn():
		v.State = TaskGivenUp
	case !l.MayJog() && !l.AnswerFirst():
		v.State = TaskFailed
	}
	if (v.State == TaskDone || v.State == TaskGivenUp) && !l.counts() {
		v.Explain = b.beside(l.Stage().ExplainHTML)
	}
	if l.verdict != nil {
		v.Verdict = verdictView(l.verdict, task)
		if !l.Reveals() {
			v.Verdict.Error = nil
		}
	}
	// Each fills in the view of its kind.
	lesson.ByKind(task, func(t *lesson.Reach) any {
		v.Reach = l.reachView(t, b)
		return v.Reach
	}, func(t *lesson.Predict) any {
		v.Predict = l.predictView(t, right.Answer.Arrow, b.in)
		return v.Predict
	}, func(t *lesson.Read) any {
		v.Read = &ReadView{
			Measure: string(t.Measure), Frame: string(t.Frame), Joint: jointName((*int)(t.Joint)),
			Unit: t.AnswerUnit(), Tolerance: float64(t.Tolerance), Jogs: []string{},
		}
		for _, j := range slices.Concat(t.After, t.Jog) {
			v.Read.Jogs = append(v.Read.Jogs, spoken.Jog(j, b.in))
		}
		if t.Toward != nil {
			v.Read.Jogs = append(v.Read.Jogs, spoken.Jog(jog.Jog{Direction: *t.Toward, Amount: math.Inf(1)}, b.in))
		}
		return v.Read
	}, func(t *lesson.Choose) any {
		v.Choose = &ChooseView{Question: b.beside(t.Question), Several: t.Several}
		for i := range t.Options {
			v.Choose.Options = append(v.Choose.Options, b.beside(t.Options[i].Text))
		}
		v.Right, v.Why = b.beside(v.Right), b.beside(v.Why)
		if v.Verdict != nil {
			v.Verdict.Given, v.Verdict.Words = b.beside(v.Verdict.Given), b.beside(v.Verdict.Words)
		}
		return v.Choose
	}, func(t *lesson.Free) any {
		v.Free = &FreeView{Enough: t.Needed()}
		for i := range t.Notice {
			v.Free.Notice = append(v.Free.Notice, NoticeView{Text: b.beside(t.Notice[i].Text), Happened: slices.Contains(p.Noticed, i)})
		}
		return v.Free
	})
	return v
}

// verdictView leaves out how far off a number was that is still asked for: with it anybody could work out the answer.
func verdictView(v *lesson.Verdict, task lesson.Task) *VerdictView {
	view := &VerdictView{Done: v.Done, Words: v.Words, Given: v.Given, Several: v.Several, Told: v.Told, Part: v.Part, OfNow: v.OfNow, Error: v.Error, Unit: v.Unit}
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
		Posture: []Posture{}, Frames: append([]jog.Frame{}, r.Frames...), Taught: r.Taught, MostJogs: int(r.MostJogs), NoContact: r.NoContact,
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
		Jog: spoken.Jog(p.Jog[0], in), Ask: string(p.Ask), Point: string(p.Point), Frame: frameOr(string(p.Frame)), Options: []string{}, Ways: [][3]float64{}, Within: p.Within(),
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
