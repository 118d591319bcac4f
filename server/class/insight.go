package class

import (
	"encoding/json"

	"handrule/scenarios/ask"
	"handrule/scenarios/lesson"
	"handrule/server/bench"
)

// Insight keeps what a learner's wrong answers reveal, in a lesson with numbers of the learner's own. To compute it takes some
// milliseconds a task; only where the learner's bench is are these numbers known. The zero value is ready for use.
type Insight struct {
	lesson *lesson.Lesson
	found  map[int]found // by stage
}

type found struct {
	answer   string
	thoughts []ask.Thought
}

// of returns what the last wrong answers reveal, by stage; nothing of a task that is no question to a class, or where an answer is
// explained by no usual misconception.
func (i *Insight) of(l *lesson.Lesson, stages []bench.StageStanding) map[int][]ask.Thought {
	if i.lesson != l {
		*i = Insight{lesson: l, found: map[int]found{}}
	}
	all := map[int][]ask.Thought{}
	for n := range stages {
		if stages[n].Wrong == nil {
			continue
		}
		text, err := json.Marshal(stages[n].Wrong)
		if err != nil {
			continue
		}
		f, known := i.found[n]
		if !known || f.answer != string(text) {
			f = found{string(text), ask.Revealed(l, n, *stages[n].Wrong)}
			i.found[n] = f
		}
		if len(f.thoughts) > 0 {
			all[n] = f.thoughts
		}
	}
	return all
}
