package words

import (
	"errors"
	"slices"
)

// Problem is an error that a learner may meet, by the key of its text and what fills that: name, value, name, value. As an
// error it speaks English; Tell says it in another language.
type Problem struct {
	Key    string
	Values []string
}

// NewProblem returns the problem with that text.
func NewProblem(key string, values ...string) Problem { return Problem{key, values} }

func (p Problem) Error() string { return English.Say(p.Key, p.Values...) }

// Tell says what an error is: in this language where it is a Problem, and else as it is.
func (l *Language) Tell(err error) string {
	var p Problem
	if errors.As(err, &p) {
		values := slices.Clone(p.Values)
		for i := 1; i < len(values); i += 2 {
			values[i] = l.Named(values[i])
		}
		return l.Say(p.Key, values...)
	}
	return err.Error()
}
