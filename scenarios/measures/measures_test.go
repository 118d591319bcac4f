package measures_test

import (
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/scenarios/form"
	"handrule/scenarios/measures"
)

// dunlin is the arm of docs/arm-files.md as it is measured with a tape, parted by tabs as a spreadsheet pastes it.
const dunlin = `joint	x_mm	y_mm	z_mm	axis	reads_deg	lower_deg	upper_deg	speed_deg_s
J1	0	0	0	z		-160	160	150
J2	75	0	355	y	-90	-175	30	120
J3	75	0	760	y	90	-50	160	150
J4	75	0	785	x		-175	175	240
J5	455	0	785	0 1 0		-120	120	240
J6	455	0	785	x
flange	537	0	785	x
tcp	677	0	785
`

func TestATableOfMeasuresIsAnArm(t *testing.T) {
	arm, notes, err := measures.Parse("dunlin.tsv", []byte(dunlin), 12)
	if err != nil {
		t.Fatal(err)
	}
	j := arm.Geometry.Joints[1]
	if arm.Name != "dunlin" || arm.MountHeight != 12 || math.Abs(kinematics.Degrees(j.Measured)+90) > 1e-12 || math.Abs(kinematics.Degrees(j.Max)-30) > 1e-12 {
		t.Errorf("%+v", j)
	}
	// Where it was measured the TCP is where the tape said, out of the flange's face.
	at := arm.Geometry.Forward(arm.Geometry.Measured()).Mul(arm.Tools[0].TCP)
	if r3.Norm(r3.Sub(at.Position, r3.Vec{X: 677, Z: 785})) > 1e-9 || r3.Norm(r3.Sub(arm.Geometry.Flange.Rotation.Z, r3.Vec{X: 1})) > 1e-12 {
		t.Errorf("%+v", at)
	}
	told := strings.Join(notes, "\n")
	if !strings.Contains(told, "J6: no limits given: taken as −180° to 180°") || !strings.Contains(told, "J6: no speed given") || strings.Contains(told, "J5:") {
		t.Error(told)
	}
	if len(arm.Body) == 0 {
		t.Error("nothing is drawn")
	}
}

func TestWhatIsWrongIsToldAtItsCell(t *testing.T) {
	for _, test := range []struct{ old, new, says string }{
		{"J2	75", "J2	7e5", "3:4: x is \"7e5\", which is more than any arm has"},
		{"J2	75", "J2	", "3:4: x must be a number"},
		{"J3	75	0	760	y", "J3	75	0	760	up", "4:13: axis must be x, -x"},
		{"J5	455	0	785	0 1 0", "J5	455	0	785	0 0 0", "6:14: axis must be"},
		{"-160	160", "160	-160", "2:13: the limits are the wrong way round"},
		{"-160	160", "-160	", "2:1: this row has one limit"},
		{"flange	537	0	785	x\n", "", "there is no row called flange"},
		{"J4	75	0	785	x		-175	175	240\n", "", "rows for 5 joints"},
		{"x_mm", "x_ft", `1:7: no column is called "x_ft"`},
		{"J4	75", "J3	75", "the name \"J3\" is taken already"},
		{"455	0	785	x", "455	0	785	y", "singular in every pose"},
	} {
		if !strings.Contains(dunlin, test.old) {
			t.Fatal(test.old)
		}
		_, _, err := measures.Parse("a.tsv", []byte(strings.Replace(dunlin, test.old, test.new, 1)), 0)
		if err == nil || !strings.Contains(err.Error(), test.says) {
			t.Errorf("%q: %v", test.new, err)
		}
	}
}

// A sketch grows row by row, ends above the first wrong one, and with its joints turned is where the whole arm is.
func TestASketchGrowsWithItsTable(t *testing.T) {
	lines := strings.SplitAfter(dunlin, "\n")
	for n := range 7 {
		s := measures.Sketch("a.tsv", []byte(strings.Join(lines[:n+1], "")), 12)
		if len(s.Joints) != n || s.End != nil {
			t.Errorf("after %d rows: %d joints, end %v", n, len(s.Joints), s.End)
		}
		if d := s.At(kinematics.Joints{}); len(d.Way) != n+1 || len(d.At) != n || d.Way[0] != (r3.Vec{Z: -12}) {
			t.Errorf("after %d rows: %+v", n, d)
		}
	}
	if s := measures.Sketch("a.tsv", []byte(strings.Replace(dunlin, "760	y", "760	?", 1)), 0); len(s.Joints) != 2 {
		t.Errorf("%d joints above a wrong row", len(s.Joints))
	}
	arm, _, err := measures.Parse("a.tsv", []byte(dunlin), 0)
	if err != nil {
		t.Fatal(err)
	}
	s := measures.Sketch("a.tsv", []byte(dunlin), 0)
	q := kinematics.Joints{0.3, -1, 1.2, 0.4, -0.7, 2}
	d, links := s.At(q), arm.Geometry.Links(q)
	if want := arm.Geometry.Forward(q); r3.Norm(r3.Sub(want.Position, d.End.Position)) > 1e-9 || r3.Norm(r3.Sub(want.Rotation.Z, d.End.Rotation.Z)) > 1e-12 {
		t.Errorf("%+v, not %+v", d.End, want)
	}
	for i, j := range arm.Geometry.Joints {
		if r3.Norm(r3.Sub(links[i].Rotation.Apply(j.Axis), d.Along[i])) > 1e-12 || r3.Norm(r3.Cross(r3.Sub(links[i].Apply(j.At), d.At[i]), d.Along[i])) > 1e-9 {
			t.Errorf("axis %d is elsewhere", i+1)
		}
	}
}

// A table gives an arm, or problems at their places.
func FuzzMeasures(f *testing.F) {
	f.Add([]byte(dunlin))
	f.Add([]byte("joint;x_m;y_m;z_m;axis\nJ1;0,5;0;0;0 0,5 1\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		s := measures.Sketch("a.tsv", text, 0)
		s.At(kinematics.Joints{1, 2, 3, 4, 5, 6})
		arm, _, err := measures.Parse("a.tsv", text, 0)
		if err == nil {
			if arm.Geometry == nil || len(s.Joints) != 6 {
				t.Errorf("an arm of %d joints", len(s.Joints))
			}
			return
		}
		if problems, ok := err.(form.Errors); !ok || len(problems) == 0 {
			t.Errorf("%T: %v", err, err)
		}
	})
}
