package dhtable_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/internal/reference"
	"handrule/kinematics"
	"handrule/scenarios/armfile"
	"handrule/scenarios/dhtable"
	"handrule/scenarios/form"
)

func parse(t *testing.T, text string, o dhtable.Options) (*armfile.Arm, string) {
	t.Helper()
	arm, notes, err := dhtable.Parse("table.csv", []byte(text), o)
	if err != nil {
		t.Fatalf("%v in\n%s", err, text)
	}
	return arm, strings.Join(notes, "\n")
}

// off is how far a pose is from a position and a rotation by rows, as a share of a metre and of 1.
func off(got kinematics.Pose, want [12]float64) float64 {
	return reference.Off(got.Position, got.Rotation.Matrix(), want)
}

type kdlTables struct {
	Source string `json:"source"`
	Tables []struct {
		Convention dhtable.Convention `json:"convention"`
		Rows       [6][4]float64      `json:"rows"`
		Poses      []struct {
			Q      [6]float64  `json:"q"`
			Flange [12]float64 `json:"flange"`
		} `json:"poses"`
	} `json:"tables"`
}

// Orocos KDL has a function for each of the two conventions; random tables give the same flange by both.
func TestTablesStandAsKDLSays(t *testing.T) {
	var all kdlTables
	reference.Read(t, "kdl/dh.json", &all)
	read, worst := 0, 0.0
	for n, table := range all.Tables {
		text := "a_mm,alpha_deg,d_mm,theta_deg\n"
		for _, r := range table.Rows {
			text += fmt.Sprintf("%v,%v,%v,%v\n", r[0], r[1], r[2], r[3])
		}
		arm, _, err := dhtable.Parse("table.csv", []byte(text), dhtable.Options{Convention: table.Convention})
		if err != nil {
			if !strings.Contains(err.Error(), "an arm that is singular in every pose") {
				t.Errorf("table %d: %v", n, err)
			}
			continue
		}
		read++
		if arm, err = armfile.Parse("table.yaml", arm.Text()); err != nil {
			t.Fatal(err)
		}
		for _, p := range table.Poses {
			var q kinematics.Joints
			for i, deg := range p.Q {
				q[i] = kinematics.Radians(deg)
			}
			worst = math.Max(worst, off(arm.Geometry.Forward(q), p.Flange))
		}
	}
	t.Logf("%d tables, at most %.2g off", read, worst)
	if read < 150 || !(worst <= 1e-9) {
		t.Errorf("%d tables are arms, off by at most %v", read, worst)
	}
}

func TestKDLTablesGenerator(t *testing.T) {
	var made, kept any
	reference.Unmarshal(t, reference.Regenerate(t, "PyKDL", "python3-pykdl", "kdl/generate_dh.py"), &made)
	reference.Read(t, "kdl/dh.json", &kept)
	reference.CompareNumbers(t, "", kept, made, func(string) float64 { return 1e-10 })
}

// book is a worked example: a table, and the flange that the book prints for it in the joints' cosines and sines.
type book struct {
	convention dhtable.Convention
	table      string
	flange     func(c, s [7]float64, c23, s23 float64) [12]float64
}

// Worked examples of two textbooks, one in each convention: the table, and beside it the position and orientation that the book prints. Both are
// from memory, not checked against the page; a table and the closed form printed for it agree only where both are remembered
// rightly. The lengths are invented.
func TestTextbookTables(t *testing.T) {
	const a2, a3, d3, d4, d6 = 410, 35, 125, 385, 90
	books := map[string]book{
		// Siciliano, Sciavicco, Villani and Oriolo, Robotics: Modelling, Planning and Control, ch. 2, "Anthropomorphic arm with
		// spherical wrist": tables of the arm and the wrist, and n, s, a, p of the direct kinematics.
		"Siciliano": {dhtable.Classic, fmt.Sprintf("joint;a_mm;alpha_deg;d_mm;theta_deg\n1;0;90;0;θ1\n2;%d;0;0;θ2\n3;0;90;0;θ3\n4;0;-90;%d;θ4\n5;0;90;0;θ5\n6;0;0;%d;θ6\n", a2, d4, d6),
			func(c, s [7]float64, c23, s23 float64) [12]float64 {
				// what the wrist does in the plane of the arm, and across it
				n, across := c[4]*c[5]*c[6]-s[4]*s[6], s[4]*c[5]*c[6]+c[4]*s[6]
				m, over := -c[4]*c[5]*s[6]-s[4]*c[6], -s[4]*c[5]*s[6]+c[4]*c[6]
				w := c23*c[4]*s[5] + s23*c[5]
				ax, ay, az := c[1]*w+s[1]*s[4]*s[5], s[1]*w-c[1]*s[4]*s[5], s23*c[4]*s[5]-c23*c[5]
				return [12]float64{
					a2*c[1]*c[2] + d4*c[1]*s23 + d6*ax, a2*s[1]*c[2] + d4*s[1]*s23 + d6*ay, a2*s[2] - d4*c23 + d6*az,
					c[1]*(c23*n-s23*s[5]*c[6]) + s[1]*across, c[1]*(c23*m+s23*s[5]*s[6]) + s[1]*over, ax,
					s[1]*(c23*n-s23*s[5]*c[6]) - c[1]*across, s[1]*(c23*m+s23*s[5]*s[6]) - c[1]*over, ay,
					s23*n + c23*s[5]*c[6], s23*m - c23*s[5]*s[6], az,
				}
			}},
		// Craig, Introduction to Robotics, ch. 3, the six-joint example whose table has α0 … a5 in its columns, and the nine elements
		// of the rotation and three of the position printed for it.
		"Craig": {dhtable.Modified, fmt.Sprintf("joint;alpha_deg;a_mm;d_mm;theta_deg\n1;0;0;0;θ1\n2;-90;0;0;θ2\n3;0;%d;%d;θ3\n4;-90;%d;%d;θ4\n5;90;0;0;θ5\n6;-90;0;0;θ6\n", a2, d3, a3, d4),
			func(c, s [7]float64, c23, s23 float64) [12]float64 {
				n, across := c[4]*c[5]*c[6]-s[4]*s[6], s[4]*c[5]*c[6]+c[4]*s[6]
				m, over := -c[4]*c[5]*s[6]-s[4]*c[6], c[4]*c[6]-s[4]*c[5]*s[6]
				p, w := a2*c[2]+a3*c23-d4*s23, c23*c[4]*s[5]+s23*c[5]
				return [12]float64{
					c[1]*p - d3*s[1], s[1]*p + d3*c[1], -a3*s23 - a2*s[2] - d4*c23,
					c[1]*(c23*n-s23*s[5]*c[6]) + s[1]*across, c[1]*(c23*m+s23*s[5]*s[6]) + s[1]*over, -c[1]*w - s[1]*s[4]*s[5],
					s[1]*(c23*n-s23*s[5]*c[6]) - c[1]*across, s[1]*(c23*m+s23*s[5]*s[6]) - c[1]*over, -s[1]*w + c[1]*s[4]*s[5],
					-s23*n - c23*s[5]*c[6], -s23*m + c23*s[5]*s[6], s23*c[4]*s[5] - c23*c[5],
				}
			}},
	}
	random := rand.New(rand.NewPCG(1, 2))
	for name, b := range books {
		arm, _ := parse(t, b.table, dhtable.Options{Convention: b.convention})
		for range 20 {
			var q kinematics.Joints
			var c, s [7]float64
			for i := range q {
				q[i] = (2*random.Float64() - 1) * math.Pi
				s[i+1], c[i+1] = math.Sincos(q[i])
			}
			if d := off(arm.Geometry.Forward(q), b.flange(c, s, math.Cos(q[1]+q[2]), math.Sin(q[1]+q[2]))); !(d < 1e-12) {
				t.Errorf("%s: at %v the flange is off by %v", name, q, d)
			}
		}
	}
}

// The same arm in every way that tables are written: mm or m, degrees or radians, with π, with decimal commas, with the joint's own
// angle, with a column for the zero, with a row for the flange.
func TestTheSameTableWrittenInOtherWays(t *testing.T) {
	o := dhtable.Options{Convention: dhtable.Classic}
	want, _ := parse(t, "a_mm,alpha_deg,d_mm,theta_deg\n50,-90,330,0\n410.5,0,0,-90\n35,-90,0,0\n0,90,385,0\n0,-90,0,0\n0,0,90,180\n", o)
	for name, text := range map[string]string{
		"m and rad":      "a_m,alpha_rad,d_m,theta_rad\n0.05,-1.5708,0.33,0\n0.4105,0,0,-1.570796\n0.035,-1.57,0,0\n0,1.5708,0.385,0\n0,-1.5708,0,0\n0,0,0.09,3.14159\n",
		"π":              "a_m,alpha_rad,d_m,theta_rad\n0.05,-pi/2,0.33,θ1\n0.4105,0,0,θ2-pi/2\n0.035,-π/2,0,q3\n0,+π/2,0.385,q4\n0,-0.5π,0,q5\n0,0,0.09,q6 + π\n",
		"decimal commas": "\n# from the sheet\nJoint;alpha_deg;a_mm;theta_deg;d_mm\nJ1;−90°;50;;330\nJ2;0;410,5;−90;0\nJ3;-90;35;0;0\nJ4;90;0;0;385\nJ5;-90;0;0;0\nJ6;0;0;180;90\n",
		"tabs, zeros":    "a_mm\talpha_deg\td_mm\ttheta_deg\tzero_deg\n50\t-90\t330\t0\t\n410.5\t0\t0\t0\t-90\n35\t-90\t0\t0\t0\n0\t90\t385\t0\t0\n0\t-90\t0\t0\t0\n0\t0\t90\t90\t90\n",
		"as in books":    "Joint\tθ [°]\td [mm]\ta (mm)\tα [deg]\tspeed (°/s)\n1\t0\t330\t50\t-90\t90\n2\t-90\t0\t410,5\t0\t90\n3\t0\t0\t35\t-90\t90\n4\t0\t385\t0\t90\t90\n5\t0\t0\t0\t-90\t90\n6\t180\t90\t0\t0\t90\n",
		"base, flange":   "joint,a_mm,alpha_deg,d_mm,theta_deg\nbase,0,0,330,0\n1,50,-90,0,0\n2,410.5,0,0,-90\n3,35,-90,0,0\n4,0,90,385,0\n5,0,-90,0,0\n6,0,0,0,0\nflange,0,0,90,180\n",
	} {
		got, _ := parse(t, text, o)
		for range 5 {
			q := kinematics.Joints{0.3, -0.4, 0.5, -0.6, 0.7, -0.8}
			a, b := got.Geometry.Forward(q), want.Geometry.Forward(q)
			if move, turn := a.Twist(b); r3.Norm(move) > 1e-9 || r3.Norm(turn) > 1e-12 {
				t.Errorf("%s: off by %v and %v", name, move, turn)
			}
		}
		if got.Geometry.Solver() != "closed form: spherical wrist, axes 2 and 3 parallel" {
			t.Errorf("%s: solved by %s", name, got.Geometry.Solver())
		}
	}
	_, notes := parse(t, "a_m,alpha_rad,d_m,theta_rad,lower_rad,upper_rad,speed_deg_s\n0.05,-1.5708,0.33,0,-2,2,90\n0.4105,0,0,-1.5708,,,\n0.035,-1.5708,0,0,,,\n0,1.5708,0.385,0,,,\n0,-1.5708,0,0,,,\n0,0,0.09,0,,,\n", o)
	for _, says := range []string{"no limits given: taken as ±180°", "−114.592° to 114.592°, 90 °/s\n", "taken for exact quarter turns", "-1.5708 on line 2", "read as modified, not classic", "says nothing of an arm's body"} {
		if !strings.Contains(notes, says) {
			t.Errorf("no %q in\n%s", says, notes)
		}
	}
	for forward, x := range map[string]r3.Vec{"": {X: 1}, "y": {Y: -1}} {
		arm, _ := parse(t, "a_mm,alpha_deg,d_mm,theta_deg\n50,-90,330,0\n410.5,0,0,0\n35,-90,0,0\n0,90,385,0\n0,-90,0,0\n0,0,90,180\n", dhtable.Options{Convention: dhtable.Classic, Forward: forward})
		if along := r3.Dot(arm.Geometry.Flange.Position, x); !(along > 400) {
			t.Errorf("forward %q: the flange is at %v", forward, arm.Geometry.Flange.Position)
		}
	}
}

func TestRefusals(t *testing.T) {
	const good = "joint,a_mm,alpha_deg,d_mm,theta_deg,lower_deg,upper_deg\nJ1,50,-90,330,0,-170,170\nJ2,410,0,0,-90,-90,90\nJ3,35,-90,0,0,-90,90\nJ4,0,90,385,0,-90,90\nJ5,0,-90,0,0,-90,90\nJ6,0,0,90,180,-90,90\n"
	for _, test := range []struct{ name, old, new, at, says string }{
		{"unknown column", "alpha_deg", "alfa_deg", "table.csv:1:12", `did you mean "alpha_deg"`},
		{"no unit", "d_mm", "d", "table.csv:1:", `no column is called "d"`},
		{"no column", "joint,a_mm", "joint,lower_rad", "table.csv:1:", "there is no column a_mm or a_m"},
		{"not a number", "410", "4lO", "table.csv:3:4", `a must be a number, not "4lO"`},
		{"metres told as mm", "410,", "41000000,", "table.csv:3:4", "is the header's unit right?"},
		{"five", "J6,0,0,90,180,-90,90\n", "", "table.csv:1:1", "rows for 5 joints"},
		{"seven", "J6,", "J7,0,0,1,0,-90,90\nJ6,", "table.csv:8:1", "rows for 7 joints"},
		{"one limit", "-170,170", "-170,", "table.csv:2:1", "one limit"},
		{"limits reversed", "-170,170", "170,-170", "table.csv:2:1", "wrong way round"},
		{"short row", "J5,0,-90,0,0,-90,90", "J5,0", "table.csv:6:1", "has no alpha"},
		{"too many cells", "-170,170", "-170,170,5", "table.csv:2:", "a column that the header does not name"},
		{"quote", "J4", "\"J4", "table.csv:", "is no table"},
		{"always singular", "J5,0,-90", "J5,0,0", "table.csv:2:1", "singular in every pose"},
		{"nothing", good, "# only this\n", "table.csv:1:1", "has no header"},
		{"infinite", "330", "inf", "table.csv:2:", "must be a number"},
	} {
		if !strings.Contains(good, test.old) {
			t.Fatal(test.name)
		}
		_, _, err := dhtable.Parse("table.csv", []byte(strings.Replace(good, test.old, test.new, 1)), dhtable.Options{Convention: dhtable.Classic})
		if err == nil || !strings.Contains(err.Error(), test.at) || !strings.Contains(err.Error(), test.says) {
			t.Errorf("%s: want %q and %q in\n%v", test.name, test.at, test.says, err)
		}
	}
}

// A table is refused with problems at their places, or gives an arm that an arm file can hold.
func FuzzParse(f *testing.F) {
	f.Add("joint,a_mm,alpha_deg,d_mm,theta_deg,lower_deg,upper_deg\nJ1,50,-90,330,0,-170,170\nJ2,410,0,0,-90,-90,90\nJ3,35,-90,0,0,-90,90\nJ4,0,90,385,0,-90,90\nJ5,0,-90,0,0,-90,90\nJ6,0,0,90,180,-90,90\n", true)
	f.Add("a_m;alpha_rad;d_m;theta_rad\n0,05;-pi/2;0,33;θ1\n0,4105;0;0;θ2-pi/2\n0;-π/2;0;q3\n0;+π/2;0,385;q4\n0;-0,5π;0;q5\n0;0;0,09;q6 + π\n", false)
	f.Fuzz(func(t *testing.T, text string, classic bool) {
		o := dhtable.Options{Convention: dhtable.Modified}
		if classic {
			o.Convention = dhtable.Classic
		}
		arm, _, err := dhtable.Parse("table.csv", []byte(text), o)
		if err != nil {
			if problems, ok := err.(form.Errors); !ok || len(problems) == 0 {
				t.Fatalf("%T, not a list of problems: %v", err, err)
			}
			return
		}
		if _, err := armfile.Parse("table.yaml", arm.Text()); err != nil {
			t.Errorf("what was read is no arm file: %v\n%s", err, arm.Text())
		}
	})
}
