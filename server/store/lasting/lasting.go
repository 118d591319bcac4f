// Package lasting keeps what must last in NATS with JetStream: an engine of its own inside the process, whose files lie in a folder
// (engine.go), or one outside that many processes share. A bucket is one of JetStream's for keys and values, of which the last
// value alone is kept.
package lasting

import (
	"bytes"
	"cmp"
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net/url"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"github.com/nats-io/nats.go"
	"github.com/nats-io/nats.go/jetstream"

	"handrule/server/store"
)

// Options say where things are kept. Either Folder or URL is given.
type Options struct {
	Folder string // of an engine inside this process; made where there is none
	URL    string // of an engine outside; several with commas between them

	Terms map[string]Terms // by bucket
	Log   *slog.Logger

	writePatience time.Duration // 0: as the constant says; a test's own
}

// Terms say how long a bucket keeps things, and how many.
type Terms struct {
	Forget time.Duration // a value that is not written again for so long; 0: it is kept for ever
	Most   int64         // bytes; then what was not written again for longest is forgotten; 0: as many as there is room for
}

const (
	// patience is how long an answer of the engine is waited for. A cluster that lost a leader needs 4 to 9 s for another; who writes
	// then asks again. While it is known to be away it is asked more often: who waits for an old question does not hear that there is
	// a leader.
	patience     = 3 * time.Second
	patienceAway = time.Second
	// pingEvery finds out within three times as long that a node is gone without a word, as with its power or its cable.
	pingEvery = 2 * time.Second
	// writePatience is how long a node may take to read what it is sent. One that is gone without a word reads nothing, and once the
	// system holds no more for it, whoever writes waits, and with them all who use the connection, its pings too.
	writePatience = 2 * time.Second
	// startPatience is how long an engine outside is waited for at the start.
	startPatience = 30 * time.Second
	// copies of everything are kept where there is a cluster, so that it goes on when one of three is gone.
	copies = 3
	// markFor is how long it is remembered that a key was deleted, for those who watch and were away.
	markFor = 24 * time.Hour
)

// Store is a store.Store.
type Store struct {
	opts   Options
	engine *engine // nil where it is outside
	conn   *nats.Conn
	js     jetstream.JetStream
	closed context.Context
	close  context.CancelFunc

	said   *store.Queue[saying]  // what is published; nil where the engine is inside
	unsaid atomic.Pointer[error] // why the last of it was not

	mu      sync.Mutex
	buckets map[string]*bucket
}

// saying is something that is published.
type saying struct {
	subject string
	data    []byte
}

// Open opens what is kept there. The error says what is wrong in words for who started the program.
func Open(ctx context.Context, opts Options) (*Store, error) {
	if opts.Log == nil {
		opts.Log = slog.New(slog.DiscardHandler)
	}
	s := &Store{opts: opts, buckets: map[string]*bucket{}}
	s.closed, s.close = context.WithCancel(context.Background())
	var err error
	s.unsaid.Store(&err)
	if opts.URL == "" {
		if s.engine, err = openEngine(opts.Folder, opts.Log); err != nil {
			return nil, err
		}
	}
	if err = s.connect(ctx); err == nil {
		s.js, err = jetstream.New(s.conn, jetstream.WithDefaultTimeout(patience))
	}
	if err == nil {
		err = s.wake(ctx)
	}
	if s.engine == nil && err == nil {
		s.said = store.NewQueue(s.say)
	}
	if err != nil {
		s.Close()
		return nil, err
	}
	return s, nil
}

// connect connects with the engine, for ever: where the connection is lost, another is made.
func (s *Store) connect(ctx context.Context) (err error) {
	log := s.opts.Log
	options := []nats.Option{
		nats.Name("handrule"), nats.MaxReconnects(-1), nats.ReconnectWait(250 * time.Millisecond), nats.ReconnectBufSize(-1), nats.Timeout(patience),
		nats.PingInterval(pingEvery), nats.MaxPingsOutstanding(2), nats.FlusherTimeout(cmp.Or(s.opts.writePatience, writePatience)), nats.ReconnectOnFlusherError(),
		nats.DisconnectErrHandler(func(_ *nats.Conn, err error) {
			if err != nil {
				log.Warn("the connection with the engine is lost", "why", err)
			}
		}),
		nats.ReconnectHandler(func(c *nats.Conn) { log.Info("connected with the engine again", "at", c.ConnectedUrlRedacted()) }),
		nats.ErrorHandler(func(_ *nats.Conn, _ *nats.Subscription, err error) { log.Debug("engine", "why", err) }),
	}
	if s.engine != nil {
		s.conn, err = nats.Connect("", append(options, nats.InProcessServer(s.engine))...)
		return err
	}
	for until := time.Now().Add(startPatience); ; {
		if s.conn, err = nats.Connect(s.opts.URL, options...); err == nil {
			return nil
		}
		if !errors.Is(err, nats.ErrNoServers) || time.Now().After(until) || ctx.Err() != nil {
			return fmt.Errorf("no engine can be reached at %s: %w", redacted(s.opts.URL), err)
		}
		log.Warn("no engine can be reached yet", "at", redacted(s.opts.URL), "why", err)
		pause(ctx)
	}
}

// redacted are addresses without the passwords in them.
func redacted(addresses string) string {
	all := strings.Split(addresses, ",")
	for i, a := range all {
		if u, err := url.Parse(strings.TrimSpace(a)); err == nil && u.Host != "" {
			all[i] = u.Redacted()
		} else if _, host, found := strings.Cut(a, "@"); found {
			all[i] = host
		}
	}
	return strings.Join(all, ", ")
}

// wake waits until the engine keeps things.
func (s *Store) wake(ctx context.Context) error {
	for until := time.Now().Add(startPatience); ; {
		within, cancel := s.limited()
		_, err := s.js.AccountInfo(within)
		cancel()
		switch {
		case err == nil:
			return nil
		case errors.Is(err, jetstream.ErrJetStreamNotEnabled) && s.engine == nil, errors.Is(err, jetstream.ErrJetStreamNotEnabledForAccount):
			return fmt.Errorf("the engine at %s keeps nothing: JetStream is not enabled there", redacted(s.opts.URL))
		case time.Now().After(until) || ctx.Err() != nil:
			return fmt.Errorf("the engine does not answer: %w", err)
		}
		s.opts.Log.Warn("the engine does not answer yet", "why", err)
		pause(ctx)
	}
}

// pause waits a second, or until ctx ends.
func pause(ctx context.Context) {
	select {
	case <-ctx.Done():
	case <-time.After(time.Second):
	}
}

// limited is a context for one question to the engine.
func (s *Store) limited() (context.Context, context.CancelFunc) {
	return context.WithTimeout(s.closed, patience)
}

// Bucket returns the bucket of that name, which is letters, digits, "-" and "_".
func (s *Store) Bucket(name string) (store.Bucket, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if b := s.buckets[name]; b != nil {
		return b, nil
	}
	kv, err := s.open(name)
	if err != nil {
		return nil, s.told(err)
	}
	b := &bucket{store: s, name: name, kv: kv}
	s.buckets[name] = b
	return b, nil
}

// open makes the bucket's stream as it is to be. It is JetStream's own form of such a bucket, with one difference: nothing is read
// from a copy that may be behind, so that what was acknowledged is there.
func (s *Store) open(name string) (jetstream.KeyValue, error) {
	ctx, cancel := context.WithTimeout(s.closed, startPatience)
	defer cancel()
	terms := s.opts.Terms[name]
	want := jetstream.StreamConfig{
		Name: streamOf(name), Subjects: []string{"$KV." + name + ".>"}, Storage: jetstream.FileStorage, Replicas: s.replicas(),
		MaxMsgsPerSubject: 1, MaxAge: terms.Forget, Discard: jetstream.DiscardNew, AllowRollup: true, DenyDelete: true,
		MaxMsgs: -1, MaxBytes: -1, MaxConsumers: -1, MaxMsgSize: -1, Duplicates: 2 * time.Minute,
		AllowMsgTTL: true, SubjectDeleteMarkerTTL: markFor,
	}
	if terms.Forget > 0 {
		want.Duplicates = min(want.Duplicates, terms.Forget)
	}
	if terms.Most > 0 {
		want.MaxBytes, want.Discard = terms.Most, jetstream.DiscardOld
	}
	stream, err := s.js.Stream(ctx, want.Name)
	switch {
	case errors.Is(err, jetstream.ErrStreamNotFound):
		_, err = s.js.CreateStream(ctx, want)
	case err == nil:
		is := stream.CachedInfo().Config
		if is.MaxAge != want.MaxAge || is.MaxBytes != want.MaxBytes || is.AllowDirect || is.Replicas < want.Replicas {
			want.Replicas = max(is.Replicas, want.Replicas)
			_, err = s.js.UpdateStream(ctx, want)
		}
	}
	if err != nil {
		return nil, err
	}
	return s.js.KeyValue(ctx, name)
}

// replicas is how many copies are kept of everything.
func (s *Store) replicas() int {
	if s.conn.ConnectedClusterName() != "" {
		return copies
	}
	return 1
}

// Publish tells all who subscribed. It waits for no node outside: an arm that is seen moves on while one reads nothing. So the error is of what was
// published before.
func (s *Store) Publish(subject string, data []byte) error {
	if s.said == nil {
		return s.told(s.conn.Publish(subject, data))
	}
	s.said.Put(saying{subject, bytes.Clone(data)}, store.MostUnheard)
	return s.told(*s.unsaid.Load())
}

func (s *Store) say(one saying) {
	err := s.conn.Publish(one.subject, one.data)
	s.unsaid.Store(&err)
}

// Subscribe has f called with what is published under a subject.
func (s *Store) Subscribe(subject string, f func(string, []byte)) (func(), error) {
	q := store.NewQueue(func(m *nats.Msg) { f(m.Subject, m.Data) })
	sub, err := s.conn.Subscribe(subject, func(m *nats.Msg) { q.Put(m, store.MostUnheard) })
	if err == nil {
		err = s.conn.Flush() // From now on everything is heard.
	}
	if err != nil {
		q.End()
		return nil, s.told(err)
	}
	return func() {
		sub.Unsubscribe()
		q.End()
	}, nil
}

// Close ends it. What was acknowledged is kept.
func (s *Store) Close() error {
	s.close()
	if s.said != nil {
		s.said.End()
	}
	if s.conn != nil {
		s.conn.Close()
	}
	if s.engine != nil {
		s.engine.close()
	}
	return nil
}
