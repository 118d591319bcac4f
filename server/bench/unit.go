package bench

import (
	"fmt"
	"slices"

	"handrule/kinematics/jog"
	"handrule/scenarios/lesson"
	"handrule/words"
)

// This file is the unit that lengths are read in. What the bench says is said in it, and what it offers is round in it; all it
// computes and all numbers of the wire are mm.

// choicesIn are what the page offers, from fine to coarse, in a unit. Those of one unit stand in the places of their like in the
// other. The fastest is the reduced speed in both.
var choicesIn = map[words.Unit]Choices{
	words.MM: {
		Increments: incrementRequests(lesson.Increments),
		Speeds:     []SpeedRequest{{5, 2}, {10, 5}, {25, 10}, {50, 15}, {100, 30}, {jog.ReducedSpeed, 60}},
	},
	words.Inch: {
		Increments: inInches(0.005, 0.02, 0.05, 0.2, 0.5, 1, 2, 4, 4),
		Speeds: []SpeedRequest{
			{0.2 * words.MMPerInch, 2}, {0.5 * words.MMPerInch, 5}, {words.MMPerInch, 10}, {2 * words.MMPerInch, 15}, {4 * words.MMPerInch, 30}, {jog.ReducedSpeed, 60},
		},
	},
}

// inInches are the increments with their straight steps replaced.
func inInches(steps ...float64) (all []IncrementRequest) {
	for i, step := range steps {
		all = append(all, IncrementRequest{MM: step * words.MMPerInch, Deg: lesson.Increments[i].Deg})
	}
	return all
}

// like is what stands in the place of a choice among those of another unit; one that is not offered stays as it is.
func like[T comparable](from, to []T, chosen T) T {
	if i := slices.Index(from, chosen); i >= 0 {
		return to[i]
	}
	return chosen
}

// chooseUnit makes lengths be read in that unit. A step or a speed that is round in the old one gives way to its like.
func (b *Bench) chooseUnit(unit words.Unit) error {
	to, is := choicesIn[unit]
	if !is {
		return fmt.Errorf("lengths are read in %q or %q, not in %q", words.MM, words.Inch, clip(string(unit)))
	}
	if unit == b.chosen.Unit {
		return nil
	}
	from, differed := choicesIn[b.chosen.Unit], b.Differs()
	b.chosen.Unit = unit
	b.speak(b.in)
	if step := like(from.Increments, to.Increments, b.chosen.Increment); step != b.chosen.Increment && !b.lesson.allows().LimitsSteps() {
		b.chosen.Increment = step
		b.predicting.withdraw()
	}
	if speed := b.lesson.slowed(like(from.Speeds, to.Speeds, b.chosen.Speed)); speed != b.chosen.Speed {
		b.release()
		b.chosen.Speed = speed
	}
	if !differed {
		b.made = b.chosen // The page says the unit as it comes, before anybody does anything.
	}
	b.retell()
	return nil
}
