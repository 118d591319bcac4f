package server

import (
	"encoding/json"
	"errors"
	"slices"
	"time"

	"handrule/server/class"
	"handrule/server/store"
)

// This file keeps what the learners of a class say. Where that takes long, or cannot be done now, it is taken here at once, shown as not
// kept yet, and tried again until it is.

const (
	pendingAfter = 400 * time.Millisecond
	keepAgain    = 250 * time.Millisecond
	keepsTrying  = 2 * time.Minute // when nobody of the class is here any more
)

// keep keeps what a learner says, after what was said before it.
func (r *room) keep(all []class.Write) error {
	r.mu.Lock()
	if len(r.unkept) > 0 {
		r.keepLater(all)
		r.mu.Unlock()
		return nil
	}
	r.mu.Unlock()
	done, shown := false, false
	slow := time.AfterFunc(pendingAfter, func() {
		r.mu.Lock()
		defer r.mu.Unlock()
		if !done {
			shown = true
			r.showPending(all)
		}
	})
	err := r.writeAll(all)
	r.mu.Lock()
	defer r.mu.Unlock()
	done = true
	slow.Stop()
	if errors.Is(err, store.ErrAway) {
		r.keepLater(all)
		return nil
	}
	if shown {
		for i := range all {
			r.class.Pending(all[i].Key, false)
		}
		r.changed = true
	}
	return err
}

// keepLater has facts kept as soon as that can be done; under the room's lock. Of one fact the last counts.
func (r *room) keepLater(all []class.Write) {
	for i := range all {
		r.unkept = slices.DeleteFunc(r.unkept, func(w *class.Write) bool { return w.Key == all[i].Key })
		r.unkept = append(r.unkept, &all[i])
	}
	r.showPending(all)
	select {
	case r.waits <- struct{}{}:
	default:
	}
}

// showPending takes facts here as not kept yet; under the room's lock. What is decided is not: another may have decided otherwise.
func (r *room) showPending(all []class.Write) {
	for _, w := range all {
		if w.Decides {
			continue
		}
		r.class.Pending(w.Key, true)
		var text []byte
		if w.Value != nil {
			text, _ = json.Marshal(w.Value)
		}
		r.class.Take(w.Key, text, 0, w.Value == nil)
	}
	r.changed = true
}

// keepOn keeps what could not be kept at once, until the room is closed and nothing waits.
func (r *room) keepOn() {
	ended, giveUp := r.ended, (<-chan time.Time)(nil)
	for {
		kept, left := r.keepFirst()
		var again <-chan time.Time
		switch {
		case kept:
			continue
		case left > 0:
			again = time.After(keepAgain)
		case ended == nil:
			return
		}
		select {
		case <-r.waits:
		case <-again:
		case <-ended:
			ended, giveUp = nil, time.After(keepsTrying)
		case <-giveUp:
			r.school.log.Error("what learners said is lost: it could not be kept, and they have gone", "class", r.code, "facts", left)
			return
		}
	}
}

// keepFirst tries to keep what waits for longest, and reports whether that is kept, or given up, and how much waits then.
func (r *room) keepFirst() (kept bool, left int) {
	r.mu.Lock()
	if len(r.unkept) == 0 {
		r.mu.Unlock()
		return false, 0
	}
	if !r.class.Exists() { // It was deleted, and what was said in it with it.
		for _, w := range r.unkept {
			r.class.Pending(w.Key, false)
		}
		r.unkept = nil
		r.mu.Unlock()
		return false, 0
	}
	first := r.unkept[0]
	r.mu.Unlock()
	e, err := r.school.write(*first)
	r.mu.Lock()
	defer r.mu.Unlock()
	if errors.Is(err, store.ErrAway) {
		return false, len(r.unkept)
	}
	r.unkept = slices.DeleteFunc(r.unkept, func(w *class.Write) bool { return w == first })
	if slices.ContainsFunc(r.unkept, func(w *class.Write) bool { return w.Key == first.Key }) {
		return true, len(r.unkept) // It was said otherwise meanwhile.
	}
	if r.written[first.Key] = e.Revision; err != nil {
		r.school.log.Warn("what a learner said is lost", "key", first.Key, "why", err)
		if !first.Decides {
			r.class.Take(first.Key, nil, 0, true)
		}
	}
	r.class.Pending(first.Key, false)
	r.changed = true
	return true, len(r.unkept)
}
