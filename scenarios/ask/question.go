package ask

import (
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/kinematics/jog"
	"handrule/scenarios/form"
	"handrule/scenarios/jogfile"
	"handrule/scenarios/lesson"
	"handrule/words"
)

// Question is what is asked. What it is asked about is a drive; see Of.
type Question struct {
	Kind    Kind       `json:"kind"`
	Jog     string     `json:"jog,omitempty"`     // as in a jog file, such as: base y +100; for Way, Joints and Stop
	Measure Measure    `json:"measure"`           // for Number
	Unit    words.Unit `json:"unit,omitempty"`    // that a length is answered in; mm where none is said
	Text    string     `json:"text,omitempty"`    // of the question, for Choice; for the others added to it
	Options []string   `json:"options,omitempty"` // for Choice, at least two
	Right   []int      `json:"right,omitempty"`   // likewise, from 0; empty where no answer is the right one
}

// Kind is what is asked.
type Kind string

const (
	Way    Kind = "way"    // which way the TCP will start to go, or about which axis it turns
	Joints Kind = "joints" // which joints will turn
	Stop   Kind = "stop"   // what will stop the jog
	Number Kind = "number" // a number to read
	Choice Kind = "choice" // a question with options
)

// kind is what there is to know of one.
type kind interface {
	// begin checks what is asked, and begins to compute what it takes to know the answers.
	begin(a *Asked) error
	// clear says once all is computed why the question has no answer or more than one; nil where it is fair.
	clear(a *Asked) error
	// take reads the part of an answer that counts; an error says why it is no answer to this question.
	take(a *Asked, given Answer) (Answer, error)
	// apart is how far apart two answers are; up to 1 they are the same within the tolerance.
	apart(a *Asked, x, y *Answer) float64
	// beliefs are what leads to other answers than the right one, the plainest first.
	beliefs(a *Asked) []belief
	// asks and why say what is asked, and why the right answer is right; tell says an answer.
	asks(a *Asked, in *words.Language) string
	why(a *Asked, in *words.Language) string
	tell(a *Asked, given *Answer, in *words.Language) string
}

// kindOf has a case for every kind of question.
func kindOf(k Kind) (kind, bool) {
	switch k {
	case Way:
		return way{}, true
	case Joints:
		return joints{}, true
	case Stop:
		return stop{}, true
	case Number:
		return number{}, true
	case Choice:
		return choice{}, true
	}
	return nil, false
}

// Measure is a number that can be read of the arm.
type Measure struct {
	Of    string    `json:"of"`    // "x", "y", "z", "about-x", "about-y", "about-z" of the TCP, or "joint"
	Frame jog.Frame `json:"frame"` // base, world or a task frame, for a place
	Task  string    `json:"task"`  // the task frame's name
	Joint int       `json:"joint"` // from 0, for a joint's angle
}

// Bounds of what is written into a question. No arm goes as far; what a question costs to compute is bounded by that.
const (
	farthestMM    = 2000.0
	farthestTurn  = 2 * math.Pi // rad
	longestText   = 300         // characters
	longestOption = 120
	mostOptions   = 8
)

// Of lays the question on the arm as it stands at d, and begins to compute; see Asked.Advance. The error, a words.Problem where a
// person can have caused it, says why it is no question.
func (q Question) Of(d *jog.Drive) (*Asked, error) {
	kind, known := kindOf(q.Kind)
	if !known {
		return nil, words.NewProblem("ask.bad.kind", "kind", q.Kind.quoted())
	}
	q.Text = strings.Join(strings.Fields(q.Text), " ")
	if utf8.RuneCountInString(q.Text) > longestText {
		return nil, words.NewProblem("ask.bad.text", "most", strconv.Itoa(longestText))
	}
	a := &Asked{Question: q, kind: kind, d: d.Standing(), moving: jog.Moving}
	return a, kind.begin(a)
}

// Check computes at once whether the question can be asked about the arm at d, however long that takes.
func (q Question) Check(d *jog.Drive) error {
	a, err := q.Of(d)
	if err != nil {
		return err
	}
	a.Finish()
	return a.Clear()
}

func (k Kind) quoted() string { return form.Quoted(string(k)) }

// readJog reads the one jog that is asked about.
func (a *Asked) readJog() error {
	steps, err := jogfile.Parse("", []byte(a.Question.Jog))
	if problems, bad := err.(form.Errors); bad {
		return words.NewProblem("ask.bad.jog", "jog", form.Quoted(a.Question.Jog), "why", problems[0].Message)
	}
	switch {
	case err != nil:
		return err
	case len(steps) != 1 || strings.Contains(strings.TrimSpace(a.Question.Jog), "\n"):
		return words.NewProblem("ask.bad.one-jog")
	case steps[0].Held() || steps[0].LetGo > 0 || steps[0].Until || steps[0].Changes():
		return words.NewProblem("ask.bad.held", "jog", form.Quoted(a.Question.Jog))
	}
	a.jog = steps[0].Jog
	if far := a.jog.Amount; a.jog.Straight() && far > farthestMM || !a.jog.Straight() && far > farthestTurn {
		return words.NewProblem("ask.bad.far", "jog", form.Quoted(a.Question.Jog))
	}
	return a.hasFrame(a.jog.Task)
}

// hasFrame refuses a task frame that is not there.
func (a *Asked) hasFrame(task string) error {
	if task == "" || slices.ContainsFunc(a.d.Setup().Tasks, func(t jog.TaskFrame) bool { return t.Name == task }) {
		return nil
	}
	return words.NewProblem("ask.bad.frame", "frame", form.Quoted(task))
}

// Asked is a question about an arm as it stands.
type Asked struct {
	Question
	kind  kind
	d     *jog.Drive
	jog   jog.Jog
	truth Answer

	runs    []run       // of which the first is the jog itself
	ahead   jog.Ahead   // what the jog does
	heading jog.Heading // of the TCP
	lead    jog.Lead
	reading lesson.Value // of a number, in mm or degrees
	moving  float64      // a joint that turns by more counts as turning, rad; jog.Moving where no lesson says otherwise
	flange  bool         // what is asked of a turn about the TCP is which way the flange goes; only tasks of lessons ask so
	before  *earlier     // where a number is asked for that jogs will lead to; nil where it is the one of now
	classes []class      // of beliefs; made when all is computed
	done    bool
}

// earlier is where the arm stands before the jogs to a number that is asked for.
type earlier struct {
	d    *jog.Drive
	jogs lesson.Jogs
}

// run is a jog that is followed.
type run struct {
	belief belief // that this is what happens; of the jog itself none
	ahead  *jog.Foresight
}

// follow follows a jog of a drive. One that cannot begin there is left out.
func (a *Asked) follow(d *jog.Drive, j jog.Jog, b belief) error {
	f, err := d.Foresee(j, jog.AtTCP)
	if err == nil {
		a.runs = append(a.runs, run{b, f})
	}
	return err
}

// Advance computes for at most so many ticks of motion, and reports whether all is known.
func (a *Asked) Advance(ticks int) (done bool) {
	for i := range a.runs {
		for ; ticks > 0 && !a.runs[i].ahead.Advance(1); ticks-- {
		}
		if ticks == 0 && !a.runs[i].ahead.Advance(0) {
			return false
		}
	}
	a.conclude()
	return true
}

// Finish computes all at once.
func (a *Asked) Finish() {
	for !a.Advance(1 << 20) {
	}
}

// conclude makes of what was followed what is asked of it.
func (a *Asked) conclude() {
	if a.done {
		return
	}
	a.done = true
	if len(a.runs) > 0 {
		a.ahead, a.heading = a.runs[0].ahead.Ahead(), a.runs[0].ahead.Heading()
		a.lead, _ = a.d.Lead(a.jog, a.heading)
	}
	switch a.Kind {
	case Way:
		if a.flange {
			a.truth = pointing(r3.Unit(a.atFlange(a.lead.Comes)))
		} else if a.lead.Comes == zero {
			a.truth.Stays = true
		} else {
			a.truth.Arrow = &a.lead.Comes
		}
	case Joints:
		a.truth.Joints = a.ahead.Movers(a.moving)
	case Stop:
		a.truth.Stop = a.ahead.Stop.Answer()
	}
	a.classes = a.classify()
}

// Clear says, once all is computed, why the question has no answer or more than one; nil where it is fair.
func (a *Asked) Clear() error { return a.kind.clear(a) }

// Graded reports whether there is a right answer.
func (a *Asked) Graded() bool { return a.Kind != Choice || len(a.Question.Right) > 0 }

// Truth returns the right answer; of a choice without one it is empty.
func (a *Asked) Truth() Answer { return a.truth }

// Take reads the part of an answer that this question asks for. The error says why it is no answer to it.
func (a *Asked) Take(given Answer) (Answer, error) { return a.kind.take(a, given) }

// Right reports whether an answer, as Take returned it, is right.
func (a *Asked) Right(given Answer) bool {
	return a.Graded() && a.kind.apart(a, &given, &a.truth) <= 1
}

// Axis reports whether a question which way asks for the axis of a turn, because the TCP only turns.
func (a *Asked) Axis() bool { return a.lead.Axis }

// TheJog returns the jog that is asked about; false where none is.
func (a *Asked) TheJog() (jog.Jog, bool) { return a.jog, len(a.runs) > 0 }

// At returns where the TCP stands, in the base frame.
func (a *Asked) At() kinematics.Pose { return a.d.TCP() }
