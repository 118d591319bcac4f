package ask

import (
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"handrule/words"
)

// choice is a question with options, which somebody wrote.
type choice struct{}

func (choice) begin(a *Asked) error {
	switch n := len(a.Question.Options); {
	case a.Text == "":
		return words.NewProblem("ask.bad.no-text")
	case n < 2:
		return words.NewProblem("ask.bad.few-options")
	case n > mostOptions:
		return words.NewProblem("ask.bad.many-options", "most", strconv.Itoa(mostOptions))
	}
	options := slices.Clone(a.Question.Options)
	for i := range options {
		options[i] = strings.Join(strings.Fields(options[i]), " ")
		switch {
		case options[i] == "":
			return words.NewProblem("ask.bad.empty-option", "option", strconv.Itoa(i+1))
		case utf8.RuneCountInString(options[i]) > longestOption:
			return words.NewProblem("ask.bad.long-option", "option", strconv.Itoa(i+1), "most", strconv.Itoa(longestOption))
		case slices.Contains(options[:i], options[i]):
			return words.NewProblem("ask.bad.same-option", "option", strconv.Itoa(i+1))
		}
	}
	right, err := takeSome(a.Question.Right, len(options), "options")
	if err != nil {
		return words.NewProblem("ask.bad.right")
	}
	a.Question.Options, a.Question.Right = options, right
	a.truth = Answer{Options: right}
	return nil
}

func (choice) clear(*Asked) error { return nil }

// Who chooses nothing has not answered.
func (choice) take(a *Asked, given Answer) (Answer, error) {
	some, err := takeSome(given.Options, len(a.Question.Options), "options")
	if err == nil && len(some) == 0 {
		err = words.NewProblem("ask.bad.none-chosen")
	}
	return Answer{Options: some}, err
}

func (choice) apart(_ *Asked, x, y *Answer) float64 { return equal(slices.Equal(x.Options, y.Options)) }

// What an option reveals is known to who wrote it.
func (choice) beliefs(*Asked) []belief { return nil }

func (choice) asks(a *Asked, _ *words.Language) string { return "" }

func (choice) why(*Asked, *words.Language) string { return "" }

func (choice) tell(a *Asked, given *Answer, in *words.Language) string {
	var texts []string
	for _, i := range given.Options {
		texts = append(texts, a.Question.Options[i])
	}
	return strings.Join(texts, in.Say("ask.and"))
}

// Several reports whether more than one option may be chosen. It is told to everybody, so it must not tell how many are right:
// where none or one is, several may be chosen only if the question says so by its right answers.
func (a *Asked) Several() bool { return a.Kind == Choice && len(a.Question.Right) > 1 }
