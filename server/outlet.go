package server

import (
	"errors"
	"net"
	"os"
	"runtime"
	"sync"
	"time"
)

// promptTime is how long a prompt write may take. It takes that long only where the connection is full.
const promptTime = time.Millisecond

// canBePrompt reports whether a write that ran out of time tells exactly how much of it went out. Over TLS it spoils the
// connection.
func canBePrompt(conn net.Conn) bool {
	_, plain := conn.(*net.TCPConn)
	return plain && runtime.GOOS != "windows"
}

// outlet is a connection whose writes do not wait while it is prompt: what the connection does not take at once is kept, and
// written by wait. So the clock's hands write frames themselves, which costs half of what it costs to wake a goroutine for each.
type outlet struct {
	net.Conn
	mu     sync.Mutex
	prompt bool
	rest   []byte // not written yet
}

// Write writes all of it, or keeps what would have to wait while the outlet is prompt.
func (o *outlet) Write(p []byte) (int, error) {
	o.mu.Lock()
	defer o.mu.Unlock()
	if !o.prompt {
		return o.Conn.Write(p)
	}
	n := 0
	if len(o.rest) == 0 {
		o.Conn.SetWriteDeadline(time.Now().Add(promptTime)) // A connection that takes none fails to write as well.
		var err error
		if n, err = o.Conn.Write(p); err != nil && !errors.Is(err, os.ErrDeadlineExceeded) {
			return n, err
		}
	}
	o.rest = append(o.rest, p[n:]...)
	return len(p), nil
}

// left reports whether something is kept.
func (o *outlet) left() bool {
	o.mu.Lock()
	defer o.mu.Unlock()
	return len(o.rest) > 0
}

// wait writes what is kept, however long that takes. Writes wait from now on.
func (o *outlet) wait() error {
	o.mu.Lock()
	defer o.mu.Unlock()
	o.prompt = false
	o.Conn.SetWriteDeadline(time.Time{})
	_, err := o.Conn.Write(o.rest)
	o.rest = nil
	return err
}

// part writes what is kept, within a second, before the connection is closed; what is written then waits. Else what was not taken at
// once on a busy machine would never go out, as why the page is sent away. Where somebody writes already, that is so without it.
func (o *outlet) part() {
	if !o.mu.TryLock() {
		return
	}
	defer o.mu.Unlock()
	o.prompt = false
	o.Conn.SetWriteDeadline(time.Now().Add(partingTime))
	o.Conn.Write(o.rest)
	o.rest = nil
	o.Conn.SetWriteDeadline(time.Time{})
}

// hurry makes the outlet prompt, if its connection can be.
func (o *outlet) hurry() {
	o.mu.Lock()
	defer o.mu.Unlock()
	o.prompt = canBePrompt(o.Conn)
}
