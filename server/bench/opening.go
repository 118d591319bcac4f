package bench

import (
	"handrule/scenarios/lesson"
	"handrule/scenarios/solve"
	"handrule/scenarios/spoken"
)

// This file deals the numbers of a lesson that is to be opened, or was read again. Whether the lesson can be passed with them is
// found out by passing it, which takes long; so it is a question, and until it is answered all stays as it is.

// opening is a lesson whose numbers are being dealt.
type opening struct {
	lesson  *lesson.Lesson // as it is offered
	request *LessonRequest // that opens it; nil where the open one was read again
	dealing *solve.Dealing
	then    func(dealt *lesson.Lesson, err error)
}

// dealThen deals the lesson by that number and does something with it: at once where there is nothing to deal, else when its
// numbers are found, unless something else is opened or chosen first.
func (b *Bench) dealThen(l *lesson.Lesson, seed uint64, request *LessonRequest, then func(*lesson.Lesson, error)) {
	b.dropOpening()
	from := b.dealOf(l, seed)
	if !l.Deals() {
		then(undealt(l, seed), nil)
		return
	}
	b.opening = &opening{l, request, solve.Deal(l, from), then}
}

// openOpening prepares the work on the lesson that is to be opened.
func (b *Bench) openOpening(q *Question, o *opening) {
	q.work = o.dealing.Advance
	q.take = func() {
		b.opening = nil
		o.then(o.dealing.Dealt())
	}
}

// dropOpening gives up a lesson that was to be opened.
func (b *Bench) dropOpening() {
	if b.opening != nil {
		b.opening.dealing.Drop()
		b.opening = nil
	}
}

// reopen goes on with what is offered now where something else of that name was to be opened.
func (b *Bench) reopen() {
	o := b.opening
	if o == nil || o.request == nil {
		return
	}
	if next := b.offered(o.request.ID); next == nil || !next.Same(o.lesson) {
		b.dropOpening()
		b.refuse(b.openLesson(o.request))
	}
}

// preparing is the title of the lesson that is to be opened; "" for none.
func (b *Bench) preparing() string {
	if o := b.opening; o != nil && o.request != nil {
		return o.lesson.TitleIn(b.in)
	}
	return ""
}

// refuse tells the page that something it asked for is not done, where there is an error.
func (b *Bench) refuse(err error) {
	if err != nil {
		b.tell("problem", Problem{Message: spoken.Tell(err, b.in), Refused: true})
	}
}
