package ask

import (
	"strings"

	"handrule/scenarios/lesson"
	"handrule/scenarios/spoken"
	"handrule/words"
)

// Words is the question as a reader gets it, with what its asker added.
func (a *Asked) Words(in *words.Language) string {
	return strings.TrimSpace(a.kind.asks(a, in) + " " + a.Text)
}

// RightWords is the right answer; "" where there is none.
func (a *Asked) RightWords(in *words.Language) string {
	if !a.Graded() {
		return ""
	}
	return a.kind.tell(a, &a.truth, in)
}

// Tell says an answer, as Take returned it, in a few words.
func (a *Asked) Tell(given Answer, in *words.Language) string { return a.kind.tell(a, &given, in) }

// Why says why the right answer is right, with what was computed; "" where nothing was.
func (a *Asked) Why(in *words.Language) string { return a.kind.why(a, in) }

// Offered are the options to choose from, as they are answered and as they are read; none where the answer is not chosen.
func (a *Asked) Offered(in *words.Language) (answers, read []string) {
	switch a.Kind {
	case Stop:
		for _, word := range lesson.StopWords {
			read = append(read, spoken.StopWord(word, in))
		}
		return lesson.StopWords, read
	case Choice:
		return nil, a.Question.Options
	}
	return nil, nil
}
