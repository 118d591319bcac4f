package lasting

import (
	"context"
	"strings"
	"time"

	"github.com/nats-io/nats.go/jetstream"

	"handrule/server/store"
)

// A watch has a consumer of its own in the engine, which lives where one node of a cluster does. So where it says nothing for a
// while, not even that it lives, another is made, which goes on after the last change that was told.
const (
	signOfLife = time.Second // twice as long is waited for one
	watchAgain = 250 * time.Millisecond
)

// watch is what a watch has told so far.
type watch struct {
	bucket *bucket
	prefix string
	f      func(store.Entry)
	last   uint64 // revision
	begun  bool   // all that was kept at first is told
}

// Watch goes on for ever: what changes while the engine is away is told afterwards.
func (b *bucket) Watch(prefix string, f func(store.Entry)) (func(), error) {
	ctx, cancel := context.WithCancel(b.store.closed)
	w := &watch{bucket: b, prefix: prefix, f: f}
	messages, left, err := w.consume(ctx, patience)
	if err != nil {
		cancel()
		return nil, b.store.told(err)
	}
	go func() {
		for {
			if err == nil {
				w.tell(ctx, messages, left)
			}
			select {
			case <-ctx.Done():
				return
			case <-time.After(watchAgain):
			}
			messages, left, err = w.consume(ctx, patienceAway)
		}
	}()
	return cancel, nil
}

// consume begins after the last change that was told; so many are there already.
func (w *watch) consume(ctx context.Context, patience time.Duration) (messages jetstream.MessagesContext, left uint64, err error) {
	within, cancel := context.WithTimeout(ctx, patience)
	defer cancel()
	from := jetstream.OrderedConsumerConfig{FilterSubjects: w.bucket.subjects(w.prefix), DeliverPolicy: jetstream.DeliverLastPerSubjectPolicy, MaxResetAttempts: 1}
	if w.last > 0 {
		from.DeliverPolicy, from.OptStartSeq = jetstream.DeliverByStartSequencePolicy, w.last+1
	}
	consumer, err := w.bucket.store.js.OrderedConsumer(within, streamOf(w.bucket.name), from)
	if err != nil {
		return nil, 0, err
	}
	messages, err = consumer.Messages(jetstream.PullHeartbeat(signOfLife), jetstream.PullExpiry(time.Minute))
	return messages, consumer.CachedInfo().NumPending, err
}

// tell tells what comes until there is trouble or ctx ends.
func (w *watch) tell(ctx context.Context, messages jetstream.MessagesContext, left uint64) {
	defer messages.Stop()
	if left == 0 {
		w.begin()
	}
	for {
		m, err := messages.Next(jetstream.NextContext(ctx))
		if err != nil {
			return
		}
		about, err := m.Metadata()
		if err != nil || about.Sequence.Stream <= w.last || ctx.Err() != nil {
			continue
		}
		w.last = about.Sequence.Stream
		e := store.Entry{Key: strings.TrimPrefix(m.Subject(), w.bucket.before()), Revision: w.last, Deleted: marksDeletion(m)}
		if !e.Deleted {
			e.Value = m.Data()
		}
		if w.begun || !e.Deleted {
			w.f(e)
		}
		if about.NumPending == 0 {
			w.begin()
		}
	}
}

func (w *watch) begin() {
	if !w.begun {
		w.begun = true
		w.f(store.Entry{})
	}
}

// marksDeletion reports whether a message says that the key was deleted, or forgotten.
func marksDeletion(m jetstream.Msg) bool {
	head := m.Headers()
	return head.Get("KV-Operation") != "" || head.Get(jetstream.MarkerReasonHeader) != ""
}
