package jog

import "testing"

// A stretch is passed where nothing can dip into anything by more than the 2e-5 mm that are promised between two free ends, however free
// they are by less; and one on which it can dip deeper only where both ends are as far off as that.
func TestNoStretchIsPassedOnWhichMoreGoesUnseen(t *testing.T) {
	for _, c := range []struct {
		here, there, deepest float64
		passes               bool
	}{
		{1e-9, 1e-9, 1.9e-5, true},
		{1e-9, 1e-9, 2.1e-5, false},
		{1e-5, 1e-9, 3e-5, false},
		{1e-4, 1.5e-5, 2.1e-5, false},
		{3e-5, 3e-5, 2.9e-5, true},
		{3e-5, 3e-5, 3.1e-5, false},
		{1, -1e-9, 1e-9, false},
	} {
		var s stretch
		if s.passes(c.here, c.there, 10, c.deepest) != c.passes {
			t.Errorf("with %g and %g mm free at its ends and a dip of at most %g mm a stretch passes: %v", c.here, c.there, c.deepest, !c.passes)
		}
	}
}
