package main

import (
	"fmt"
	"slices"
	"time"
)

// spread is how long things took.
type spread []time.Duration

func (s spread) at(part float64) float64 {
	sorted := slices.Sorted(slices.Values(s))
	return sorted[min(len(sorted)-1, int(part*float64(len(sorted))))].Seconds()
}

func (s spread) String() string {
	if len(s) == 0 {
		return "never"
	}
	return fmt.Sprintf("%.3g s (median), %.3g s (p99), %.3g s (longest)", s.at(0.5), s.at(0.99), s.at(1))
}
