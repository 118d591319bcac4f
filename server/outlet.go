package server

import (
	"net"
	"sync"
	"syscall"
	"time"
)

// outlet is a connection whose writes do not wait while it is prompt: what the connection does not take at once is kept, and
// written by wait. So the clock's hands write frames themselves, which costs half of what it costs to wake a goroutine for each.
type outlet struct {
	net.Conn
	mu      sync.Mutex
	socket  syscall.RawConn // not nil while it is prompt
	rest    []byte          // not written yet
	attempt attempt
}

// attempt is a write that waits for nothing, and what came of it. It lasts, so that no write takes memory.
type attempt struct {
	text []byte
	n    int
	err  error
	once func(fd uintptr) bool
}

// socketOf is what a write that waits for nothing goes to; nil where there is none: over TLS, and on systems that have no such write.
func socketOf(conn net.Conn) syscall.RawConn {
	tcp, plain := conn.(*net.TCPConn)
	if !plain || !canAttempt {
		return nil
	}
	socket, err := tcp.SyscallConn()
	if err != nil {
		return nil
	}
	return socket
}

// Write writes all of it, or keeps what would have to wait while the outlet is prompt.
func (o *outlet) Write(p []byte) (int, error) {
	o.mu.Lock()
	defer o.mu.Unlock()
	if o.socket == nil {
		return o.Conn.Write(p)
	}
	n := 0
	if len(o.rest) == 0 {
		var err error
		if n, err = o.attempt.write(o.socket, p); err != nil {
			return n, err
		}
	}
	o.rest = append(o.rest, p[n:]...)
	return len(p), nil
}

// write writes what the socket takes at once.
func (a *attempt) write(to syscall.RawConn, text []byte) (int, error) {
	if a.once == nil {
		a.once = func(fd uintptr) bool {
			a.n, a.err = writeAtOnce(fd, a.text)
			return true // whatever came of it: it is not tried again when there is room
		}
	}
	a.text, a.n, a.err = text, 0, nil
	err := to.Write(a.once)
	a.text = nil
	if err != nil {
		return 0, err
	}
	return a.n, a.err
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
	o.socket = nil
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
	o.socket = nil
	o.Conn.SetWriteDeadline(time.Now().Add(partingTime))
	o.Conn.Write(o.rest)
	o.rest = nil
	o.Conn.SetWriteDeadline(time.Time{})
}

// hurry makes the outlet prompt, and reports whether it is: its connection may not be able to.
func (o *outlet) hurry() bool {
	o.mu.Lock()
	defer o.mu.Unlock()
	o.socket = socketOf(o.Conn)
	return o.socket != nil
}
