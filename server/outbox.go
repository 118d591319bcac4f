package server

import "sync"

// outboxBytes is how much may wait for a page that does not read.
const outboxBytes = 1 << 20

// outbox is what is written to a page: at once where the page takes it, else it waits for a goroutine. A frame that waits is
// replaced by a newer one, so that a slow page sees the arm as it is and not as it was.
type outbox struct {
	atOnce func(letter) (all bool) // writes without waiting; false: a part of it waits. nil: everything waits

	mu      sync.Mutex
	writing bool // somebody waits for the page
	waiting []letter
	taken   []letter
	bytes   int
	spare   []byte        // a frame's store, used again
	ready   chan struct{} // has room for one: something waits
}

type letter struct {
	text  []byte
	frame bool
}

func newOutbox() *outbox { return &outbox{ready: make(chan struct{}, 1)} }

// put adds a message and reports false when too much waits already. The text is copied.
func (o *outbox) put(text []byte, frame bool) bool {
	o.mu.Lock()
	defer o.mu.Unlock()
	if o.atOnce != nil && !o.writing {
		if !o.atOnce(letter{text, frame}) {
			o.writing = true
			o.wake()
		}
		return true
	}
	if last := len(o.waiting) - 1; frame && last >= 0 && o.waiting[last].frame {
		o.waiting[last].text = append(o.waiting[last].text[:0], text...)
		return true
	}
	if o.bytes+len(text) > outboxBytes {
		return false
	}
	var store []byte
	if frame {
		store, o.spare = o.spare, nil
	}
	o.waiting = append(o.waiting, letter{append(store[:0], text...), frame})
	o.bytes += len(text)
	o.wake()
	return true
}

// wake wakes who waits for the page.
func (o *outbox) wake() {
	select {
	case o.ready <- struct{}{}:
	default:
	}
}

// behind reports whether something waits for the page.
func (o *outbox) behind() bool {
	o.mu.Lock()
	defer o.mu.Unlock()
	return o.writing || len(o.waiting) > 0
}

// catchUp lets letters be written at once again where none waits.
func (o *outbox) catchUp() {
	o.mu.Lock()
	defer o.mu.Unlock()
	o.writing = o.writing && len(o.waiting) > 0
	clear(o.taken)
}

// take returns all that waits; it is the caller's until the next take.
func (o *outbox) take() []letter {
	o.mu.Lock()
	defer o.mu.Unlock()
	o.taken, o.waiting, o.bytes = o.waiting, o.taken[:0], 0
	return o.taken
}

// written gives back the store of a frame that has been written.
func (o *outbox) written(l letter) {
	if l.frame {
		o.mu.Lock()
		o.spare = l.text
		o.mu.Unlock()
	}
}
