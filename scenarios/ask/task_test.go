package ask_test

import (
	"testing"

	"handrule/scenarios"
	"handrule/scenarios/ask"
	"handrule/scenarios/lesson"
	"handrule/words"
)

// Every question of the shipped lessons that can be one to a class has the same right answer there, in every language, and a wrong
// answer to it is told as something.
func TestTasksOfLessonsAreQuestions(t *testing.T) {
	n := 0
	for _, file := range scenarios.ShippedLessons() {
		for _, in := range words.Languages {
			l := file.In(in)
			for i := range l.Stages {
				s := &l.Stages[i]
				task, isAsked := s.Task.(lesson.Asked)
				q, err := ask.OfTask(l, i)
				if err != nil {
					continue
				}
				if !isAsked {
					t.Fatalf("%s, stage %d asks nothing", l.ID, i+1)
				}
				d, err := l.Drive(s.Begin)
				if err != nil {
					t.Fatal(err)
				}
				truth, err := task.Truth(l, d)
				if err != nil {
					t.Fatal(err)
				}
				right, err := q.Take(truth.Answer)
				if err != nil || !q.Right(right) {
					t.Errorf("%s, stage %d: right in the lesson is %s, to a class %s (%v)", l.ID, i+1, truth.Words, q.RightWords(in), err)
				}
				if q.Words(in) == "" || q.RightWords(in) == "" {
					t.Errorf("%s, stage %d says nothing", l.ID, i+1)
				}
				n++
			}
		}
	}
	if n < 140 {
		t.Errorf("only %d tasks", n)
	}
}
