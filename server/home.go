package server

import (
	"context"
	"log/slog"
	"sync/atomic"
	"time"

	"handrule/server/bench"
	"handrule/server/store"
)

// home is where benches come from, and where they are kept while nobody is at them.
type home struct {
	offer atomic.Pointer[bench.Offer]
	env   bench.Env
	store store.Store
	log   *slog.Logger
}

// take returns the bench that is kept by this id, or a new one.
func (h *home) take(id string) *bench.Bench {
	offer := h.offer.Load()
	kept, found, err := h.store.Load(id)
	if err == nil && found {
		var b *bench.Bench
		if b, err = bench.Restore(offer, h.env, kept.State, kept.Log); err == nil {
			return b
		}
	}
	if err != nil {
		h.log.Warn("a bench begins anew: it cannot be restored", "bench", id[:min(8, len(id))], "why", err)
	}
	return bench.New(offer, h.env)
}

// keep keeps a bench at rest, and reports whether it did.
func (h *home) keep(id string, b *bench.Bench) bool {
	state, log, err := b.Snapshot()
	if err == nil {
		err = h.store.Save(id, store.Bench{State: state, Log: log})
	}
	if err != nil {
		h.log.Warn("a bench stays in memory: it cannot be kept", "bench", id[:min(8, len(id))], "why", err)
	}
	return err == nil
}

const (
	restAfter = time.Minute // that nobody has been at a bench, it is written down and leaves the memory
	restLooks = 10 * time.Second
)

// putAway puts benches to rest that nobody is at, until ctx ends.
func (s *Server) putAway(ctx context.Context) {
	ticker := time.NewTicker(restLooks)
	defer ticker.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case now := <-ticker.C:
			s.benches.rest(now)
		}
	}
}
