package main

import (
	"encoding/json"
	"math"
	"strings"
	"testing"
)

type reached struct {
	Solutions []solution `json:"solutions"`
	Short     *float64   `json:"out_of_reach_mm"`
	Target    struct {
		Rotation [3][3]float64 `json:"rotation"`
	} `json:"target"`
}

// joined writes numbers as a command-line option takes them.
func joined(numbers ...float64) string {
	text, _ := json.Marshal(numbers)
	return strings.Trim(string(text), "[]")
}

// Whatever form pose prints, reach takes, and finds the joints that pose was asked for.
func TestReachTakesEveryFormThatPosePrints(t *testing.T) {
	for _, joints := range [][6]float64{{-10, 20, -30, 40, 50, -60}, {0, 0, 0, 0, 90, 0}, {30, 10, 20, 0, 60, 0}} {
		var pose struct {
			TCP struct {
				Position [3]float64    `json:"position_mm"`
				Rotation [3][3]float64 `json:"rotation"`
				Wxyz     [4]float64    `json:"quaternion_wxyz"`
				Fixed    [3]float64    `json:"fixed_xyz_deg"`
				Moving   [3]float64    `json:"moving_zyx_deg"`
				ZYZ      [3]float64    `json:"zyz_deg"`
				Turn     struct {
					Axis  [3]float64 `json:"axis"`
					Angle float64    `json:"angle_deg"`
				} `json:"axis_angle"`
			} `json:"tcp"`
		}
		asked(t, &pose, "pose", "--arm", "wren", "--joints", joined(joints[:]...))
		tcp := pose.TCP
		r := tcp.Rotation
		for _, form := range [][2]string{
			{"--rotation", joined(tcp.Fixed[:]...)},
			{"--moving-zyx", joined(tcp.Moving[:]...)},
			{"--zyz", joined(tcp.ZYZ[:]...)},
			{"--quaternion", joined(tcp.Wxyz[:]...)},
			{"--axis-angle", joined(append(tcp.Turn.Axis[:], tcp.Turn.Angle)...)},
			{"--matrix", joined(append(append(append([]float64{}, r[0][:]...), r[1][:]...), r[2][:]...)...)},
		} {
			var reach reached
			status := asked(t, &reach, "reach", "--arm", "wren", "--position", joined(tcp.Position[:]...), form[0], form[1], "--from", joined(joints[:]...))
			for i := range r {
				for j := range r[i] {
					if !(math.Abs(reach.Target.Rotation[i][j]-r[i][j]) <= 1e-12) {
						t.Fatalf("%s %s is taken for %v, want %v", form[0], form[1], reach.Target.Rotation, r)
					}
				}
			}
			if status != 0 || len(reach.Solutions) == 0 {
				t.Fatalf("%s %s: status %d", form[0], form[1], status)
			}
			// The nearest to --from comes first, and that is where the arm is.
			first := reach.Solutions[0]
			if !(first.Distance <= 1e-6) || !first.Within || len(first.Turns) == 0 {
				t.Errorf("%s %s: the first solution is %+v, asked from %v", form[0], form[1], first, joints)
			}
		}
	}
}

func TestReachOrdersAndCountsTurns(t *testing.T) {
	var reach reached
	asked(t, &reach, "reach", "--arm", "wren", "--position", "320,100,110", "--rotation", "0,180,0")
	if len(reach.Solutions) != 8 {
		t.Fatalf("%d solutions", len(reach.Solutions))
	}
	for i, s := range reach.Solutions {
		if s.Within != (len(s.Turns) > 0) || s.Within != (len(s.Outside) == 0) {
			t.Errorf("solution %d within limits: %v, with turns %v and outside %v", i, s.Within, s.Turns, s.Outside)
		}
		if i > 0 {
			before := reach.Solutions[i-1]
			if s.Within && !before.Within || s.Within == before.Within && s.Distance < before.Distance {
				t.Errorf("solution %d comes too late", i)
			}
		}
		for _, turn := range s.Turns {
			for k := range turn {
				if off := math.Abs(math.Remainder(turn[k]-s.Joints[k], 360)); !(off <= 1e-9) {
					t.Errorf("solution %d: turn %v is not whole turns from %v", i, turn, s.Joints)
				}
			}
		}
	}
	// J6 may turn by ±355°, so that 17.35° is also −342.65°.
	if turns := reach.Solutions[0].Turns; len(turns) != 2 || !(math.Abs(turns[0][5]-turns[1][5]) > 359) {
		t.Errorf("the turns of the first solution are %v", turns)
	}
	_, out, _ := do("reach", "--arm", "wren", "--position", "320,100,110", "--rotation", "0,180,0")
	for _, says := range []string{"8 solutions, 4 of them within", "also J6 at -342.65°", "is outside its limits", "J5 turns most, by 90.09°"} {
		if !strings.Contains(out, says) {
			t.Errorf("does not say %q:\n%s", says, out)
		}
	}
}

func TestReachTellsAFamily(t *testing.T) {
	var reach reached
	asked(t, &reach, "reach", "--arm", "wren", "--position", "510,0,300", "--rotation", "0,90,0", "--from", "0,0,0,30,0,-30")
	first := reach.Solutions[0]
	if !first.Family || !(math.Abs(first.Joints[3]-30) < 1e-6) {
		t.Errorf("with a straight wrist the nearest is %+v, want J4 to stay at 30°", first)
	}
	_, out, _ := do("reach", "--arm", "wren", "--position", "510,0,300", "--rotation", "0,90,0")
	if !strings.Contains(out, "one of infinitely many") {
		t.Errorf("not said to be one of many:\n%s", out)
	}
}

func TestReachTellsHowMuchIsMissing(t *testing.T) {
	for _, arm := range []string{"wren", "curlew", "plover"} {
		var reach reached
		status := asked(t, &reach, "reach", "--arm", arm, "--position", "5000,0,0", "--rotation", "0,0,0")
		if status != exitNo || reach.Short == nil || !(*reach.Short > 1000 && *reach.Short < 5000) || reach.Solutions == nil {
			t.Errorf("%s: status %d, %+v", arm, status, reach)
		}
	}
	var reach reached
	asked(t, &reach, "reach", "--arm", "wren", "--position", "320,100,110", "--rotation", "0,180,0")
	if reach.Short != nil {
		t.Errorf("in reach, and %v mm out of it", *reach.Short)
	}
}

func TestReachRefusesOrientationsThatAreNone(t *testing.T) {
	for _, c := range []struct{ says, flags string }{
		{"the orientation is missing", ""},
		{"more than once, by --rotation and --quaternion", "--rotation 0,0,0 --quaternion 1,0,0,0"},
		{"more than once, by --zyz, --axis-angle and --matrix", "--zyz 0,0,0 --axis-angle 0,0,1,0 --matrix 1,0,0,0,1,0,0,0,1"},
		{"--quaternion: a rotation's quaternion has length 1; this one has length 0", "--quaternion 0,0,0,0"},
		{"--quaternion: must be 4 numbers", "--quaternion 1,0,0"},
		{"--axis-angle: the axis must be a direction", "--axis-angle 0,0,0,90"},
		{"--matrix: the columns are left-handed", "--matrix 1,0,0,0,1,0,0,0,-1"},
		{"--matrix: column 1 must have length 1", "--matrix 0,0,0,0,0,0,0,0,0"},
		{"--zyz: number 2", "--zyz 0,Inf,0"},
		{"--from: must be 6 numbers", "--rotation 0,0,0 --from 1"},
	} {
		args := append([]string{"reach", "--arm", "wren", "--position", "320,100,110"}, strings.Fields(c.flags)...)
		if status, out, errs := do(args...); status != exitBad || !strings.Contains(errs, c.says) || out != "" {
			t.Errorf("%s: status %d, %q, want %q", c.flags, status, errs, c.says)
		}
	}
}
