// Package store keeps what must outlast a page and a process: benches at rest. Where it keeps them is behind one seam; for now
// that is this process's memory.
package store

import (
	"slices"
	"sync"
)

// Bench is a bench at rest, as package bench writes it down.
type Bench struct {
	State []byte
	Log   []byte
}

// Store keeps benches by their ids. It may be used by several goroutines at once.
type Store interface {
	// Save keeps a bench in the place of what was kept by this id.
	Save(id string, b Bench) error
	// Load returns what is kept by this id; false where nothing is.
	Load(id string) (b Bench, found bool, err error)
	// Forget gives up what is kept by this id.
	Forget(id string) error
}

// Memory keeps benches until the process ends.
type Memory struct {
	mu      sync.Mutex
	benches map[string]Bench
}

// InMemory returns an empty one.
func InMemory() *Memory { return &Memory{benches: map[string]Bench{}} }

// Save keeps a copy.
func (m *Memory) Save(id string, b Bench) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.benches[id] = Bench{State: slices.Clip(slices.Clone(b.State)), Log: slices.Clip(slices.Clone(b.Log))}
	return nil
}

// Load returns what is kept; it is not to be changed.
func (m *Memory) Load(id string) (Bench, bool, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	b, found := m.benches[id]
	return b, found, nil
}

// Forget gives it up.
func (m *Memory) Forget(id string) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	delete(m.benches, id)
	return nil
}
