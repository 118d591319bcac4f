//go:build unix

package files

import "syscall"

// atOnce opens a pipe without waiting for its other end.
const atOnce = syscall.O_NONBLOCK
