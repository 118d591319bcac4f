package main

import (
	"context"
	"fmt"
	"time"

	"handrule/internal/drive"
)

// How long a page waits before it tries again.
const (
	firstWait   = 300 * time.Millisecond
	longestWait = 5 * time.Second
)

// comesBack keeps a page connected until ctx ends, as pages keep themselves: where the connection is lost they try again, after a time
// that grows until somebody answers. hear hears what comes until the connection is lost, and reports whether anybody answered.
func comesBack(ctx context.Context, dial func() (*drive.Socket, error), hear func(*drive.Socket) bool) {
	wait := firstWait
	for ctx.Err() == nil {
		if conn, err := dial(); err == nil {
			stop := context.AfterFunc(ctx, func() { conn.Close() })
			if hear(conn) {
				wait = firstWait
			}
			stop()
			conn.Close()
		}
		select {
		case <-ctx.Done():
		case <-time.After(wait):
		}
		wait = min(2*wait, longestWait)
	}
}

// until waits for something, for a minute at most.
func until(ctx context.Context, what string, is func() bool) error {
	for end := time.Now().Add(time.Minute); !is(); {
		if ctx.Err() != nil || time.Now().After(end) {
			return fmt.Errorf("it never came that %s", what)
		}
		time.Sleep(5 * time.Millisecond)
	}
	return nil
}
