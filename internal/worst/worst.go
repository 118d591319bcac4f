// Package worst is for benchmarks that look for the longest that an answer takes.
package worst

import (
	"testing"
	"time"
)

// Of is how many cases are looked through.
func Of() int {
	if testing.Short() {
		return 500 // that it runs, and no more
	}
	return 100_000
}

// Report asks for every case and reports the longest that one took, in ms. What took long is asked again, so that what the
// machine did meanwhile does not count.
func Report(b *testing.B, ask func(i int)) {
	ReportPrepared(b, func(i int) func() { return func() { ask(i) } })
}

// ReportPrepared does so where something has to be made ready for each case, which does not count.
func ReportPrepared(b *testing.B, prepare func(i int) (ask func())) {
	took := func(i int) time.Duration {
		ask := prepare(i)
		start := time.Now()
		ask()
		return time.Since(start)
	}
	var longest time.Duration
	for range b.N {
		for i := range Of() {
			t := took(i)
			for again := 0; again < 3 && t > longest; again++ {
				t = min(t, took(i))
			}
			longest = max(longest, t)
		}
	}
	b.ReportMetric(longest.Seconds()*1e3, "ms/worst")
	b.ReportMetric(0, "ns/op")
}
