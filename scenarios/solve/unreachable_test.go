package solve_test

import (
	"strings"
	"testing"

	"handrule/scenarios"
	"handrule/scenarios/lesson"
	"handrule/scenarios/solve"
)

// Golden messages of places to which no way leads. Each is found without a search. Wren, by hand: from the shoulder, which is 40 mm
// from axis 1 at the height of the origin, the wrist gets 270 + √(280² + 30²) = 551.6 mm far; with the pen
// forward it has to be 190 mm before the tip, √(670² + 300²) − 551.6 = 182 mm too far, and is at X 40 + √(551.6² − 300²) + 190 = 692 at most.
func TestPlacesThatCannotBeReachedAreToldAsThat(t *testing.T) {
	for _, test := range []struct{ name, reach, says string }{
		{"with its orientation", "{position_mm: [900, 0, 300], rotation_deg: [0, 90, 0], tolerance_mm: 1, tolerance_deg: 1}", "stage 1: reach cannot be passed: the place is out of reach: the arm is about 182 mm too short for it; at most X 692 here\n"},
		{"any orientation", "{position_mm: [900, 0, 110], tolerance_mm: 1}", "the arm is about 127 mm too short for it; at most X 770 here\n"},
		{"the other way", "{position_mm: [0, -900, 110], tolerance_mm: 1}", "; at least Y −770 here\n"},
		{"in a task frame", "{frame: task tile, position_mm: [75, 75, 1200], tolerance_mm: 1}", "too short for it; at most Z "},
		{"beyond limits", "{position_mm: [200, 0, 300], rotation_deg: [0, 0, 0], tolerance_mm: 1, tolerance_deg: 1}", "the arm could be there only beyond its limits: J"},
		{"in the pot", "{frame: world, position_mm: [250, 260, 60], rotation_deg: [180, 0, 0], tolerance_mm: 1, tolerance_deg: 1}", "stage 1: reach cannot be passed: there the arm would be inside something: pen would be 60 mm inside glaze pot\n"},
	} {
		text := "title: A\narm: wren\ncell: glazing-bench\nstart_deg: [0, 0, 0, 0, 90, 0]\nstages:\n  - text: Go.\n    reach: " + test.reach + "\n"
		l, err := scenarios.ReadLesson("own.yaml", []byte(text))
		if err != nil {
			t.Fatal(err)
		}
		_, _, err = solve.Drawn(l, lesson.Deal{})
		if err == nil || !strings.Contains(err.Error(), test.says) {
			t.Errorf("%s: want %q in %v", test.name, test.says, err)
		}
	}
}
