package store

import (
	"slices"
	"sync"
)

// MostUnheard is how much waits for a subscriber.
const MostUnheard = 4096

// Queue hands what is put into it to a function, in order, by a goroutine of its own.
type Queue[T any] struct {
	mu      sync.Mutex
	waiting []T
	ready   chan struct{} // has room for one
	ended   chan struct{}
	once    sync.Once
}

// NewQueue returns an empty one.
func NewQueue[T any](f func(T)) *Queue[T] {
	q := &Queue[T]{ready: make(chan struct{}, 1), ended: make(chan struct{})}
	go func() {
		for {
			select {
			case <-q.ended:
				return
			case <-q.ready:
			}
			q.mu.Lock()
			all := q.waiting
			q.waiting = nil
			q.mu.Unlock()
			for _, x := range all {
				select {
				case <-q.ended:
					return
				default:
				}
				f(x)
			}
		}
	}()
	return q
}

// Put adds one; where more than so many would wait, the oldest is lost. 0 is no bound.
func (q *Queue[T]) Put(x T, most int) {
	q.mu.Lock()
	if most > 0 && len(q.waiting) >= most {
		q.waiting = slices.Delete(q.waiting, 0, len(q.waiting)-most+1)
	}
	q.waiting = append(q.waiting, x)
	q.mu.Unlock()
	select {
	case q.ready <- struct{}{}:
	default:
	}
}

// End ends it; what waits is lost.
func (q *Queue[T]) End() { q.once.Do(func() { close(q.ended) }) }
