package armfile_test

import (
	"handrule/kinematics"
	"handrule/kinematics/jog"
	"handrule/scenarios"
	"handrule/scenarios/armfile"
	"handrule/scenarios/form"
	"handrule/scenarios/jogfile"
	"handrule/scenarios/spoken"
	"handrule/words"
	"math"
	"os"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// wren returns the shipped file with one piece of it replaced.
func wren(t *testing.T, old, new string) []byte {
	t.Helper()
	text, err := os.ReadFile("../arms/wren.yaml")
	if err != nil {
		t.Fatal(err)
	}
	if strings.Count(string(text), old) < 1 {
		t.Fatalf("the file has no %q", old)
	}
	return []byte(strings.Replace(string(text), old, new, 1))
}

// Common practice, no source: bending joint 5 by 90° from the zero pose points a forward-looking tool straight down.
// On the arm with parallel axes 2, 3 and 4 it is joint 4 that does it.
func TestBendingTheWristPointsTheToolDown(t *testing.T) {
	for id, joint := range map[string]int{"wren": 4, "curlew": 4, "plover": 3} {
		arm, err := scenarios.OpenArm(id)
		if err != nil {
			t.Fatal(err)
		}
		zero := arm.Geometry.Forward(kinematics.Joints{}).Rotation.Z
		var q kinematics.Joints
		q[joint] = math.Pi / 2
		down := arm.Geometry.Forward(q).Rotation.Z
		if r3.Norm(r3.Sub(zero, r3.Vec{X: 1})) > 1e-12 || r3.Norm(r3.Sub(down, r3.Vec{Z: -1})) > 1e-12 {
			t.Errorf("%s looks along %v and then along %v", id, zero, down)
		}
		if !arm.Geometry.Within(kinematics.Joints{}) {
			t.Errorf("%s: zero is outside its limits", id)
		}
	}
}

// Every arm's own wrist singularity is refused in words that are true of it.
func TestTheStraightWristIsToldInTheArmsOwnNumbers(t *testing.T) {
	for _, test := range []struct {
		arm, jog string
		start    kinematics.Joints
		says     []string
	}{
		{"wren", "base y +10", kinematics.Joints{}, []string{"J5 is at 0.0°", "lie in one line", "to 90° for example"}},
		{"curlew", "base y -10", kinematics.Joints{}, []string{"J5 is at 0.0°", "lie in one line", "to 90° for example"}},
		{"plover", "base about-x +10", kinematics.Joints{4: math.Pi / 2}, []string{"J5 is at 90.0°", "are parallel", "away from 90.0°"}},
	} {
		arm, err := scenarios.OpenArm(test.arm)
		if err != nil {
			t.Fatal(err)
		}
		jogs, err := jogfile.Parse("jogs", []byte(test.jog))
		if err != nil {
			t.Fatal(err)
		}
		d := jog.NewDrive(arm.Geometry, kinematics.Identity, test.start)
		if err := d.Start(jogs[0].Jog); err != nil {
			t.Fatal(err)
		}
		for d.Tick() {
		}
		stop := d.Stop()
		if stop.Reason != jog.Singularity || stop.Kind != "wrist" || stop.Travel != 0 {
			t.Errorf("%s: %s", test.arm, spoken.Sentence(stop, words.English))
		}
		for _, word := range test.says {
			if !strings.Contains(spoken.Sentence(stop, words.English), word) {
				t.Errorf("%s: %q does not say %q", test.arm, spoken.Sentence(stop, words.English), word)
			}
		}
	}
}

func TestBadArmFilesSayWhereAndWhat(t *testing.T) {
	sixth := "  - {name: J6, at_mm: [320, 0, 300], axis: [1, 0, 0], limits_deg: [-355, 355], speed_deg_s: 480, accel_deg_s2: 1800}\n"
	for _, test := range []struct {
		name, old, new string
		at, says       string
	}{
		{"unknown field", "speed_deg_s: 240", "sped_deg_s: 240", "bad.yaml:5:", `did you mean "speed_deg_s"`},
		{"missing field", "name: Wren\n", "", "bad.yaml:1:1", "name is missing"},
		{"five joints", sixth, "", "bad.yaml:5:", "exactly six joints, not 5"},
		{"seven joints", sixth, sixth + strings.Replace(sixth, "J6", "J7", 1), "bad.yaml:5:", "exactly six joints, not 7"},
		{"not a number", "[40, 0, 270]", "[40, .nan, 270]", "bad.yaml:", ".nan"},
		{"infinite", "mount_height_mm: 300", "mount_height_mm: .inf", "bad.yaml:3:18", ".inf"},
		{"zero axis", "axis: [0, 0, 1]", "axis: [0, 0, 0]", "bad.yaml:5:", "must have a direction"},
		{"limits reversed", "[-170, 170]", "[170, -170]", "bad.yaml:5:", "wrong way round; write [-170, 170]"},
		{"a reading that is no angle", "axis: [0, 0, 1]", "axis: [0, 0, 1], reads_deg: {zero: -90}", "bad.yaml:5:", "reads_deg must be a number"},
		{"a reading of many turns", "axis: [0, 0, 1]", "axis: [0, 0, 1], reads_deg: 9000", "bad.yaml:5:", "reads_deg"},
		{"zero speed", "speed_deg_s: 240", "speed_deg_s: 0", "bad.yaml:5:", "must be more than 0"},
		{"negative speed", "speed_deg_s: 240", "speed_deg_s: -5", "bad.yaml:5:", "must be more than 0"},
		{"duplicate name", "name: J2", "name: J1", "bad.yaml:6:", "taken already, on line 5"},
		{"absurd length", "[390, 0, 300]", "[390e9, 0, 300]", "bad.yaml:11:", "number 1"},
		{"alias", "[390, 0, 300]", "*far", "bad.yaml:11:", "aliases"},
		{"tool called none", "name: pen", "name: none", "bad.yaml:", "stands for the bare flange"},
		{"not YAML", "joints:", "joints: [", "bad.yaml:", "YAML"},
		{"J5 turned into the line of J4 and J6", "at_mm: [320, 0, 300], axis: [0, 1, 0]", "at_mm: [320, 0, 300], axis: [1, 0, 0]", "bad.yaml:5:", "J4 to J6 lie in one line"},
	} {
		_, err := armfile.Parse("bad.yaml", wren(t, test.old, test.new))
		if err == nil || !strings.Contains(err.Error(), test.at) || !strings.Contains(err.Error(), test.says) {
			t.Errorf("%s: want %q and %q in\n%v", test.name, test.at, test.says, err)
		}
	}
}

// Links that overlap at the zero pose are named by check; neighbours are not. Wren's pen ends at X 40 + 280 + 70 + 120.
func TestAnArmsNotes(t *testing.T) {
	arm, err := armfile.Parse("a.yaml", wren(t, "to_mm: [265, 0, 300]", "to_mm: [330, 0, 300]"))
	if err != nil {
		t.Fatal(err)
	}
	text := strings.Join(arm.Notes(), "\n")
	if strings.Count(text, "note: link 4 and link 6 overlap") != 1 || strings.Count(text, "note: ") != 1 || !strings.Contains(text, "tool pen is at X 510, Y 0, Z 300 mm") {
		t.Error(text)
	}
}

func TestAllProblemsAreToldAtOnce(t *testing.T) {
	text := strings.NewReplacer("[-170, 170]", "[170, -170]", "speed_deg_s: 260", "speed_deg_s: -1").Replace(string(wren(t, "name: Wren", "name: Wren")))
	_, err := armfile.Parse("bad.yaml", []byte(text))
	problems, ok := err.(form.Errors)
	if !ok || len(problems) != 2 || problems[0].Line != 5 || problems[1].Line != 7 {
		t.Errorf("want problems on lines 5 and 7:\n%v", err)
	}
}
