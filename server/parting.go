package server

import (
	"context"
	"sync"
)

// parting counts the pages that are connected, so that a server that ends can wait until each was told.
type parting struct {
	mu    sync.Mutex
	count int
	empty chan struct{} // closed when the last has gone; nil while nobody waits
}

// come counts a page in and returns what counts it out.
func (p *parting) come() (goes func()) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.count++
	return func() {
		p.mu.Lock()
		defer p.mu.Unlock()
		if p.count--; p.count == 0 && p.empty != nil {
			close(p.empty)
			p.empty = nil
		}
	}
}

// wait waits until no page is connected, or until ctx ends.
func (p *parting) wait(ctx context.Context) {
	p.mu.Lock()
	if p.count == 0 {
		p.mu.Unlock()
		return
	}
	if p.empty == nil {
		p.empty = make(chan struct{})
	}
	empty := p.empty
	p.mu.Unlock()
	select {
	case <-empty:
	case <-ctx.Done():
	}
}
