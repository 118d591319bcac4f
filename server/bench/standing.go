package bench

import "handrule/scenarios/lesson"

// Standing is how the learner at a bench stands in a lesson, in some hundred bytes, for those who look after many.
type Standing struct {
	Lesson string          `json:"lesson,omitempty"` // its id; "" where they jog freely
	Title  string          `json:"title,omitempty"`  // as its file has it
	Drawn  bool            `json:"drawn,omitempty"`  // its numbers are the learner's own
	At     int             `json:"at,omitempty"`     // the stage, from 0
	Stage  string          `json:"stage,omitempty"`  // its title, as the file has it
	ID     string          `json:"id,omitempty"`     // and its identity
	Stages []StageStanding `json:"stages,omitempty"`
}

// StageStanding is a stage's part of it.
type StageStanding struct {
	Task    bool           `json:"k,omitempty"` // it has a task
	Done    bool           `json:"d,omitempty"` // the task; of a stage without one, that it has been left
	GivenUp bool           `json:"g,omitempty"`
	Tries   int            `json:"n,omitempty"` // that came to an end, the good one included
	Seconds int            `json:"s,omitempty"` // that were spent in it until it was done, in steps of five
	Wrong   *lesson.Answer `json:"w,omitempty"` // the last wrong answer
	ID      string         `json:"i,omitempty"` // its identity, where another learner may have it in another place
}

// secondsStep keeps a standing the same while hardly any time passes.
const secondsStep = 5

// Standing tells how the learner stands.
func (b *Bench) Standing() Standing {
	l := b.lesson
	if l == nil {
		return Standing{}
	}
	at := l.At()
	s := Standing{Lesson: l.Lesson.ID, Title: l.Progress.Title, Drawn: l.Lesson.Deals(), At: at, Stage: l.Progress.Stages[at].Title, ID: l.Progress.Stages[at].ID}
	for i := range l.Progress.Stages {
		p := &l.Progress.Stages[i]
		stage := StageStanding{Task: p.Task != "", Done: p.Done, GivenUp: p.GivenUp, Tries: p.Tries, Seconds: int(p.Seconds) / secondsStep * secondsStep}
		if !stage.Task {
			stage.Done = i != at && p.Seconds > 0
		}
		if s.Drawn {
			stage.ID = p.ID
		}
		if wrong, is := l.Wrong(i); is {
			stage.Wrong = &wrong
		}
		s.Stages = append(s.Stages, stage)
	}
	return s
}

// Lesson returns the lesson that is open, with the learner's own numbers; nil where none is.
func (b *Bench) Lesson() *lesson.Lesson {
	if b.lesson == nil {
		return nil
	}
	return b.lesson.Lesson
}
