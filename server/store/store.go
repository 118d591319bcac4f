// Package store keeps what must outlast a page and a process: benches at rest, and the facts of classes; and it carries what is only
// seen, such as an arm that is demonstrated, from one process to all. Where it does so is behind one seam: in this process's memory
// (memory.go), or an engine for streams that runs inside the process or outside of it (lasting).
package store

import (
	"errors"
)

// Store is the seam. It may be used by several goroutines at once.
type Store interface {
	// Bucket returns the bucket of that name. Buckets are made where there are none.
	Bucket(name string) (Bucket, error)

	// Publish tells all who subscribed to the subject, in every process. Nothing is kept. A subject is words with dots between them.
	// The data is the receiver's and is not to be changed by anybody.
	Publish(subject string, data []byte) error
	// Subscribe has f called, by one goroutine and in order, with what is published under a subject. Its last word may be ">" for
	// any number of words, and each of its words may be "*" for any one. What f has no time for is lost, the oldest first.
	Subscribe(subject string, f func(subject string, data []byte)) (cancel func(), err error)

	// Close ends it. What was acknowledged is kept.
	Close() error
}

// Bucket keeps values by keys. A key is words of letters, digits, "-" and "_" with dots between them. In a prefix "*" is any one word.
type Bucket interface {
	// Get returns what is kept under the key, or ErrNone.
	Get(key string) (Entry, error)
	// Put keeps a value, whatever is there.
	Put(key string, value []byte) (revision uint64, err error)
	// Replace keeps a value in the place of that revision alone, 0 for none; else ErrStale. So of several who know the same
	// revision one wins.
	Replace(key string, value []byte, revision uint64) (uint64, error)
	// Delete gives up what is kept under the key.
	Delete(key string) error
	// Keys returns the keys that begin with the words of the prefix, in their order; "" for all.
	Keys(prefix string) ([]string, error)
	// Watch has f called, by one goroutine and in order, with all that is kept under keys that begin with the words of the prefix,
	// then once with an Entry without a key, then with changes. Of a key that changes faster than f takes it, at least the last one
	// is told.
	Watch(prefix string, f func(Entry)) (cancel func(), err error)
}

// Entry is what is kept under a key.
type Entry struct {
	Key      string
	Value    []byte // not to be changed
	Revision uint64 // grows with every change in the bucket
	Deleted  bool   // for Watch: nothing is kept any more
}

var (
	// ErrNone says that nothing is kept under a key.
	ErrNone = errors.New("nothing is kept under this key")
	// ErrStale says that another value was kept meanwhile.
	ErrStale = errors.New("another value was kept meanwhile")
	// ErrAway says that the engine cannot be reached, or cannot keep anything now. What was asked may be asked again.
	ErrAway = errors.New("what must last cannot be kept just now")
)
