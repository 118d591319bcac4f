package store

import (
	"maps"
	"slices"
	"strings"
	"sync"
)

// Memory keeps everything until the process ends, and carries within it.
type Memory struct {
	mu      sync.Mutex
	buckets map[string]*memoryBucket
	heard   map[*Queue[seen]]string // subject by subscription
}

// InMemory returns an empty one.
func InMemory() *Memory {
	return &Memory{buckets: map[string]*memoryBucket{}, heard: map[*Queue[seen]]string{}}
}

// Bucket returns the bucket of that name.
func (m *Memory) Bucket(name string) (Bucket, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	b := m.buckets[name]
	if b == nil {
		b = &memoryBucket{kept: map[string]Entry{}, watched: map[*Queue[Entry]]string{}}
		m.buckets[name] = b
	}
	return b, nil
}

// seen is what was published.
type seen struct {
	subject string
	data    []byte
}

// Publish tells all who subscribed.
func (m *Memory) Publish(subject string, data []byte) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	for q, wanted := range m.heard {
		if matches(wanted, subject) {
			q.Put(seen{subject, slices.Clone(data)}, MostUnheard)
		}
	}
	return nil
}

// Subscribe has f called with what is published under a subject.
func (m *Memory) Subscribe(subject string, f func(string, []byte)) (func(), error) {
	q := NewQueue(func(s seen) { f(s.subject, s.data) })
	m.mu.Lock()
	defer m.mu.Unlock()
	m.heard[q] = subject
	return func() {
		m.mu.Lock()
		delete(m.heard, q)
		m.mu.Unlock()
		q.End()
	}, nil
}

// Close ends all subscriptions.
func (m *Memory) Close() error {
	m.mu.Lock()
	defer m.mu.Unlock()
	for q := range m.heard {
		q.End()
	}
	clear(m.heard)
	for _, b := range m.buckets {
		b.mu.Lock()
		for q := range b.watched {
			q.End()
		}
		clear(b.watched)
		b.mu.Unlock()
	}
	return nil
}

// matches reports whether a subject is one of those that are wanted.
func matches(wanted, subject string) bool {
	w, s := strings.Split(wanted, "."), strings.Split(subject, ".")
	for i, word := range w {
		switch {
		case word == ">":
			return len(s) > i
		case i >= len(s) || word != "*" && word != s[i]:
			return false
		}
	}
	return len(w) == len(s)
}

// begins reports whether a key begins with the words of the prefix.
func begins(key, prefix string) bool {
	return prefix == "" || matches(prefix, key) || matches(prefix+".>", key)
}

type memoryBucket struct {
	mu      sync.Mutex
	last    uint64
	kept    map[string]Entry
	watched map[*Queue[Entry]]string // prefix by watch
}

func (b *memoryBucket) Get(key string) (Entry, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	e, found := b.kept[key]
	if !found {
		return Entry{}, ErrNone
	}
	return e, nil
}

func (b *memoryBucket) Put(key string, value []byte) (uint64, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.put(key, value), nil
}

func (b *memoryBucket) Replace(key string, value []byte, revision uint64) (uint64, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.kept[key].Revision != revision {
		return 0, ErrStale
	}
	return b.put(key, value), nil
}

func (b *memoryBucket) put(key string, value []byte) uint64 {
	b.last++
	e := Entry{Key: key, Value: slices.Clip(slices.Clone(value)), Revision: b.last}
	b.kept[key] = e
	b.tell(e)
	return b.last
}

func (b *memoryBucket) Delete(key string) error {
	b.mu.Lock()
	defer b.mu.Unlock()
	if _, found := b.kept[key]; found {
		b.last++
		delete(b.kept, key)
		b.tell(Entry{Key: key, Revision: b.last, Deleted: true})
	}
	return nil
}

func (b *memoryBucket) tell(e Entry) {
	for q, prefix := range b.watched {
		if begins(e.Key, prefix) {
			q.Put(e, 0)
		}
	}
}

func (b *memoryBucket) Keys(prefix string) ([]string, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.keys(prefix), nil
}

func (b *memoryBucket) keys(prefix string) []string {
	keys := slices.Sorted(maps.Keys(b.kept))
	return slices.DeleteFunc(keys, func(key string) bool { return !begins(key, prefix) })
}

func (b *memoryBucket) Watch(prefix string, f func(Entry)) (func(), error) {
	q := NewQueue(f)
	b.mu.Lock()
	defer b.mu.Unlock()
	for _, key := range b.keys(prefix) {
		q.Put(b.kept[key], 0)
	}
	q.Put(Entry{}, 0)
	b.watched[q] = prefix
	return func() {
		b.mu.Lock()
		delete(b.watched, q)
		b.mu.Unlock()
		q.End()
	}, nil
}
