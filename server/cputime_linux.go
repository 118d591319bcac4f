package server

import (
	"runtime"
	"syscall"
	"time"
)

// ofThread asks for what the calling thread has used, see getrusage(2).
const ofThread = 1

// worked does it and returns how long a processor was at it, which is not how long it took where the machine is busy with
// other things.
func worked(do func()) time.Duration {
	runtime.LockOSThread()
	defer runtime.UnlockOSThread()
	before := used()
	do()
	return used() - before
}

func used() time.Duration {
	var u syscall.Rusage
	if syscall.Getrusage(ofThread, &u) != nil {
		return 0
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}
