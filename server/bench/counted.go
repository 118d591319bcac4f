package bench

import (
	"errors"
	"maps"
	"slices"
	"time"

	"handrule/scenarios/lesson"
)

// This file sees to it that tries are not won back. Progress lies with the learner, who may hand in an older state of it. What
// was counted of a lesson with these numbers is counted again when older progress is taken up: by the same bench, and in an
// assessment by every bench of the server. Of progress that comes to where nothing is known of it, nobody can say whether it is
// the latest; its result says so.

// Counted is what is known of the progress in lessons, the last of each with its numbers.
type Counted struct {
	most int
	runs map[countedKey]countedRun
	old  []countedKey // in the order in which they came to be known
}

type countedKey struct {
	lesson string
	seed   uint64
}

type countedRun struct {
	stages  map[string]lesson.StageProgress // by identity
	resumed bool                            // from progress of which nothing was known
	began   time.Time
	handed  time.Time
	times   int
	extra   int
	who     string
}

// mostCounted is how many lessons a bench counts in.
const mostCounted = 60

// NewCounted knows nothing yet, and at most so many lessons. With more, it forgets the oldest.
func NewCounted(most int) *Counted {
	return &Counted{most: most, runs: map[countedKey]countedRun{}}
}

// Take takes down what was counted in a run.
func (c *Counted) Take(run *lesson.Run, resumed bool) {
	key := countedKey{run.Lesson.ID, run.Lesson.Seed}
	before, known := c.runs[key]
	p := &run.Progress
	now := countedRun{maps.Clone(before.stages), resumed, p.Began, p.Handed, max(p.Times, before.times), p.Extra, p.ExtraFor}
	if now.stages == nil {
		now.stages = map[string]lesson.StageProgress{}
	}
	for _, s := range p.Stages {
		old := now.stages[s.ID]
		countAgain(&s, &old)
		if run.Lesson.Assessment != nil {
			doneAgain(&s, &old)
		}
		now.stages[s.ID] = s
	}
	if !known {
		c.old = append(c.old, key)
		if len(c.old) > c.most {
			delete(c.runs, c.old[0])
			c.old = slices.Delete(c.old, 0, 1)
		}
	}
	c.runs[key] = now
}

// Again counts again in a run what was counted before, and reports whether tries may have been counted of which nothing is
// known.
func (c *Counted) Again(run *lesson.Run) (resumed bool) {
	known, is := c.runs[countedKey{run.Lesson.ID, run.Lesson.Seed}]
	if !is {
		return true
	}
	p := &run.Progress
	for i := range p.Stages {
		s := &p.Stages[i]
		if old, is := known.stages[s.ID]; is {
			countAgain(s, &old)
			if run.Lesson.Assessment != nil {
				doneAgain(s, &old)
			}
		}
	}
	p.Times = max(p.Times, known.times)
	if !known.began.IsZero() {
		p.Began = known.began
	}
	if !known.handed.IsZero() {
		p.Handed = known.handed
	}
	if known.extra > p.Extra {
		p.Extra, p.ExtraFor = known.extra, known.who
	}
	return known.resumed
}

// Knows reports whether anything is known of a lesson with its numbers.
func (c *Counted) Knows(l *lesson.Lesson) bool {
	_, is := c.runs[countedKey{l.ID, l.Seed}]
	return is
}

// Pack writes down what is known of a lesson with its numbers; nil for nothing.
func (c *Counted) Pack(l *lesson.Lesson) ([]byte, error) {
	known, is := c.runs[countedKey{l.ID, l.Seed}]
	if !is {
		return nil, nil
	}
	run := lesson.NewRun(l)
	for i := range run.Progress.Stages {
		if s, is := known.stages[run.Progress.Stages[i].ID]; is {
			run.Progress.Stages[i] = s
		}
	}
	p := &run.Progress
	p.Began, p.Handed, p.Times, p.Extra, p.ExtraFor = known.began, known.handed, known.times, known.extra, known.who
	packed, err := p.MarshalBinary()
	if err != nil {
		return nil, err
	}
	text := []byte{packedCounted, 0}
	if known.resumed {
		text[1] = 1
	}
	return append(text, packed...), nil
}

// packedCounted counts the forms of what Pack writes.
const packedCounted = 1

// Unpack takes down what Pack has written of this lesson, beside what is known.
func (c *Counted) Unpack(l *lesson.Lesson, text []byte) error {
	if len(text) < 2 || text[0] != packedCounted || text[1] > 1 {
		return errors.New("this is nothing that was counted")
	}
	var p lesson.Progress
	if err := p.UnmarshalBinary(text[2:]); err != nil {
		return err
	}
	run := lesson.NewRun(l)
	if err := run.Resume(p); err != nil {
		return err
	}
	known := c.runs[countedKey{l.ID, l.Seed}]
	c.Again(run) // so that of both the more counts
	c.Take(run, text[1] == 1 || known.resumed)
	return nil
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

// doneAgain sets a stage of an assessment to be done where it was: each of its deals is begun once, so what was done in it lasts.
func doneAgain(s, old *lesson.StageProgress) {
	if !old.Done || s.Done || s.GivenUp {
		return
	}
	done := *old
	countAgain(&done, s)
	*s = done
}
