// Package measures reads an arm from a table of what was measured at it with a tape: a row a joint with a point of its axis and the
// direction of it, one for the flange, and one for the tool's tip. It is the short way to an arm file, without a body.
package measures

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/scenarios/armfile"
	"handrule/scenarios/form"
	"handrule/scenarios/tabular"
)

// What an arm file must say and a table may leave open.
const (
	limitWhereNone = math.Pi
	speedWhereNone = math.Pi / 2
)

// columns are those that a table may have.
var columns = func() map[string]tabular.Column {
	const degree = math.Pi / 180
	all := map[string]tabular.Column{
		"joint": {Name: "joint"}, "axis": {Name: "axis"}, "speed_deg_s": {Name: "speed", Unit: degree, Kind: tabular.Speed},
	}
	for _, letter := range []string{"x", "y", "z"} {
		for unit, mm := range map[string]float64{"mm": 1, "m": 1000, "inch": 25.4} {
			all[letter+"_"+unit] = tabular.Column{Name: letter, Unit: mm, Kind: tabular.Length, Need: true}
		}
	}
	for _, angle := range []string{"reads", "lower", "upper"} {
		all[angle+"_deg"] = tabular.Column{Name: angle, Unit: degree, Kind: tabular.Angle}
	}
	return all
}()

// table is the rows of a file by what they are of.
type table struct {
	*tabular.Table
	joints      []tabular.Row
	flange, tcp *tabular.Row
}

func read(file string, text []byte) (*table, error) {
	src, err := form.PlainTextUpTo(file, text, tabular.LargestFile)
	if err != nil {
		return nil, err
	}
	t := &table{Table: &tabular.Table{
		Source: src, Columns: columns, Need: []string{"joint", "x_mm", "y_mm", "z_mm", "axis"}, Such: "joint,x_mm,y_mm,z_mm,axis,reads_deg,lower_deg,upper_deg,speed_deg_s",
	}}
	for _, r := range t.Rows() {
		switch name := strings.ToLower(r.Words["joint"]); {
		case name == "flange" && t.flange == nil:
			t.flange = &r
		case name == "tcp" && t.tcp == nil:
			t.tcp = &r
		case name == "flange" || name == "tcp":
			t.Add(r.At, "there are two rows for the %s", name)
		default:
			t.joints = append(t.joints, r)
		}
	}
	return t, nil
}

func at(r *tabular.Row) r3.Vec {
	return r3.Vec{X: r.Numbers["x"], Y: r.Numbers["y"], Z: r.Numbers["z"]}
}

// axis reads a direction: x, -x, y, -y, z, -z, or three numbers.
func (t *table) axis(r *tabular.Row) (v r3.Vec, ok bool) {
	word := strings.ToLower(strings.ReplaceAll(strings.TrimPrefix(r.Words["axis"], "+"), "−", "-"))
	if v = armfile.Direction(word); v != (r3.Vec{}) {
		return v, true
	}
	var x [3]float64
	parts := strings.Fields(word)
	ok = len(parts) == 3
	for i := 0; ok && i < 3; i++ {
		var err error
		x[i], err = strconv.ParseFloat(strings.Replace(parts[i], ",", ".", 1), 64)
		ok = err == nil && math.Abs(x[i]) <= form.LargestLength
	}
	if v = (r3.Vec{X: x[0], Y: x[1], Z: x[2]}); !ok || r3.Norm(v) < 1e-6 {
		t.Add(r.PlaceOf("axis"), "axis must be x, -x, y, -y, z or -z, or three numbers such as 0 1 0, not %s", form.Quoted(r.Words["axis"]))
		return r3.Vec{Z: 1}, false
	}
	return r3.Unit(v), true
}

func (t *table) joint(i int, notes *[]string) kinematics.Joint {
	r := &t.joints[i]
	n := r.Numbers
	j := kinematics.Joint{Name: kinematics.JointNames[i], At: at(r), Measured: n["reads"], Min: n["lower"], Max: n["upper"], Speed: n["speed"]}
	if name := r.Words["joint"]; name != "" {
		j.Name = name
	}
	j.Axis, _ = t.axis(r)
	switch has := r.Has("lower"); {
	case has != r.Has("upper"):
		t.Add(r.At, "this row has one limit; give lower and upper, or neither")
	case !has:
		j.Min, j.Max = j.Measured-limitWhereNone, j.Measured+limitWhereNone
		if math.Abs(j.Measured) < limitWhereNone {
			j.Min, j.Max = -limitWhereNone, limitWhereNone
		}
		*notes = append(*notes, fmt.Sprintf("J%d: no limits given: taken as %s° to %s°", i+1, form.Decimal(kinematics.Degrees(j.Min)), form.Decimal(kinematics.Degrees(j.Max))))
	case j.Min > j.Max:
		t.Add(r.PlaceOf("lower"), "the limits are the wrong way round: lower %s°, upper %s°", form.Decimal(kinematics.Degrees(j.Min)), form.Decimal(kinematics.Degrees(j.Max)))
	case j.Min == j.Max:
		t.Add(r.PlaceOf("lower"), "the limits leave the joint no way to go")
	}
	switch {
	case j.Speed < 0:
		t.Add(r.PlaceOf("speed"), "the speed must be more than 0")
	case j.Speed == 0:
		j.Speed = speedWhereNone
		*notes = append(*notes, fmt.Sprintf("J%d: no speed given: taken as 90 °/s", i+1))
	}
	return j
}

// flangeFrame is the flange, whose Z points where its row says, turned the shortest way from the base frame.
func (t *table) flangeFrame() kinematics.Pose {
	z, _ := t.axis(t.flange)
	return kinematics.Pose{Position: at(t.flange), Rotation: armfile.ShortestTurn(kinematics.NoRotation, z)}
}

// Parse reads an arm from the text of a table, and says what it took for what. The error is an Errors with everything that is wrong.
func Parse(file string, text []byte, mountHeight float64) (*armfile.Arm, []string, error) {
	t, err := read(file, text)
	if err != nil {
		return nil, nil, err
	}
	end := form.Place{Line: max(1, len(t.Source.Lines)), Column: 1}
	if len(t.Source.Problems) == 0 && len(t.joints) != 6 {
		t.Add(end, "the table has rows for %d joints, and an arm has six", len(t.joints))
	}
	if len(t.Source.Problems) == 0 && t.flange == nil {
		t.Add(end, "there is no row called flange: its middle, and the direction out of it as its axis")
	}
	if err := t.Source.Err(); err != nil {
		return nil, nil, err
	}
	var notes []string
	var joints [6]kinematics.Joint
	names := map[string]bool{}
	for i := range joints {
		joints[i] = t.joint(i, &notes)
		if names[joints[i].Name] {
			t.Add(t.joints[i].PlaceOf("joint"), "the name %s is taken already", form.Quoted(joints[i].Name))
		}
		names[joints[i].Name] = true
	}
	flange := t.flangeFrame()
	if err := t.Source.Err(); err != nil {
		return nil, nil, err
	}
	geometry, err := kinematics.New(joints, flange)
	if err == nil {
		if why := geometry.AlwaysSingular(); why != "" {
			err = fmt.Errorf("the arm is singular in every pose: %s", why)
		}
	}
	if err != nil {
		t.Add(t.joints[0].At, "%v", err)
		return nil, nil, t.Source.Err()
	}
	arm := armfile.Measured(file, geometry, mountHeight)
	if t.tcp != nil {
		tip := kinematics.Pose{Position: flange.Inverse().Apply(at(t.tcp)), Rotation: kinematics.NoRotation}
		tool := kinematics.Tool{Name: "tool", TCP: tip}
		if long := r3.Norm(tip.Position); long > 1 {
			radius := min(6, long/4)
			along := r3.Scale(1/long, tip.Position)
			tool.Body = []kinematics.Capsule{{Link: 6, From: r3.Scale(radius, along), To: r3.Scale(long-radius, along), Radius: radius}}
		}
		arm.Tools = []kinematics.Tool{tool}
	}
	notes = append(notes, "note: the table says nothing of the arm's body. A slim one from axis to axis stands in. It is no measure of the arm: write the body in the arm file before you trust contact")
	if _, err := armfile.Parse(file, arm.Text()); err != nil {
		t.Add(t.joints[0].At, "cannot be an arm: %s", form.ProblemsOf(file, err)[0].Message)
		return nil, nil, t.Source.Err()
	}
	return arm, notes, nil
}

// Sketch returns what a table says of an arm so far, while it is written: its joints down to the first in which something is wrong.
func Sketch(file string, text []byte, mountHeight float64) armfile.Sketch {
	s := armfile.Sketch{MountHeight: mountHeight}
	t, err := read(file, text)
	if err != nil {
		return s
	}
	wrong := func(r *tabular.Row) bool {
		return slices.ContainsFunc(t.Source.Problems, func(p form.Problem) bool { return p.Line == r.At.Line })
	}
	var notes []string
	for i := range min(6, len(t.joints)) {
		j := t.joint(i, &notes)
		if wrong(&t.joints[i]) {
			return s
		}
		s.Joints = append(s.Joints, j)
	}
	if t.flange != nil {
		if end := t.flangeFrame(); !wrong(t.flange) {
			s.End = &end
		}
	}
	return s
}
