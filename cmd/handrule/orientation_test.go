package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// The orientation that pose prints, in every form, is one that reach takes, and all give the same solutions.
func TestReachTakesEveryForm(t *testing.T) {
	_, out, _ := do("pose", "--arm", "curlew", "--joints", "10,20,30,40,50,60", "--json")
	var pose struct {
		TCP struct {
			Position   []float64   `json:"position_mm"`
			FixedXYZ   []float64   `json:"fixed_xyz_deg"`
			MovingZYX  []float64   `json:"moving_zyx_deg"`
			ZYZ        []float64   `json:"zyz_deg"`
			Quaternion []float64   `json:"quaternion_wxyz"`
			Rotation   [][]float64 `json:"rotation"`
			AxisAngle  struct {
				Axis  []float64 `json:"axis"`
				Angle float64   `json:"angle_deg"`
			} `json:"axis_angle"`
		} `json:"tcp"`
	}
	if err := json.Unmarshal([]byte(out), &pose); err != nil {
		t.Fatal(err)
	}
	tcp := pose.TCP
	list := func(numbers []float64) string {
		text, _ := json.Marshal(numbers)
		return strings.Trim(string(text), "[]")
	}
	var first string
	for _, form := range [][2]string{
		{"--rotation", list(tcp.FixedXYZ)},
		{"--moving-zyx", list(tcp.MovingZYX)},
		{"--zyz", list(tcp.ZYZ)},
		{"--quaternion", list(tcp.Quaternion)},
		{"--axis-angle", list(append(tcp.AxisAngle.Axis, tcp.AxisAngle.Angle))},
		{"--matrix", list(slices.Concat(tcp.Rotation...))},
	} {
		status, out, errs := do("reach", "--arm", "curlew", "--position", list(tcp.Position), form[0], form[1], "--json")
		if status != 0 {
			t.Fatalf("%s: %d %s", form[0], status, errs)
		}
		var reach struct {
			Solutions []struct {
				Joints [6]float64 `json:"joints_deg"`
			} `json:"solutions"`
		}
		if err := json.Unmarshal([]byte(out), &reach); err != nil {
			t.Fatal(err)
		}
		text := ""
		for _, s := range reach.Solutions {
			for _, angle := range s.Joints {
				text += number(angle, 4) + " "
			}
			text += "\n"
		}
		if first == "" {
			first = text
		}
		if text != first || !strings.Contains(text, "10.0000 20.0000 30.0000 40.0000 50.0000 60.0000") {
			t.Errorf("%s gives\n%sand --rotation\n%s", form[0], text, first)
		}
	}
}

func TestReachRefusesWrongOrientations(t *testing.T) {
	for _, test := range []struct {
		args []string
		says string
	}{
		{nil, "missing"},
		{[]string{"--rotation", "0,0,0", "--zyz", "0,0,0"}, "more than once, by --rotation and --zyz"},
		{[]string{"--quaternion", "1,1,0,0"}, "--quaternion"},
		{[]string{"--axis-angle", "0,0,0,10"}, "--axis-angle"},
		{[]string{"--matrix", "1,0,0,0,1,0,0,0,-1"}, "--matrix"},
		{[]string{"--rotation", "0,0"}, "want 3 numbers"},
		{[]string{"--rotation", "0,0,NaN"}, "not a number"},
	} {
		status, _, errs := do(append([]string{"reach", "--arm", "wren", "--position", "320,0,110"}, test.args...)...)
		if status != exitBad || !strings.Contains(errs, test.says) {
			t.Errorf("%v: status %d, %q; want it to say %q", test.args, status, errs, test.says)
		}
	}
}

// At a singular pose, and on an arm without any of the measures, what has no number is null.
func TestJSONHasNoNumberThatIsNone(t *testing.T) {
	skew := filepath.Join(t.TempDir(), "skew.yaml")
	file := `name: Skew
mount_height_mm: 0
joints:
`
	for i, axis := range []string{"[0.2, 0.1, 1]", "[0.1, 1, 0.3]", "[0.3, 1, -0.2]", "[1, 0.2, 0.1]", "[0.1, 1, 0.4]", "[1, 0.3, 0.5]"} {
		file += "  - {name: J" + string(rune('1'+i)) + ", at_mm: [" + number(float64(50*i), 0) + ", " + number(float64(i*i), 0) + ", " + number(float64(90*i%200), 0) +
			"], axis: " + axis + ", limits_deg: [-400, 400], speed_deg_s: 100}\n"
	}
	file += "flange: {at_mm: [400, 10, 150], rotation_deg: [0, 90, 0]}\n"
	if err := os.WriteFile(skew, []byte(file), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, args := range [][]string{
		{"pose", "--arm", "wren", "--joints", "0,0,0,0,0,0"},
		{"pose", "--arm", skew, "--joints", "10,20,30,40,50,60"},
		{"reach", "--arm", skew, "--position", "200,100,100", "--rotation", "10,20,30"},
		{"reach", "--arm", "wren", "--position", "320,0,300", "--rotation", "0,90,0"},
	} {
		status, out, errs := do(append(args, "--json")...)
		if status == exitBad || !json.Valid([]byte(out)) {
			t.Errorf("%v: status %d, %s\n%s", args, status, errs, out)
		}
	}
	_, out, _ := do("pose", "--arm", skew, "--joints", "10,20,30,40,50,60", "--json")
	if !strings.Contains(out, `"wrist_deg": null`) {
		t.Errorf("an arm without a wrist has an angle of one:\n%s", out)
	}
}

func TestReachTellsTurnsAndFamilies(t *testing.T) {
	_, out, _ := do("reach", "--arm", "wren", "--position", "320,100,110", "--rotation", "0,180,0")
	for _, says := range []string{"8 solutions, 4 of them within", "also J6 at -342.65°", "is outside its limits", "J5 turns most"} {
		if !strings.Contains(out, says) {
			t.Errorf("does not say %q:\n%s", says, out)
		}
	}
	_, out, _ = do("reach", "--arm", "wren", "--position", "510,0,300", "--rotation", "0,90,0", "--from", "0,0,0,25,0,0")
	if !strings.Contains(out, "one of infinitely many") || !strings.Contains(out, "J4     25.00°") {
		t.Errorf("the straight wrist is not told as free, nearest to where the arm is:\n%s", out)
	}
}

// The figures behind the words: what a small motion along the lost direction takes.
func TestPoseTellsWhatRaces(t *testing.T) {
	_, out, _ := do("pose", "--arm", "wren", "--tool", "none", "--joints", "0,0,0,0,1,0")
	for _, says := range []string{"the wrist singularity is near", "1.00° from in line", "nearly lost", "J4 and"} {
		if !strings.Contains(out, says) {
			t.Errorf("does not say %q:\n%s", says, out)
		}
	}
}
