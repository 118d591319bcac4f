package solve

import (
	"sync"

	"handrule/scenarios/lesson"
)

// Dealing is a lesson whose numbers are dealt bit by bit, by whoever has other things to do in between. A goroutine of its own
// works while it is advanced, and waits in between. So whoever begins it, advances it and drops it may be different ones, also
// such that are locked to a thread, which the coroutines of iter.Pull do not bear.
type Dealing struct {
	begin   sync.Once
	work    func()
	paused  chan struct{} // it waits to be advanced
	resume  chan struct{}
	ended   chan struct{} // closed at the end
	drop    sync.Once
	dropped chan struct{} // closed when it is left off

	l   *lesson.Lesson
	err error
}

// Deal begins to deal a lesson, as Drawn does.
func Deal(l *lesson.Lesson, from lesson.Deal) *Dealing {
	d := &Dealing{paused: make(chan struct{}), resume: make(chan struct{}), ended: make(chan struct{}), dropped: make(chan struct{})}
	d.work = func() {
		defer close(d.ended)
		d.l, _, d.err = DrawnWhile(l, from, d.pause)
	}
	return d
}

func (d *Dealing) pause(Progress) (goOn bool) {
	select {
	case <-d.dropped:
		return false
	case d.paused <- struct{}{}:
	}
	select {
	case <-d.dropped:
		return false
	case <-d.resume:
		return true
	}
}

// Advance goes on for some tenths of a millisecond, and reports whether it is done, or was dropped.
func (d *Dealing) Advance() bool {
	begins := false
	d.begin.Do(func() { begins = true; go d.work() })
	if !begins {
		select {
		case d.resume <- struct{}{}:
		case <-d.ended:
			return true
		}
	}
	select {
	case <-d.paused:
		return false
	case <-d.ended:
		return true
	}
}

// Dealt is what it came to, once it is done.
func (d *Dealing) Dealt() (*lesson.Lesson, error) { return d.l, d.err }

// Drop leaves it off. It may be called while it is advanced elsewhere, and does not wait for that.
func (d *Dealing) Drop() { d.drop.Do(func() { close(d.dropped) }) }
