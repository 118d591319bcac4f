package words

import "errors"

// Problem is an error that a learner may meet, by the key of its text and what fills that: name, value, name, value. A value is a
// text, or a Millimetres that is read in the learner's unit. As an error it speaks English; Tell says it in another language.
type Problem struct {
	Key    string
	Values []any
}

// Millimetres is a length in a Problem. It is told to a hundredth at most.
type Millimetres float64

// NewProblem returns the problem with that text.
func NewProblem(key string, values ...any) Problem { return Problem{key, values} }

func (p Problem) Error() string { return English.Tell(p) }

// Tell says what an error is: in this language where it is a Problem, and else as it is.
func (l *Language) Tell(err error) string {
	var p Problem
	if errors.As(err, &p) {
		values := make([]string, len(p.Values))
		for i, value := range p.Values {
			switch value := value.(type) {
			case Millimetres:
				values[i] = l.ShortLength(float64(value), 2)
			case string:
				values[i] = value
				if i%2 == 1 {
					values[i] = l.Named(value)
				}
			}
		}
		return l.Say(p.Key, values...)
	}
	return err.Error()
}
