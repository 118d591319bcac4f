package urdf_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"regexp"
	"runtime"
	"strconv"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/internal/draws"
	"handrule/kinematics"
	"handrule/kinematics/clearance"
	"handrule/scenarios"
	"handrule/scenarios/armfile"
	"handrule/scenarios/form"
	"handrule/scenarios/urdf"
)

// teal is an invented arm with most of what a file may have.
func teal(t testing.TB) string {
	t.Helper()
	text, err := os.ReadFile("testdata/teal.urdf")
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

func parse(t *testing.T, text string, o urdf.Options) (*armfile.Arm, string) {
	t.Helper()
	arm, notes, err := urdf.Parse("a.urdf", []byte(text), o)
	if err != nil {
		t.Fatal(err)
	}
	return arm, strings.Join(notes, "\n")
}

// near compares a place with one worked out by hand from the file's numbers.
func near(t *testing.T, what string, got, want r3.Vec) {
	t.Helper()
	if !(r3.Norm(r3.Sub(got, want)) < 1e-9) {
		t.Errorf("%s: %v, want %v", what, got, want)
	}
}

func TestAnArmIsTakenFromAFile(t *testing.T) {
	arm, notes := parse(t, teal(t), urdf.Options{})
	if arm.Name != "Teal" || arm.MountHeight != 0 || len(arm.Tools) != 1 {
		t.Errorf("%s, %v, %d tools", arm.Name, arm.MountHeight, len(arm.Tools))
	}
	j := arm.Geometry.Joints
	// The pedestal is 0.1 m high and the column another 0.25 m; "elbow" is turned by quarter turns that are rounded in the file.
	near(t, "J1", j[0].At, r3.Vec{Z: 100})
	near(t, "J2", j[1].At, r3.Vec{X: 60, Z: 350})
	near(t, "J2's axis", j[1].Axis, r3.Vec{Y: 1})
	near(t, "J3's axis", j[2].Axis, r3.Vec{Y: 1})
	near(t, "J4's axis", j[3].Axis, r3.Vec{X: 1})
	near(t, "J5", j[4].At, r3.Vec{X: 460, Z: 720})
	near(t, "flange", arm.Geometry.Flange.Position, r3.Vec{X: 540, Z: 720})
	near(t, "what points out", arm.Geometry.Flange.Rotation.Z, r3.Vec{X: 1})
	near(t, "TCP", arm.Tools[0].TCP.Position, r3.Vec{Z: 110})
	if arm.Tools[0].Name != "marker_tip" || len(arm.Tools[0].Body) != 1 {
		t.Errorf("tool %+v", arm.Tools[0])
	}
	if deg := kinematics.Degrees(j[1].Min); math.Abs(deg+85) > 1e-9 || math.Abs(j[1].Speed-2) > 1e-12 || math.Abs(j[5].Max-2*math.Pi) > 1e-12 {
		t.Errorf("J2 from %v°, at %v rad/s, J6 to %v", deg, j[1].Speed, j[5].Max)
	}
	if arm.Geometry.Solver() != "closed form: spherical wrist, axes 2 and 3 parallel" {
		t.Errorf("solved by %s", arm.Geometry.Solver())
	}
	for _, says := range []string{
		`base frame: link "floor", its X axis is forward`, `J2: joint "shoulder" on line`, `continuous: taken as ±360°`, "no speed given: taken as 90 °/s",
		`flange: link "tool0"`, "its X axis points out, because that is the one along the last joint", `tool "marker_tip"`,
		"3.1416 on line", "left out, with what they carry: clip (prismatic", "link 4: a slim body", "only meshes",
	} {
		if !strings.Contains(notes, says) {
			t.Errorf("no %q in\n%s", says, notes)
		}
	}
	if arm, _ := parse(t, teal(t), urdf.Options{AsWritten: true}); arm.Geometry.Joints[2].Axis == j[2].Axis {
		t.Error("as written, 3.1416 is still a half turn")
	}
}

// A base that looks along its Y axis is turned about Z, and all that stands on it with it.
func TestForwardBecomesX(t *testing.T) {
	for forward, want := range map[string]r3.Vec{"": {X: 540, Z: 720}, "x": {X: 540, Z: 720}, "-x": {X: -540, Z: 720}, "y": {Y: -540, Z: 720}, "-y": {Y: 540, Z: 720}} {
		arm, _ := parse(t, teal(t), urdf.Options{Forward: forward, MountHeight: 50})
		near(t, "forward "+forward, arm.Geometry.Flange.Position, want)
		if arm.MountHeight != 50 {
			t.Errorf("mounted at %v", arm.MountHeight)
		}
	}
	arm, _ := parse(t, teal(t), urdf.Options{Base: "pedestal", Tip: "hand", Out: "-y"})
	near(t, "from the pedestal", arm.Geometry.Flange.Position, r3.Vec{X: 510, Z: 620})
	near(t, "out along −Y", arm.Geometry.Flange.Rotation.Z, r3.Vec{Y: 1}) // the wrist is turned half about X
}

// Every refusal says where, which element, and what to do.
func TestRefusals(t *testing.T) {
	good := teal(t)
	for _, test := range []struct {
		name, old, new string
		at, says       string
	}{
		{"a slide in the chain", `name="elbow" type="revolute"`, `name="elbow" type="prismatic"`, "a.urdf:42:3: <joint>", "it is prismatic, which cannot be read"},
		{"planar", `name="elbow" type="revolute"`, `name="elbow" type="planar"`, "a.urdf:42:3: <joint>", "it is planar"},
		{"mimic", `<parent link="upper"/>`, `<mimic joint="shoulder"/><parent link="upper"/>`, "a.urdf:42:3: <joint>", "follows another joint (mimic)"},
		{"unknown kind", `name="elbow" type="revolute"`, `name="elbow" type="revolut"`, "a.urdf:42:3: <joint>", `did you mean "revolute"`},
		{"seven axes", `name="clip" type="prismatic"`, `name="clip" type="revolute"`, "<joint>", "turns beyond the sixth joint"},
		{"five axes", `name="roll" type="continuous"`, `name="roll" type="fixed"`, "<joint>", "The longest chain has 5: turn, shoulder, elbow, forearm and bend; then comes joint \"clip\", and it is prismatic"},
		{"a loop of two parents", `<parent link="upper"/><child link="elbow_link"/>`, `<parent link="upper"/><child link="column"/>`, "<joint>", "is the child of two joints"},
		{"a ring", `<child link="pedestal"/>`, `<child link="floor"/>`, "<joint>", "goes round in a loop"},
		{"two roots", `<link name="floor"/>`, `<link name="floor"/><link name="cup"/>`, "<link>", "a tree has one root"},
		{"no limit", `<limit lower="-1.4835298641951802" upper="1.9" velocity="2" effort="9"/>`, "", "<joint>", "has no <limit>"},
		{"limits reversed", `lower="-1.4835298641951802" upper="1.9"`, `lower="1.9" upper="-1.4"`, "<limit>", "wrong way round"},
		{"limits in degrees", `lower="-1.4835298641951802" upper="1.9"`, `lower="-8500" upper="11000"`, "<limit>", "angles are radians here"},
		{"not a number", `xyz="0.06 0 0.25"`, `xyz="0.06 0 NaN"`, "<origin>", `must be 3 numbers with spaces between them, not "0.06 0 NaN"`},
		{"commas", `xyz="0.06 0 0.25"`, `xyz="0.06, 0, 0.25"`, "<origin>", "3 numbers with spaces"},
		{"millimetres", `xyz="0.06 0 0.25"`, `xyz="60 0 250"`, "<origin>", "lengths are metres"},
		{"an axis of nothing", `<axis xyz="0 0 1"/>`, `<axis xyz="0 0 0"/>`, "<axis>", "points nowhere"},
		{"a macro", `<link name="floor"/>`, `<xacro:arm/>`, "<xacro:arm>", "Expand the macros"},
		{"a formula", `xyz="0.06 0 0.25"`, `xyz="${a} 0 0.25"`, "<origin>", "Expand the macros"},
		{"an unknown link", `<parent link="upper"/>`, `<parent link="uper"/>`, "<parent>", `did you mean "upper"`},
		{"a name twice", `<link name="floor"/>`, `<link name="upper"/>`, "<link>", "is taken already, on line"},
		{"a nameless link", `<link name="floor"/>`, `<link/>`, "<link>", "has no name"},
		{"a box of no size", `<box size="0.2 0.2 0.1"/>`, `<box size="0.2 0 0.1"/>`, "<box>", "must be more than 0"},
		{"not closed", `</robot>`, ``, "a.urdf:", "does not end"},
		{"crossed", `</robot>`, `</robt>`, "a.urdf:", "</robt> ends an element that is not open"},
		{"an entity", `<?xml version="1.0"?>`, `<!DOCTYPE r [<!ENTITY a "b">]>`, "a.urdf:1:1", "declares an entity"},
		{"another version", `<robot name="Teal">`, `<robot name="Teal" version="2.0">`, "<robot>", "only 1.0"},
	} {
		if !strings.Contains(good, test.old) {
			t.Errorf("%s: the file has no %q", test.name, test.old)
			continue
		}
		_, _, err := urdf.Parse("a.urdf", []byte(strings.Replace(good, test.old, test.new, 1)), urdf.Options{})
		if err == nil || !strings.Contains(err.Error(), test.at) || !strings.Contains(err.Error(), test.says) {
			t.Errorf("%s: want %q and %q in\n%v", test.name, test.at, test.says, err)
		}
	}
	for _, test := range []struct {
		o    urdf.Options
		says string
	}{
		{urdf.Options{Base: "flor"}, `has no link "flor", which --base names`},
		{urdf.Options{Tip: "upper"}, "there are 2 joints that turn (turn and shoulder)"},
		{urdf.Options{Base: "upper", Tip: "pedestal"}, "is not reached from the base"},
	} {
		if _, _, err := urdf.Parse("a.urdf", []byte(good), test.o); err == nil || !strings.Contains(err.Error(), test.says) {
			t.Errorf("%+v: %v", test.o, err)
		}
	}
}

// With two arms on one base the tips are listed, and each can be chosen.
func TestTwoArmsAreTwoTips(t *testing.T) {
	var both strings.Builder
	both.WriteString(`<robot name="pair"><link name="torso"/>`)
	for side, y := range map[string]string{"left": "0.3", "right": "-0.3"} {
		parent := "torso"
		for i := range 6 {
			child := fmt.Sprintf("%s_%d", side, i+1)
			fmt.Fprintf(&both, `<link name="%s"/><joint name="%s_joint" type="revolute"><parent link="%s"/><child link="%s"/><origin xyz="0.1 %s 0.05"/><axis xyz="%d %d 0.5"/><limit lower="-1" upper="1" velocity="1" effort="1"/></joint>`,
				child, child, parent, child, y, i%2, (i+1)%2)
			parent, y = child, "0"
		}
	}
	both.WriteString("</robot>")
	_, _, err := urdf.Parse("a.urdf", []byte(both.String()), urdf.Options{})
	if err == nil || !strings.Contains(err.Error(), "has 2 chains of six joints that turn. Choose one with --tip") || !strings.Contains(err.Error(), "left_6") || !strings.Contains(err.Error(), "right_6") {
		t.Error(err)
	}
	arm, _ := parse(t, both.String(), urdf.Options{Tip: "right_6"})
	near(t, "the right arm's J1", arm.Geometry.Joints[0].At, r3.Vec{X: 100, Y: -300, Z: 50})
}

// An arm that is exported and imported is the same arm: the ones that ship, and drawn ones.
func TestExportAndImportGiveTheSameArm(t *testing.T) {
	arms := scenarios.ShippedArms()
	r := rand.New(rand.NewPCG(draws.Seed(), 7))
	for range 60 {
		arms = append(arms, drawnArm(t, r))
	}
	for _, arm := range arms {
		again, _, err := urdf.Parse("a.urdf", urdf.Text(arm), urdf.Options{})
		if err != nil {
			t.Fatalf("%v\n%s", err, urdf.Text(arm))
		}
		sameText(t, arm.Text(), again.Text())
		read, err := armfile.Parse("a.yaml", arm.Text())
		if err != nil {
			t.Fatal(err)
		}
		sameText(t, arm.Text(), read.Text())
	}
}

// decimal is a number in an arm file with decimals, whose last one rounding may change.
var decimal = regexp.MustCompile(`-?\d+\.\d+`)

// sameText compares two arm files.
func sameText(t *testing.T, a, b []byte) {
	t.Helper()
	if string(decimal.ReplaceAll(a, nil)) == string(decimal.ReplaceAll(b, nil)) {
		x, y := decimal.FindAll(a, -1), decimal.FindAll(b, -1)
		same := len(x) == len(y)
		for i := 0; same && i < len(x); i++ {
			p, _ := strconv.ParseFloat(string(x[i]), 64)
			q, _ := strconv.ParseFloat(string(y[i]), 64)
			same = math.Abs(p-q) <= 1e-11*math.Max(1, math.Abs(p))
		}
		if same {
			return
		}
	}
	t.Errorf("written\n%s\nread\n%s", a, b)
}

// drawnArm is an arm of any geometry, with few decimals, as arm files have them.
func drawnArm(t *testing.T, r *rand.Rand) *armfile.Arm {
	t.Helper()
	few := func(size float64) float64 { return math.Round((2*r.Float64()-1)*size*10) / 10 }
	place := func(size float64) r3.Vec { return r3.Vec{X: few(size), Y: few(size), Z: few(size)} }
	capsules := func(link int) (all []kinematics.Capsule) {
		for range r.IntN(3) {
			c := kinematics.Capsule{Link: link, From: place(300), To: place(300), Radius: 1 + math.Abs(few(80))}
			if r.IntN(4) == 0 {
				c.To = c.From
			}
			all = append(all, c)
		}
		return all
	}
	for {
		arm := &armfile.Arm{Name: fmt.Sprintf("Arm <%d> & \"co\"", r.IntN(100)), About: "Two lines:\nit's & <this>.", MountHeight: few(500)}
		var joints [6]kinematics.Joint
		for i := range joints {
			joints[i] = kinematics.Joint{
				Name: fmt.Sprintf("joint %d é", i+1), At: place(500), Axis: place(1), Min: kinematics.Radians(-1 - math.Abs(few(300))), Max: kinematics.Radians(1 + math.Abs(few(300))),
				Speed: kinematics.Radians(1 + math.Abs(few(300))), Accel: kinematics.Radians(math.Abs(few(500))),
			}
			if r.IntN(2) == 0 {
				reads := kinematics.Radians(few(400))
				joints[i].Measured, joints[i].Min, joints[i].Max = reads, joints[i].Min+reads, joints[i].Max+reads
			}
			if r3.Norm(joints[i].Axis) < 0.3 {
				joints[i].Axis = r3.Vec{Z: -1}
			}
		}
		geometry, err := kinematics.New(joints, kinematics.Pose{Position: place(500), Rotation: kinematics.FixedXYZ(few(3), few(1.5), few(3))})
		if err != nil || geometry.AlwaysSingular() != "" {
			continue
		}
		arm.Geometry = geometry
		for link := range 7 {
			arm.Body = append(arm.Body, capsules(link)...)
		}
		if len(arm.Body) == 0 {
			continue // a slim one would stand in
		}
		for i := range r.IntN(4) {
			turn := kinematics.FixedXYZ(few(3), few(1.5), few(3))
			arm.Tools = append(arm.Tools, kinematics.Tool{Name: fmt.Sprintf("tool %d", i), TCP: kinematics.Pose{Position: place(200), Rotation: turn}, Body: capsules(6)})
		}
		return arm
	}
}

// A file with more shapes than an arm may have capsules gives an arm that can stand in a cell, and says what was left out.
func TestManyShapesAreCutDown(t *testing.T) {
	box := `<collision><geometry><box size="0.3 0.2 0.02"/></geometry></collision>`
	for count, cut := range map[int]bool{12: false, 200: true} {
		text := strings.Replace(teal(t), `<link name="wrist"/>`, `<link name="wrist">`+strings.Repeat(box, count)+`</link>`, 1)
		arm, notes := parse(t, text, urdf.Options{})
		if _, err := clearance.NewScene(arm.Geometry, arm.Body, arm.Tools[0], nil); err != nil {
			t.Errorf("%d boxes: %v", count, err)
		}
		if strings.Contains(notes, "the smallest are left out") != cut {
			t.Errorf("%d boxes:\n%s", count, notes)
		}
	}
}

// What hostile files ask for is bounded: an error, and no more than 600 MB, of which the parser takes most for an element on few bytes.
func TestHostileFilesAreRefused(t *testing.T) {
	for name, text := range map[string]string{
		"entities":     `<!DOCTYPE r [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;">]><robot name="&b;"/>`,
		"use":          `<robot name="&b;"/>`,
		"deep":         strings.Repeat("<robot>", 100_000),
		"many":         "<robot>" + strings.Repeat("<link/>", 500_000) + "</robot>",
		"many named":   manyLinks(30_000),
		"one long row": "<robot " + strings.Repeat("a='1' ", 600_000) + "/>",
		"large":        strings.Repeat(" ", urdf.LargestFile+1),
		"binary":       "<robot>\x00</robot>",
		"other code":   "<?xml version='1.0' encoding='UTF-16'?><robot/>",
		"nothing":      " ",
	} {
		var before, after = alloc(), uint64(0)
		_, _, err := urdf.Parse("a.urdf", []byte(text), urdf.Options{})
		after = alloc()
		if problems, ok := err.(form.Errors); !ok || len(problems) == 0 || len(problems) > form.MostProblems+1 {
			t.Errorf("%s: %T %.300v", name, err, err)
		}
		// It is the bound that was meant, and no other that happens to come later.
		if says := map[string]string{"deep": "deeper than any arm needs", "many": "more than 50000 elements", "many named": "more than 2000 links"}[name]; err != nil && !strings.Contains(err.Error(), says) {
			t.Errorf("%s: %.300v", name, err)
		}
		if used := after - before; used > 600<<20 {
			t.Errorf("%s: took %d MB", name, used>>20)
		}
	}
}

func manyLinks(count int) string {
	var b strings.Builder
	b.WriteString("<robot name='x'>")
	for i := range count {
		fmt.Fprintf(&b, "<link name='l%d'/>", i)
	}
	return b.String() + "</robot>"
}

// A file is refused with problems at their places, or gives an arm that an arm file can hold and that is read from it again.
func FuzzParse(f *testing.F) {
	f.Add([]byte(teal(f)))
	for _, arm := range scenarios.ShippedArms() {
		f.Add(urdf.Text(arm))
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		arm, _, err := urdf.Parse("a.urdf", text, urdf.Options{})
		if err != nil {
			if problems, ok := err.(form.Errors); !ok || len(problems) == 0 {
				t.Fatalf("%T, not a list of problems: %v", err, err)
			}
			return
		}
		if _, err := armfile.Parse("a.yaml", arm.Text()); err != nil {
			t.Errorf("what was read is no arm file: %v\n%s", err, arm.Text())
		}
		if _, _, err := urdf.Parse("a.urdf", urdf.Text(arm), urdf.Options{}); err != nil {
			t.Errorf("what was exported is not read: %v\n%s", err, urdf.Text(arm))
		}
	})
}

// alloc is how much memory was ever asked for.
func alloc() uint64 {
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return m.TotalAlloc
}
