//go:build unix

package server

import "syscall"

// canAttempt reports whether this system has a write that waits for nothing, and tells exactly how much of it went out.
const canAttempt = true

// writeAtOnce writes what a socket takes now, maybe nothing.
func writeAtOnce(fd uintptr, p []byte) (int, error) {
	for {
		n, err := syscall.Write(int(fd), p) // Go's sockets never block.
		switch err {
		case nil:
			return n, nil
		case syscall.EINTR:
		case syscall.EAGAIN:
			return 0, nil
		default:
			return 0, err
		}
	}
}
