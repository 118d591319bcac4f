package solve

import (
	"fmt"

	"handrule/kinematics/jog"
)

// Progress is how far a search has got.
type Progress struct {
	Stage, Stages int     // where a way is looked for, from 0, and how many stages there are
	Draw          string  // whose numbers are tried; "" while the lesson itself is passed
	Minutes       float64 // of motion, which were tried in all
}

// Watch is told every few ticks of a search how far it has got, and returns whether it is to go on.
type Watch func(Progress) bool

// effort is what searches may take together, and who watches them.
type effort struct {
	left  int // ticks of motion
	watch Watch
	ended bool // by who watches
	at    Progress
}

func newEffort(watch Watch) *effort { return &effort{left: mostLessonSearch, watch: watch} }

// goOn reports whether to go on.
func (e *effort) goOn() bool {
	if e.watch != nil && !e.ended {
		e.ended = !e.watch(e.at)
	}
	return !e.ended
}

// took counts ticks of motion.
func (e *effort) took(ticks int) {
	e.left -= ticks
	e.at.Minutes += float64(ticks) / jog.TickRate / 60
}

// Stopped is the error of a search that was stopped. What was found until then is known.
type Stopped struct {
	Stage int   // at which it was, from 0
	Found error // what stands against the lesson before that; nil: nothing
}

func (s Stopped) Error() string {
	if s.Found != nil {
		return s.Found.Error() + "\n" + s.Where()
	}
	return s.Where()
}

// Where says how far the search had got.
func (s Stopped) Where() string {
	return fmt.Sprintf("the search was stopped at stage %d; whether that one and those after it can be passed is not known", s.Stage+1)
}

func (s Stopped) Unwrap() error { return s.Found }
