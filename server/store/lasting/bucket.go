package lasting

import (
	"context"
	"errors"
	"slices"
	"sync/atomic"

	"github.com/nats-io/nats.go/jetstream"

	"handrule/server/store"
)

// bucket is a store.Bucket.
type bucket struct {
	store *Store
	name  string
	kv    jetstream.KeyValue
	away  atomic.Bool // what was asked last had no answer
}

// told is an error as the seam tells it.
func (b *bucket) told(err error) error {
	told := b.store.told(err)
	b.away.Store(errors.Is(told, store.ErrAway))
	return told
}

// limited is a context for one question about the bucket.
func (b *bucket) limited() (context.Context, context.CancelFunc) {
	if b.away.Load() && b.store.engine == nil {
		return context.WithTimeout(b.store.closed, patienceAway)
	}
	return b.store.limited()
}

// writing is a context for something to be kept. It ends at once where the engine is known to fail: it would not answer.
func (b *bucket) writing() (context.Context, context.CancelFunc) {
	ctx, cancel := b.limited()
	if b.store.engine == nil {
		return ctx, cancel
	}
	stop := context.AfterFunc(b.store.engine.failing(), cancel)
	return ctx, func() {
		stop()
		cancel()
	}
}

func (b *bucket) Get(key string) (store.Entry, error) {
	ctx, cancel := b.limited()
	defer cancel()
	e, err := b.kv.Get(ctx, key)
	if err := b.told(err); err != nil {
		return store.Entry{}, err
	}
	return entryOf(e), nil
}

func entryOf(e jetstream.KeyValueEntry) store.Entry {
	if e.Operation() != jetstream.KeyValuePut {
		return store.Entry{Key: e.Key(), Revision: e.Revision(), Deleted: true}
	}
	return store.Entry{Key: e.Key(), Value: e.Value(), Revision: e.Revision()}
}

func (b *bucket) Put(key string, value []byte) (uint64, error) {
	ctx, cancel := b.writing()
	defer cancel()
	revision, err := b.kv.Put(ctx, key, value)
	return revision, b.told(err)
}

func (b *bucket) Replace(key string, value []byte, revision uint64) (uint64, error) {
	ctx, cancel := b.writing()
	defer cancel()
	var err error
	if revision == 0 {
		revision, err = b.kv.Create(ctx, key, value)
	} else {
		revision, err = b.kv.Update(ctx, key, value, revision)
	}
	if err := b.told(err); err != nil {
		return 0, err
	}
	return revision, nil
}

// Delete leaves a mark for a while, so that those who watch hear of it.
func (b *bucket) Delete(key string) error {
	ctx, cancel := b.writing()
	defer cancel()
	if _, err := b.kv.Get(ctx, key); err != nil {
		if errors.Is(err, jetstream.ErrKeyNotFound) {
			return nil
		}
		return b.told(err)
	}
	return b.told(b.kv.Purge(ctx, key, jetstream.PurgeTTL(markFor)))
}

func (b *bucket) Keys(prefix string) ([]string, error) {
	ctx, cancel := b.limited()
	defer cancel()
	w, err := b.kv.WatchFiltered(ctx, filters(prefix), jetstream.IgnoreDeletes(), jetstream.MetaOnly())
	if err != nil {
		return nil, b.told(err)
	}
	defer w.Stop()
	keys := []string{}
	for {
		select {
		case <-ctx.Done():
			return nil, b.told(ctx.Err())
		case e, more := <-w.Updates():
			switch {
			case !more:
				return nil, b.told(errLost)
			case e != nil:
				keys = append(keys, e.Key())
				continue
			}
			slices.Sort(keys)
			return slices.Compact(keys), nil // One that changes meanwhile comes twice.
		}
	}
}

// filters select the keys that begin with the words of the prefix.
func filters(prefix string) []string {
	if prefix == "" {
		return []string{">"}
	}
	return []string{prefix, prefix + ".>"}
}

// streamOf is the name of the stream that holds a bucket, and before is what stands before every key in its subjects.
func streamOf(bucket string) string { return "KV_" + bucket }
func (b *bucket) before() string    { return "$KV." + b.name + "." }

func (b *bucket) subjects(prefix string) []string {
	all := filters(prefix)
	for i := range all {
		all[i] = b.before() + all[i]
	}
	return all
}
