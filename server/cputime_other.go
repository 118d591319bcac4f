//go:build !linux

package server

import "time"

// mostWorked is what is counted at most of one request: where the machine is busy with other things it takes longer than it works.
const mostWorked = 50 * time.Millisecond

// worked does it and returns about how long a processor was at it.
func worked(do func()) time.Duration {
	begun := time.Now()
	do()
	return min(mostWorked, time.Since(begun))
}
