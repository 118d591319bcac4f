// Package worst is for benchmarks that look for the longest that an answer takes.
package worst

import (
	"cmp"
	"slices"
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

const (
	// kept is how many of the cases that take longest are asked again in the end, and repeats how many times each.
	kept    = 50
	repeats = 40
)

// asked is a case and the least time that it took: what it takes where the machine does nothing else meanwhile.
type asked struct {
	n     int
	ready func() (ask func())
	least time.Duration
}

func (c *asked) again(times int) {
	for range times {
		ask := c.ready()
		start := time.Now()
		ask()
		c.least = min(c.least, time.Since(start))
	}
}

// Report asks for every case, and reports how many ms the longest took and the fiftieth. Of both the least of many
// repetitions counts.
func Report(b *testing.B, ask func(i int)) {
	ReportReady(b, func(i int) func() func() {
		return func() func() { return func() { ask(i) } }
	})
}

// ReportReady does so where something has to be made ready before each asking, which does not count. Cases come in their
// order; what makes one ready may be asked again later.
func ReportReady(b *testing.B, at func(i int) (ready func() (ask func()))) {
	longer := func(p, q asked) int { return cmp.Compare(q.least, p.least) }
	var worst []asked // the longest first
	for range b.N {
		worst = worst[:0]
		for i := range Of() {
			c := asked{i, at(i), time.Hour}
			c.again(1)
			least := time.Duration(0) // what it has to take to be among them
			if len(worst) == kept {
				least = worst[kept-1].least
			}
			for k := 0; k < 9 && c.least > least; k++ {
				c.again(1) // it may have been the machine
			}
			if c.least > least {
				worst = worst[:min(len(worst), kept-1)]
				k, _ := slices.BinarySearchFunc(worst, c, longer)
				worst = slices.Insert(worst, k, c)
			}
		}
		for i := range worst {
			worst[i].again(repeats)
		}
		slices.SortStableFunc(worst, longer)
	}
	b.ReportMetric(worst[0].least.Seconds()*1e3, "ms/worst")
	b.ReportMetric(worst[len(worst)-1].least.Seconds()*1e3, "ms/50th")
	b.ReportMetric(0, "ns/op")
	b.Logf("the longest: case %d", worst[0].n)
}
