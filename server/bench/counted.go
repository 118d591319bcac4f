package bench

import (
	"maps"

	"handrule/scenarios/lesson"
)

// This file sees to it that tries are not won back. Progress lies with the learner, who may hand in an older state of it. What a
// bench has counted of a lesson with these numbers, it counts again when older progress is taken up. Of progress that comes to
// a bench that knows nothing of it, nobody can say whether it is the latest; its result says so.

// counted is what a bench knows of the progress in lessons, the last of each with its numbers.
type counted map[countedKey]countedRun

type countedKey struct {
	lesson string
	seed   uint64
}

type countedRun struct {
	stages  map[string]lesson.StageProgress // by identity
	resumed bool                            // from progress of which the bench knew nothing
}

// mostCounted is how many lessons a bench counts in. With more, what is known is forgotten.
const mostCounted = 60

// take takes down what was counted in a run.
func (c counted) take(l *lessonRun) {
	key := countedKey{l.Lesson.ID, l.Lesson.Seed}
	before := c[key]
	now := countedRun{stages: maps.Clone(before.stages), resumed: l.resumed}
	if now.stages == nil {
		now.stages = map[string]lesson.StageProgress{}
	}
	for _, s := range l.Progress.Stages {
		old := now.stages[s.ID]
		countAgain(&s, &old)
		now.stages[s.ID] = s
	}
	if len(c) >= mostCounted {
		clear(c)
	}
	c[key] = now
}

// again counts again, in progress that was taken up, what was counted before, and reports whether the bench knew nothing.
func (c counted) again(run *lesson.Run) (resumed bool) {
	known, is := c[countedKey{run.Lesson.ID, run.Lesson.Seed}]
	if !is {
		return true
	}
	for i := range run.Progress.Stages {
		s := &run.Progress.Stages[i]
		if old, is := known.stages[s.ID]; is {
			countAgain(s, &old)
		}
	}
	return known.resumed
}

// countAgain sets what is counted in a stage to no less than it was.
func countAgain(s, old *lesson.StageProgress) {
	s.Tries, s.Hints, s.Jogs, s.Contacts = max(s.Tries, old.Tries), max(s.Hints, old.Hints), max(s.Jogs, old.Jogs), max(s.Contacts, old.Contacts)
	s.Seconds = max(s.Seconds, old.Seconds)
	if len(old.Answers) > len(s.Answers) {
		s.Answers = old.Answers
	}
	if old.GivenUp {
		s.GivenUp, s.Done = true, false
	}
}
