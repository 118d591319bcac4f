package server

import "sync"

// outboxLength is how many messages may wait for a page that does not read.
const outboxLength = 256

// outbox holds what waits to be written to a page. A state that waits is replaced by a newer one, so that a slow
// page sees the arm as it is and not as it was.
type outbox struct {
	mu      sync.Mutex
	waiting []letter
	ready   chan struct{} // has room for one: something waits
}

type letter struct {
	word string
	text []byte
}

func newOutbox() *outbox { return &outbox{ready: make(chan struct{}, 1)} }

// put adds a message and reports false when too many wait already.
func (o *outbox) put(word string, text []byte) bool {
	o.mu.Lock()
	defer o.mu.Unlock()
	last := len(o.waiting) - 1
	if word == "state" && last >= 0 && o.waiting[last].word == "state" {
		o.waiting[last].text = text
		return true
	}
	if len(o.waiting) == outboxLength {
		return false
	}
	o.waiting = append(o.waiting, letter{word, text})
	select {
	case o.ready <- struct{}{}:
	default:
	}
	return true
}

// take returns all that waits.
func (o *outbox) take() []letter {
	o.mu.Lock()
	defer o.mu.Unlock()
	letters := o.waiting
	o.waiting = nil
	return letters
}
