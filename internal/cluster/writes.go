package main

import (
	"fmt"
	"sync"
	"sync/atomic"
	"time"
)

const (
	writesFor  = 3 * time.Second
	writeBytes = 2000 // about an arm at rest
)

// countWrites prints how many values the three nodes keep a second, by how many are under way at once.
func (c *cluster) countWrites() error {
	bucket, err := c.store.Bucket("probe")
	if err != nil {
		return err
	}
	value := make([]byte, writeBytes)
	for _, writers := range []int{1, 4, 16, 64} {
		var kept, failed atomic.Int64
		var took spreadOf
		var all sync.WaitGroup
		end := time.Now().Add(writesFor)
		for w := range writers {
			all.Go(func() {
				for key := fmt.Sprint("w", w); time.Now().Before(end); {
					begun := time.Now()
					if _, err := bucket.Put(key, value); err != nil {
						failed.Add(1)
						continue
					}
					kept.Add(1)
					took.add(time.Since(begun))
				}
			})
		}
		all.Wait()
		fmt.Printf("%d writes of %d bytes at once: %.0f a second, each after %v; %d failed\n", writers, writeBytes, float64(kept.Load())/writesFor.Seconds(), took.all, failed.Load())
	}
	return nil
}

// spreadOf collects from several goroutines.
type spreadOf struct {
	mu  sync.Mutex
	all spread
}

func (s *spreadOf) add(d time.Duration) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.all = append(s.all, d)
}
