package main

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// asked runs a command with --json and reads what it prints into a value.
func asked(t *testing.T, into any, args ...string) (status int) {
	t.Helper()
	status, out, errs := do(append(args, "--json")...)
	if status == exitBad {
		t.Fatalf("%v: %s", args, errs)
	}
	if err := json.Unmarshal([]byte(out), into); err != nil {
		t.Fatalf("%v: %v in\n%s", args, err, out)
	}
	return status
}

func TestPoseJSONHasEveryField(t *testing.T) {
	for _, joints := range []string{"0,0,0,0,0,0", "10,20,-30,40,50,-60", "0,0,0,0,90,0", "999,0,0,0,0,-1e6"} {
		for _, arm := range []string{"wren", "curlew", "plover"} {
			var pose map[string]any
			asked(t, &pose, "pose", "--arm", arm, "--joints", joints)
			for _, path := range []string{
				"arm", "tool", "joints_deg", "within_limits", "outside_limits", "posture.shoulder", "posture.elbow", "posture.wrist", "jacobian",
				"tcp.position_mm", "tcp.rotation", "tcp.quaternion_wxyz", "tcp.fixed_xyz_deg", "tcp.moving_zyx_deg", "tcp.zyz_deg",
				"tcp.axis_angle.axis", "tcp.axis_angle.angle_deg", "tcp.unique.fixed_xyz", "tcp.notes.fixed_xyz", "flange.position_mm",
				"singularity.kind", "singularity.near", "singularity.smallest_singular_value", "singularity.condition",
				"singularity.manipulability", "singularity.length_mm", "singularity.wrist_deg", "singularity.elbow_deg",
				"singularity.shoulder_mm", "singularity.lost_motion.linear_mm_s", "singularity.lost_motion.angular_rad_s",
				"singularity.lost_motion.words", "singularity.racing.J6",
			} {
				if !has(pose, path) {
					t.Errorf("%s at %s: no %s", arm, joints, path)
				}
			}
		}
	}
}

// has reports whether there is a field at a dotted path, whatever its value.
func has(value any, path string) bool {
	for _, name := range strings.Split(path, ".") {
		object, ok := value.(map[string]any)
		if !ok {
			return false
		}
		if value, ok = object[name]; !ok {
			return false
		}
	}
	return true
}

func TestNumbersThatAreNotFiniteAreNull(t *testing.T) {
	for x, want := range map[maybe]string{maybe(math.NaN()): "null", maybe(math.Inf(1)): "null", maybe(math.Inf(-1)): "null", 1.5: "1.5"} {
		if got, err := json.Marshal(x); err != nil || string(got) != want {
			t.Errorf("%v is written as %s (%v), want %s", float64(x), got, err, want)
		}
	}
	// At zero the wrist of wren is straight: the smallest singular value is zero, and the condition number has no value.
	var pose struct {
		Singularity struct {
			Smallest  float64  `json:"smallest_singular_value"`
			Condition *float64 `json:"condition"`
		} `json:"singularity"`
	}
	asked(t, &pose, "pose", "--arm", "wren", "--joints", "0,0,0,0,0,0")
	if s := pose.Singularity; s.Smallest > 1e-12 || s.Condition != nil && *s.Condition < 1e12 {
		t.Errorf("smallest singular value %v, condition %v at a straight wrist", s.Smallest, s.Condition)
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

// The motion that costs most, by the Jacobian: the joint speeds named as racing give it times the smallest singular
// value, with millimetres as parts of the length.
func TestLostMotionIsWhatTheRacingJointsGive(t *testing.T) {
	for _, joints := range []string{"10,20,-30,40,50,-60", "0,0,0,0,0.5,0", "0,0,-83,10,40,0"} {
		var pose struct {
			Jacobian    [6][6]float64 `json:"jacobian"`
			Singularity singularity   `json:"singularity"`
		}
		asked(t, &pose, "pose", "--arm", "wren", "--joints", joints)
		s := pose.Singularity
		for row := range 6 {
			want := 0.0
			for i, name := range jointNames {
				want += pose.Jacobian[row][i] * s.Racing[name]
			}
			got := s.Lost.LinearMM[row%3]
			if row >= 3 {
				got = s.Lost.AngularRad[row-3]
			}
			if !(math.Abs(got*s.Smallest-want) <= 1e-9) {
				t.Errorf("joints %s, row %d: %v, the joints give %v", joints, row, got*s.Smallest, want)
			}
		}
	}
}

func TestPoseSaysInWordsWhatIsSpecial(t *testing.T) {
	for _, c := range []struct {
		joints string
		says   []string
	}{
		{"0,0,0,0,0,0", []string{
			"the wrist singularity is near", "moving along base Y while turning by 0.267° a millimetre about base -Z",
			"J4 and J6 would race for it", "Only X minus Z counts", "every joint is within its limits",
		}},
		{"0,0,0,0,90,0", []string{
			"none is near", "Half a turn: w is 0", "the first minus the last counts", "shoulder front, elbow up, J5 plus",
		}},
		{"0,0,0,0,0.5,0", []string{"nearly lost", "°/s of J4 and", "°/s of J6"}},
		{"200,0,0,0,30,0", []string{"J1 at 200° is outside its limits"}},
	} {
		status, out, _ := do("pose", "--arm", "wren", "--joints", c.joints)
		for _, says := range c.says {
			if status != 0 || !strings.Contains(out, says) {
				t.Errorf("at %s: status %d, no %q in\n%s", c.joints, status, says, out)
			}
		}
		if strings.Contains(out, "NaN") || strings.Contains(out, "Inf") || strings.Contains(out, "-0.00 ") {
			t.Errorf("at %s: a number that nobody can read in\n%s", c.joints, out)
		}
	}
}
