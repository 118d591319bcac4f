package ask

import (
	"errors"
	"slices"
	"strings"

	"handrule/kinematics/jog"
	"handrule/scenarios/jogfile"
	"handrule/scenarios/lesson"
	"handrule/words"
)

// Task is the task of a lesson's stage as a question, so that wrong answers to it can be grouped in the same way.
type Task struct {
	*Asked
	lesson *lesson.Lesson
	task   lesson.Task
	d      *jog.Drive
}

// errNoQuestion is the error of a task whose answers cannot be grouped.
var errNoQuestion = errors.New("this task is not a question to a class")

// OfTask returns the task of a stage as a question, with all of it computed. The error says that it is none, or not of an arm of
// which is known where it stands.
func OfTask(l *lesson.Lesson, stage int) (*Task, error) {
	if stage < 0 || stage >= len(l.Stages) || l.Stages[stage].GoOn {
		return nil, errNoQuestion
	}
	s := &l.Stages[stage]
	d, err := l.Drive(s.Begin)
	if err != nil {
		return nil, err
	}
	var before *earlier
	q, err := lesson.ByKind(s.Task, func(*lesson.Reach) asks {
		return asks{err: errNoQuestion}
	}, func(p *lesson.Predict) asks {
		kind, asked := map[lesson.Ask]Kind{"direction": Way, "joints": Joints, "stop": Stop}[p.Ask]
		if !asked {
			return asks{err: errNoQuestion}
		}
		return asks{of: Question{Kind: kind, Jog: jogfile.Line(p.Jog[0])}}
	}, func(r *lesson.Read) asks {
		if of := string(r.Measure); of != "joint" && !slices.Contains(ofPlace, of) && !slices.Contains(ofTurn, of) {
			return asks{err: errNoQuestion}
		}
		q := Question{Kind: Number, Measure: Measure{Of: string(r.Measure)}, Unit: words.Unit(r.Unit)}
		frame, task, _ := strings.Cut(string(r.Frame), " ")
		q.Measure.Frame, q.Measure.Task = jog.Frame(frame), task
		if r.Joint != nil {
			q.Measure.Joint = int(*r.Joint)
		}
		var err error
		if len(r.After) > 0 {
			before = &earlier{d, r.After}
			d, err = lesson.After(d, r.After)
		}
		return asks{of: q, err: err}
	}, func(c *lesson.Choose) asks {
		truth, err := c.Truth(l, d)
		q := Question{Kind: Choice, Text: c.Question, Right: truth.Answer.Options}
		for i := range c.Options {
			q.Options = append(q.Options, c.Options[i].Text)
		}
		return asks{of: q, err: err}
	}, func(*lesson.Free) asks {
		return asks{err: errNoQuestion}
	}).question()
	if err != nil {
		return nil, err
	}
	a, err := q.Of(d)
	if err != nil {
		return nil, err
	}
	a.before = before
	if p := s.Predict; p != nil && a.Kind == Joints && p.Tolerance > 0 {
		a.moving = float64(p.Tolerance)
	} else if p != nil && a.Kind == Way && p.Point == lesson.PointFlange {
		if a.flange = a.turnsFlange(); !a.flange {
			return nil, errNoQuestion
		}
	}
	a.Finish()
	return &Task{a, l, s.Task, d}, nil
}

// asks is a task as a question, or why it is none.
type asks struct {
	of  Question
	err error
}

func (a asks) question() (Question, error) {
	if a.err == nil && a.of.Kind == "" { // a stage without a task
		return a.of, errNoQuestion
	}
	return a.of, a.err
}

// Take reads what was answered in the lesson.
func (t *Task) Take(given lesson.Answer) (Answer, error) {
	a := Answer{Arrow: given.Arrow, Joints: given.Joints, Stop: given.Stop, Number: given.Number, Options: given.Options}
	if p, is := t.task.(*lesson.Predict); is && given.Arrow == nil && given.Direction != "" {
		way, err := p.Named(t.lesson, t.d, given.Direction)
		if err != nil {
			return Answer{}, err
		}
		a.Arrow = &way
	}
	return t.Asked.Take(a)
}
