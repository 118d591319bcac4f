package solve_test

import (
	"fmt"
	"gonum.org/v1/gonum/spatial/r3"
	"handrule/kinematics"
	"math/rand/v2"
	"slices"
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
		{"any orientation", "{position_mm: [900, 0, 110], tolerance_mm: 1}", "the arm is about 125 mm too short for it; at most X 773 here\n"},
		{"12 mm too far", "{position_mm: [785.5, 0, 110], tolerance_mm: 1}", "stage 1: reach cannot be passed: the place is out of reach: the arm is about 12 mm too short for it; at most X 773 here\n"},
		{"the other way", "{position_mm: [0, -900, 110], tolerance_mm: 1}", "; at least Y −773 here\n"},
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

// unreachable is why no way leads to the place of a lesson's only task; "" where one may.
func unreachable(t *testing.T, text string) string {
	t.Helper()
	l, err := scenarios.ReadLesson("own.yaml", []byte(text))
	if err != nil {
		t.Fatalf("%v in\n%s", err, text)
	}
	why, err := solve.Unreachable(l)
	if err != nil {
		t.Fatal(err)
	}
	return why
}

// What shipped arms reach, with each of their tools and in any pose within their limits, is never called out of reach: not where they stand, and not
// as far beside it as the tolerances let.
func TestWhatCanBeReachedIsNotCalledOutOfReach(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 31))
	for _, arm := range scenarios.ShippedArms() {
		for _, tool := range append(slices.Clone(arm.Tools), kinematics.NoTool) {
			for n := range 60 {
				var q kinematics.Joints
				for i, j := range arm.Geometry.Joints {
					q[i] = j.Min + (j.Max-j.Min)*max(0, min(1, 1.2*r.Float64()-0.1)) // often at a limit
				}
				switch n % 4 {
				case 1: // stretched, with the tool straight on
					q[2], q[3], q[4] = kinematics.Radians(-90+10*r.NormFloat64()), 0, 0
				case 2:
					q[4] = 0
				}
				for i, j := range arm.Geometry.Joints {
					q[i] = max(j.Min, min(j.Max, q[i]))
				}
				flange := arm.Geometry.Forward(q)
				at := flange.Mul(tool.TCP)
				along, about := r3.Unit(r3.Vec{X: r.NormFloat64(), Y: r.NormFloat64(), Z: r.NormFloat64()}), r3.Unit(r3.Vec{X: r.NormFloat64(), Y: r.NormFloat64(), Z: r.NormFloat64()})
				const mm, deg = 2, 3
				at.Position = r3.Add(at.Position, r3.Scale(mm*r.Float64(), along))
				at.Rotation = kinematics.RotationAbout(about, kinematics.Radians(deg*r.Float64())).Mul(at.Rotation)
				goal := fmt.Sprintf("position_mm: [%.6f, %.6f, %.6f], tolerance_mm: %v", at.Position.X, at.Position.Y, at.Position.Z, mm+0.001)
				if n%2 == 0 {
					a, _ := at.Rotation.FixedXYZ()
					goal += fmt.Sprintf(", rotation_deg: [%.6f, %.6f, %.6f], tolerance_deg: %v", kinematics.Degrees(a.X), kinematics.Degrees(a.Y), kinematics.Degrees(a.Z), deg+0.001)
				}
				if why := unreachable(t, fmt.Sprintf("title: A\narm: %s\ntool: %s\nstages:\n  - text: Go.\n    reach: {%s}\n", arm.ID, tool.Name, goal)); strings.Contains(why, "reach") || strings.Contains(why, "limits") {
					t.Errorf("%s with %s at %.1f: {%s}: %s", arm.Name, tool.Name, q.Degrees(), goal, why)
				}
			}
		}
	}
}

// 12 mm beyond what they reach is told at once, with each of the tools and in any direction, and that is how far it is.
func TestJustBeyondReachIsTold(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 31))
	for _, arm := range scenarios.ShippedArms() {
		for _, tool := range append(slices.Clone(arm.Tools), kinematics.NoTool) {
			for range 3 {
				// The nearest that the arm comes to a place far out, and from there 12 mm towards that.
				way := r3.Unit(r3.Vec{X: 1, Y: r.NormFloat64(), Z: r.Float64()})
				far := r3.Scale(2*arm.Geometry.Reach()+1000, way)
				near := arm.Geometry.Nearest(tool.TCP.Position, far, 0, nil)
				flange := arm.Geometry.Forward(near.At)
				edge := flange.Apply(tool.TCP.Position)
				at := r3.Add(edge, r3.Scale(12, r3.Unit(r3.Sub(far, edge))))
				why := unreachable(t, fmt.Sprintf("title: A\narm: %s\ntool: %s\nstages:\n  - text: Go.\n    reach: {position_mm: [%.4f, %.4f, %.4f], tolerance_mm: 1}\n", arm.ID, tool.Name, at.X, at.Y, at.Z))
				if !strings.Contains(why, "out of reach") || !strings.Contains(why, "about 12 mm") || !strings.Contains(why, " here") {
					t.Errorf("%s with %s, 12 mm beyond %.1f: %s", arm.Name, tool.Name, edge, why)
				}
			}
		}
	}
}

// Straight behind, where axis 1 does not turn to, by hand: Wren's wrist gets 40 + 551.6 mm out, with J1 at its limit of 170° to (−582.6, 102.7). From there to
// (−770, 0) it is 213.7 mm, of which the pen takes 190; and with the pen it gets to X −582.6 − √(190² − 102.7²) = −742.4 there. Without limits it would reach −781.
func TestAPlaceBeyondTheLimitsIsTold(t *testing.T) {
	why := unreachable(t, "title: A\narm: wren\ntool: pen\nstages:\n  - text: Go.\n    reach: {position_mm: [-770, 0, 0], tolerance_mm: 1}\n")
	if want := "the place is out of reach: within the limits of its joints the arm stays about 24 mm away from it; at least X −742 here"; why != want {
		t.Errorf("%q, want %q", why, want)
	}
}
