package scenarios

import (
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/kinematics/jog"
	"handrule/scenarios/armfile"
	"handrule/scenarios/cellfile"
	"handrule/scenarios/form"
	"handrule/scenarios/jogfile"
	"handrule/scenarios/spoken"
	"handrule/words"
)

// Common practice, no source: bending joint 5 by 90° from the zero pose points a forward-looking tool straight down.
// On the arm with parallel axes 2, 3 and 4 it is joint 4 that does it.
func TestBendingTheWristPointsTheToolDown(t *testing.T) {
	for id, joint := range map[string]int{"wren": 4, "curlew": 4, "plover": 3} {
		arm, err := OpenArm(id)
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
		arm, err := OpenArm(test.arm)
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

// wren returns the shipped file with one piece of it replaced.
func wren(t *testing.T, old, new string) []byte {
	t.Helper()
	text, err := shippedFiles.ReadFile("arms/wren.yaml")
	if err != nil {
		t.Fatal(err)
	}
	if strings.Count(string(text), old) < 1 {
		t.Fatalf("the file has no %q", old)
	}
	return []byte(strings.Replace(string(text), old, new, 1))
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
		{"limits without zero", "[-170, 170]", "[10, 170]", "bad.yaml:5:", "must include 0"},
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

func TestBadJogFilesSayWhereAndWhat(t *testing.T) {
	for _, test := range []struct{ text, says string }{
		{"joint J5 +90\nbsae x +1\n", `jogs:2:1: unknown word "bsae"; did you mean "base"`},
		{"base w +1\n", "jogs:1:6: unknown direction"},
		{"joint J7 +1\n", `jogs:1:7: unknown direction "J7"`},
		{"base x\n", "something is missing"},
		{"base x +1 mm\n", "jogs:1:11: nothing may follow"},
		{"base x far\n", `"far" is not a number`},
		{"base x NaN\n", "is not a number"},
		{"base x inf\n", "is not a number"},
		{"base x 1e9\n", "is too large"},
		{"base x 0\n", "goes nowhere"},
		{"speed -5\n", "more than 0"},
		{"# only talk\n", "holds no jog"},
	} {
		if _, err := jogfile.Parse("jogs", []byte(test.text)); err == nil || !strings.Contains(err.Error(), test.says) {
			t.Errorf("%q: want %q in\n%v", test.text, test.says, err)
		}
	}
}

func TestJogsAreReadInTheirUnits(t *testing.T) {
	jogs, err := jogfile.Parse("jogs", []byte("speed 100 # fast\nbase x -12.5\ntool about-z +15\n"))
	if err != nil {
		t.Fatal(err)
	}
	want := []jog.Jog{
		{Direction: jog.Direction{Frame: jog.BaseFrame, Axis: 0, Sign: -1}, Amount: 12.5, Speed: 100},
		{Direction: jog.Direction{Frame: jog.ToolFrame, Axis: 5, Sign: 1}, Amount: kinematics.Radians(15), Speed: kinematics.Radians(100)},
	}
	if len(jogs) != 2 || jogs[0].Jog != want[0] || jogs[1].Jog != want[1] {
		t.Errorf("%+v", jogs)
	}
	if line := jogfile.Line(jogs[1].Jog); line != "tool about-z +15" {
		t.Errorf("written as %q", line)
	}
}

func TestFilesThatAreNone(t *testing.T) {
	for path, says := range map[string]string{t.TempDir(): "is a directory", "./no-such.yaml": "no such file", "heron": "no arm"} {
		if _, err := OpenArm(path); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%s: %v", path, err)
		}
	}
	if _, err := armfile.Parse("big.yaml", make([]byte, form.LargestFile+1)); err == nil || !strings.Contains(err.Error(), "too large") {
		t.Errorf("%v", err)
	}
}

func TestAFolderIsReadWhole(t *testing.T) {
	dir := t.TempDir()
	write := func(name, text string) {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := ReadFolder(filepath.Join(dir, "none")); err == nil {
		t.Error("a folder that is not there was read")
	}
	write("heron.yaml", string(wren(t, "name: Wren", "name: Heron")))
	write("mine.yml", "title: Mine\narm: curlew\nstages: [{text: hello}]\n")
	write("yard.yaml", "name: Yard\nthings: []\n")
	own, err := ReadFolder(dir)
	if err != nil || own.Err() != nil || len(own.Arms) != 1 || own.Arms[0].ID != "heron" || len(own.Lessons) != 1 || own.Lessons[0].Arm.ID != "curlew" ||
		len(own.Cells) != 1 || own.Cells[0].ID != "yard" {
		t.Fatalf("%+v %v", own, err)
	}
	write("tilted-stand.yaml", "name: Mine\nthings: []\n")
	write("wren.yaml", string(wren(t, "name: Wren", "name: Wren")))
	write("bad.yaml", "name: 3")
	write("note.txt", "no scenario")
	write(".yard.yaml", "what an editor leaves")
	own, err = ReadFolder(dir)
	if err != nil || len(own.Broken) != 3 || len(own.Lessons) != 1 || own.Broken[0].ID != "bad" {
		t.Errorf("%+v %v", own, err)
	}
	err = own.Err()
	for _, says := range []string{"bad.yaml:1:1", "\"wren\" is taken already", "\"tilted-stand\" is taken already"} {
		if err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("want %q in %v", says, err)
		}
	}
}

// The readers answer whatever they are given, and never with a number that is not finite.
func FuzzReadFiles(f *testing.F) {
	for _, name := range []string{"arms/wren.yaml", "cells/wall-mount.yaml", "lessons/first-straight-line.yaml"} {
		text, err := shippedFiles.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(text)
	}
	f.Add([]byte("joint J5 +90\nbase about-x -1e3"))
	f.Add([]byte("a: &a [*a]"))
	f.Add([]byte("name: [[[[[[[[[[[[[[[[[[[["))
	f.Fuzz(func(t *testing.T, text []byte) {
		if arm, err := armfile.Parse("f.yaml", text); err == nil && math.IsNaN(arm.Geometry.Forward(kinematics.Joints{}).Position.X) {
			t.Error("not a number")
		}
		if cell, err := cellfile.Parse("f.yaml", text); err == nil {
			if _, err := cell.Scene(ShippedArms()[0], kinematics.NoTool); err != nil {
				t.Error(err)
			}
		}
		ReadLesson("f.yaml", text)
		jogfile.Parse("f", text)
	})
}
