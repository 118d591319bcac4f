package main

import (
	"context"
	"sync/atomic"
	"time"

	"handrule/server/store"
)

// calm watches the machine, which may have other work: by how long a timer of this program comes late, and how long a small write takes that
// nobody else waits for. What pages see while the machine stands still is told apart.
type calm struct{ late, write atomic.Int64 } // ns, the longest

const (
	calmTimer = 150 * time.Millisecond // two of these let the lease of a hold run out
	calmWrite = time.Second
)

func (c *calm) watch(ctx context.Context, bucket store.Bucket) {
	go func() {
		for ctx.Err() == nil {
			begun := time.Now()
			bucket.Put("probe", nil)
			longest(&c.write, time.Since(begun))
			time.Sleep(100 * time.Millisecond)
		}
	}()
	const tick = 5 * time.Millisecond
	for ctx.Err() == nil {
		begun := time.Now()
		time.Sleep(tick)
		longest(&c.late, time.Since(begun)-tick)
	}
}

func longest(of *atomic.Int64, d time.Duration) { of.Store(max(of.Load(), int64(d))) }

// since reports whether the machine was calm since that was asked last, and what that goes by.
func (c *calm) since() (is bool, late, write time.Duration) {
	late, write = time.Duration(c.late.Swap(0)), time.Duration(c.write.Swap(0))
	return late < calmTimer && write < calmWrite, late, write
}
