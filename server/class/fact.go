package class

import (
	"crypto/sha256"
	"encoding/base32"
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"handrule/server/bench"
)

// This file is what is kept of a class: facts under keys, each a JSON object. Every fact is written by one side: what the instructor
// decides, what a learner says, what a bench tells. So processes that serve pages of the same class need no lock and no leader:
// each writes what its own pages say, and computes what they see from what all have written.

// FactVersion counts the forms of facts.
const FactVersion = 1

// Head is what the instructor decides for all. Its key is the code alone, with "head".
type Head struct {
	Version       int       `json:"v"`
	Title         string    `json:"title"`
	Opened        time.Time `json:"opened"`
	Ended         time.Time `json:"ended,omitzero"`
	AskFor        []string  `json:"ask_for,omitempty"`
	Locked        bool      `json:"locked,omitempty"`
	NamesHidden   bool      `json:"names_hidden,omitempty"`
	Eyes          bool      `json:"eyes,omitempty"`
	Sent          SentView  `json:"sent,omitzero"`
	CountdownEnds time.Time `json:"countdown_ends,omitzero"`
	Driver        string    `json:"driver,omitempty"`   // learner; "" for the instructor
	Question      int       `json:"question,omitempty"` // how many were asked
}

// Person is a learner as they named themselves.
type Person struct {
	Name    string    `json:"name"`
	Number  string    `json:"number,omitempty"`
	Email   string    `json:"email,omitempty"`
	Joined  time.Time `json:"joined"`
	Removed bool      `json:"removed,omitempty"` // by the instructor
}

// Hand is a hand that is up.
type Hand struct {
	Since time.Time `json:"since"`
}

// ToOne is what the instructor sent to one learner.
type ToOne struct {
	Hint  string   `json:"hint,omitempty"`
	Hints int      `json:"hints,omitempty"`
	Sent  SentView `json:"sent,omitzero"`
}

// Asked is a question, and how far it is.
type Asked struct {
	Ask   AskRequest    `json:"ask"`
	Bench []byte        `json:"bench"` // the demonstrated arm as it stood, see bench.Snapshot
	Round int           `json:"round"`
	State QuestionState `json:"state"`
	At    time.Time     `json:"at"`
}

// Answer is a learner's answer in a round.
type Answer struct {
	Reply ReplyRequest `json:"reply"`
	At    time.Time    `json:"at"`
}

// Result is the result of a lesson that was done in the class.
type Result struct {
	Text   string    `json:"text"` // as the server signed it
	Lesson string    `json:"lesson"`
	At     time.Time `json:"at"`
}

// Stand is where an arm of the class stood last.
type Stand struct {
	Scene  bench.SceneRequest `json:"scene"`
	Lesson string             `json:"lesson,omitempty"` // that it is in; "" for none
	Stage  int                `json:"stage,omitempty"`  // from 0
	Bench  []byte             `json:"bench"`            // see bench.Snapshot
}

// Words of keys.
const (
	headWord     = "head"
	learnerWord  = "learner"
	handWord     = "hand"
	toWord       = "to"
	standingWord = "standing"
	questionWord = "question"
	answerWord   = "answer"
	resultWord   = "result"
	standWord    = "stand"
)

// factWords are all of them: what is kept under another is not read, and so neither exported nor deleted.
var factWords = []string{headWord, learnerWord, handWord, toWord, standingWord, questionWord, answerWord, resultWord, standWord}

// HeadKey is the key of a class's head.
func HeadKey(code string) string { return code + "." + headWord }

// StandingKey is the key of how a learner stands.
func StandingKey(code, learner string) string { return join(code, standingWord, learner) }

// StandKey is the key of where an arm stood: a learner's, or the instructor's.
func StandKey(code, whom string) string { return join(code, standWord, whom) }

// CodeOf returns the class that a key belongs to, and whether it is that of the head.
func CodeOf(key string) (code string, head bool) {
	code, rest, _ := strings.Cut(key, ".")
	return code, rest == headWord
}

// questionOf returns the number of the question whose key that is.
func (c *Class) questionOf(key string) (n int, is bool) {
	number, is := strings.CutPrefix(key, join(c.Code, questionWord, ""))
	n, err := strconv.Atoi(number)
	return n, is && err == nil
}

func join(parts ...string) string { return strings.Join(parts, ".") }

// InstructorsArm stands for the arm of the instructor's own page among those of the class.
const InstructorsArm = "instructor"

// LearnerOf returns what others know a learner by, from the token that only the learner has.
func LearnerOf(token string) string {
	sum := sha256.Sum256([]byte("a learner's token " + token))
	return strings.ToLower(base32.HexEncoding.EncodeToString(sum[:])[:12])
}

// letters of a code: none looks like another, or like a digit.
const letters = "ACDEFGHJKLMNPQRTUVWXY"

// codeLength makes as many codes as there are learners in the world, nearly: 21⁶ = 85,766,121.
const codeLength = 6

// NewCode makes a code from random numbers.
func NewCode(random func() uint64) string {
	var code [codeLength]byte
	for i := range code {
		code[i] = letters[random()%uint64(len(letters))] // The bias is below 1e-17.
	}
	return string(code[:])
}

// ReadCode reads a code as people type it; "" where it is none.
func ReadCode(text string) string {
	code := strings.ToUpper(strings.Join(strings.Fields(strings.ReplaceAll(text, "-", " ")), ""))
	if len(code) != codeLength || strings.Trim(code, letters) != "" {
		return ""
	}
	return code
}

// Take takes a fact, or that it is no more. What cannot be read is told, and changes nothing.
func (c *Class) Take(key string, value []byte, revision uint64, deleted bool) error {
	parts := strings.Split(key, ".")
	if len(parts) < 2 || parts[0] != c.Code {
		return fmt.Errorf("%q is no fact of the class %s", key, c.Code)
	}
	if deleted {
		value = nil
	}
	kind, rest := parts[1], parts[2:]
	switch {
	case !slices.Contains(factWords, kind):
	case kind == headWord && len(rest) == 0:
		c.headRevision = revision
		return takeOne(&c.head, value)
	case kind == questionWord && len(rest) == 1:
		n, err := strconv.Atoi(rest[0])
		if err != nil {
			return err
		}
		was := c.questions[n]
		now, err := readQuestion(value)
		if err != nil {
			return err
		}
		if now == nil {
			delete(c.questions, n)
		} else {
			c.questions[n] = now
		}
		if !was.same(now) { // Else only its round or its state is another.
			delete(c.known, n)
			for at := range c.grouped {
				if at.question == n {
					delete(c.grouped, at)
				}
			}
		}
		return nil
	case kind == answerWord && len(rest) == 3:
		n, err := strconv.Atoi(rest[0])
		if err != nil {
			return err
		}
		round, err := strconv.Atoi(rest[1])
		if err != nil {
			return err
		}
		at := roundOf{n, round}
		if c.answers[at] == nil {
			c.answers[at] = map[string]*Answer{}
		}
		delete(c.grouped, at)
		return take(c.answers[at], rest[2], value)
	case kind == resultWord && len(rest) == 2:
		if c.results[rest[0]] == nil {
			c.results[rest[0]] = map[string]*Result{}
		}
		return take(c.results[rest[0]], rest[1], value)
	case len(rest) != 1:
	case kind == learnerWord:
		c.present = nil
		return take(c.people, rest[0], value)
	case kind == handWord:
		return take(c.hands, rest[0], value)
	case kind == toWord:
		return take(c.to, rest[0], value)
	case kind == standingWord:
		return take(c.standings, rest[0], value)
	case kind == standWord:
		return take(c.stands, rest[0], value)
	}
	return fmt.Errorf("%q is no fact of a class that this program knows", key)
}

// readQuestion reads a question; nil where there is none any more.
func readQuestion(value []byte) (q *Asked, err error) {
	if err := takeOne(&q, value); err != nil {
		return nil, err
	}
	if q != nil && (q.Round < 1 || q.Round > mostRounds) {
		return nil, fmt.Errorf("a question has from 1 to %d rounds, not %d", mostRounds, q.Round)
	}
	return q, nil
}

func takeOne[T any](into **T, value []byte) error {
	if value == nil {
		*into = nil
		return nil
	}
	fact := new(T)
	if err := json.Unmarshal(value, fact); err != nil {
		return err
	}
	*into = fact
	return nil
}

func take[K comparable, T any](into map[K]*T, key K, value []byte) error {
	var fact *T
	if err := takeOne(&fact, value); err != nil {
		return err
	}
	if fact == nil {
		delete(into, key)
		return nil
	}
	into[key] = fact
	return nil
}
