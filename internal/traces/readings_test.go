package traces

import (
	"math"
	"math/rand/v2"
	"regexp"
	"strings"
	"testing"

	"handrule/kinematics"
	"handrule/scenarios"
	"handrule/scenarios/armfile"
)

var jointJog = regexp.MustCompile(`joint J([1-6]) ([+-])`)

// turnedRound is the jogs of a text with the signs of those joints the other way.
func turnedRound(text string, reversed [6]bool) string {
	return jointJog.ReplaceAllStringFunc(text, func(jog string) string {
		if m := jointJog.FindStringSubmatch(jog); reversed[m[1][0]-'1'] {
			return strings.TrimRight(jog, "+-") + map[string]string{"+": "-", "-": "+"}[m[2]]
		}
		return jog
	})
}

// headline is an event without its numbers.
func headline(event string) string {
	if strings.HasPrefix(event, "start ") {
		return "start"
	}
	if strings.Contains(event, "touches") || strings.Contains(event, "set distance") {
		return "contact" // an arm that stands in or near a thing may be stopped by two of its parts alike
	}
	event, _, _ = strings.Cut(event, ". ")
	return event
}

// endsAlike reports whether a jog under way in both ends for the same reason within so many ticks, in one of them now.
func endsAlike(a, b []Tick, apart int) bool {
	next := func(ticks []Tick) (event string, after int) {
		for k, t := range ticks[:min(apart, len(ticks))] {
			if t.Event != "" {
				return headline(t.Event), k
			}
		}
		return "", apart
	}
	was, afterWas := next(a)
	is, afterIs := next(b)
	return was == is && was != "" && min(afterWas, afterIs) == 0
}

// An arm whose display shows other numbers and directions does the same in every random jog file, tick by tick, and what it shows are those
// numbers. Its file is written and read again on the way. At a singularity, where the last digits of a pose decide where exactly a jog
// ends, it may end some ticks earlier or later, for the same reason; or joints share a turn in another way. Where a joint stands on its limit
// already the last digit decides whether that is one tick.
func TestReadingsChangeWhatIsShownAndNothingElse(t *testing.T) {
	cell, err := scenarios.OpenCell("glazing-bench")
	if err != nil {
		t.Fatal(err)
	}
	r := rand.New(rand.NewPCG(seed, 7))
	ticks, parted, farthest, worst := 0, 0, 0.0, 0.0
	for n := range files {
		for _, arm := range scenarios.ShippedArms() {
			var reads kinematics.Joints
			var reversed [6]bool
			for i := range reads {
				reversed[i] = r.IntN(2) == 0
				reads[i] = kinematics.Radians([]float64{0, 90, -90, 180, 37.5, -112.25}[r.IntN(6)])
			}
			other, err := arm.ReadAs(reads, reversed)
			if err == nil {
				other, err = armfile.Parse("other.yaml", other.Text())
			}
			if err != nil {
				t.Fatal(err)
			}
			display := func(q kinematics.Joints) kinematics.Joints {
				for i := range q {
					if reversed[i] {
						q[i] = -q[i]
					}
					q[i] += reads[i]
				}
				return q
			}
			q := start(n*3, arm.Geometry, r)
			text := lines(r)
			var plain []Tick
			if err := run("file", arm, cell, q, text, func(t Tick) { plain = append(plain, t) }); err != nil {
				t.Fatal(err)
			}
			var changed []Tick
			if err := run("file", other, cell, display(q), turnedRound(text, reversed), func(t Tick) { changed = append(changed, t) }); err != nil {
				t.Fatal(err)
			}
			left := false
			for k, now := range changed {
				if k >= len(plain) || left {
					break
				}
				was := plain[k]
				off, angle := 0.0, 0.0
				for i := range now.TCP {
					off = max(off, math.Abs(now.TCP[i]-was.TCP[i]))
				}
				shows := display(was.Joints)
				for i := range shows {
					angle = max(angle, math.Abs(shows[i]-now.Joints[i]))
				}
				apart := 2
				singular := arm.Geometry.Singularity(was.Joints, kinematics.Identity).Smallest < 0.03
				if singular {
					apart = 25 // saying why it ends may take one of them longer
				}
				if off < 1e-3 && (singular && angle > 1e-6 || headline(now.Event) != headline(was.Event) && endsAlike(plain[k:], changed[k:], apart)) {
					parted, left = parted+1, true // from there on it is another motion
					break
				}
				if off > 1e-3 || angle > 1e-5 || headline(now.Event) != headline(was.Event) {
					left = true
					t.Errorf("file %d, %s: after %d of %d ticks the TCP is %g mm elsewhere and the joints %g rad, %q for %q in\n%s", n+1, arm.ID, k+1, len(plain), off, angle, now.Event, was.Event, text)
				}
				farthest, worst, ticks = max(farthest, off), max(worst, angle), ticks+1
			}
			if len(changed) != len(plain) && !left {
				t.Errorf("file %d, %s: %d ticks for %d in\n%s", n+1, arm.ID, len(changed), len(plain), text)
			}
		}
	}
	if parted > 3*files/10 {
		t.Errorf("%d of %d files part at a singularity", parted, 3*files)
	}
	t.Logf("%d ticks, %d files part at a singularity; the TCP is at most %.3g mm elsewhere, the joints %.3g rad", ticks, parted, farthest, worst)
}
