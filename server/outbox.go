package server

import "sync"

// outboxBytes is how much may wait for a page that does not read.
const outboxBytes = 1 << 20

// outbox holds what waits to be written to a page. A frame that waits is replaced by a newer one, so that a slow page sees the
// arm as it is and not as it was.
type outbox struct {
	mu      sync.Mutex
	waiting []letter
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
	select {
	case o.ready <- struct{}{}:
	default:
	}
	return true
}

// take moves all that waits into the store and returns it.
func (o *outbox) take(store []letter) []letter {
	o.mu.Lock()
	defer o.mu.Unlock()
	store = append(store[:0], o.waiting...)
	clear(o.waiting)
	o.waiting, o.bytes = o.waiting[:0], 0
	return store
}

// written gives back the store of a frame that has been written.
func (o *outbox) written(l letter) {
	if l.frame {
		o.mu.Lock()
		o.spare = l.text
		o.mu.Unlock()
	}
}
