package class

import (
	"slices"

	"handrule/scenarios/ask"
	"handrule/scenarios/lesson"
	"handrule/words"
)

// Shelf finds lessons in the reader's language and their tasks as questions, and keeps what was computed of them. It is not safe for
// use by several goroutines at once.
type Shelf struct {
	find   func(id string) *lesson.Lesson // as it is offered now; nil where it is not
	spoken map[spokenKey]*lesson.Lesson
	tasks  map[taskKey]*ask.Task // nil for a task that is no question
}

type spokenKey struct {
	file *lesson.Lesson
	code string
}

type taskKey struct {
	of    *lesson.Lesson
	stage int
}

// mostOnShelf bounds what is kept of lessons that are edited while a class goes on.
const mostOnShelf = 1000

// NewShelf returns the shelf of the lessons that find finds.
func NewShelf(find func(id string) *lesson.Lesson) *Shelf {
	return &Shelf{find, map[spokenKey]*lesson.Lesson{}, map[taskKey]*ask.Task{}}
}

// In returns a lesson in a language; nil where there is none.
func (s *Shelf) In(id string, in *words.Language) *lesson.Lesson {
	file := s.find(id)
	if file == nil {
		return nil
	}
	return once(s.spoken, spokenKey{file, in.Code}, func() *lesson.Lesson { return file.In(in) })
}

// stage is the number of the stage, from 0, in the lesson as its file has it; −1 where it is not there.
func (*Shelf) stage(l *lesson.Lesson, at place) int {
	if at.id != "" {
		return slices.IndexFunc(l.Stages, func(s lesson.Stage) bool { return s.ID == at.id })
	}
	if at.stage < 0 || at.stage >= len(l.Stages) {
		return -1
	}
	return at.stage
}

// Task returns the task of a stage as a question; nil where it is none.
func (s *Shelf) Task(at place, in *words.Language) *ask.Task {
	l := s.In(at.lesson, in)
	if l == nil {
		return nil
	}
	stage := s.stage(l, at)
	return once(s.tasks, taskKey{l, stage}, func() *ask.Task {
		task, _ := ask.OfTask(l, stage)
		return task
	})
}

// once returns what is kept by a key, made where it is not yet.
func once[K comparable, V any](all map[K]V, key K, make func() V) V {
	v, is := all[key]
	if !is {
		if len(all) >= mostOnShelf {
			clear(all)
		}
		v = make()
		all[key] = v
	}
	return v
}
