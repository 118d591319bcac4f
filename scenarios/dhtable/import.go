package dhtable

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/scenarios/armfile"
	"handrule/scenarios/form"
	"handrule/scenarios/tabular"
)

// Convention is how a table is read.
type Convention string

const (
	// Classic goes from a frame to the next by theta about Z, d along Z, a along X and alpha about X: A = Rz(θ)·Tz(d)·Tx(a)·Rx(α)
	// (Spong, Hutchinson and Vidyasagar, Robot Modeling and Control, ch. 3). Joint i turns about Z of frame i−1.
	Classic Convention = "classic"
	// Modified goes by alpha about X, a along X, theta about Z and d along Z: T = Rx(α)·Tx(a)·Rz(θ)·Tz(d) (Craig, Introduction to
	// Robotics, ch. 3, where a and alpha of row i are those with index i−1). Joint i turns about Z of frame i.
	Modified Convention = "modified"
)

// Options are what a table does not say.
type Options struct {
	Convention  Convention
	Forward     string  // the axis of frame 0 that points forward: x, -x, y or -y; x where it is empty
	MountHeight float64 // the base frame's origin above the mounting surface, mm
	AsWritten   bool    // 1.5708 rad is no quarter turn
}

// WhichConvention says what a person must know to choose.
const WhichConvention = `a table of Denavit-Hartenberg parameters is read in one of two ways, and is another arm in the other. Look at where it comes from:
  --convention classic   from frame to frame: turn by theta about Z, go d along Z, go a along X, turn by alpha about X.
                         Row i holds the a and alpha of link i, beyond joint i (Spong and others)
  --convention modified  from frame to frame: turn by alpha about X, go a along X, turn by theta about Z, go d along Z.
                         Row i holds the a and alpha of link i-1, before joint i; often its columns say so (Craig and others)`

// What an arm file must say and a table may leave open.
const (
	limitWhereNone = math.Pi
	speedWhereNone = math.Pi / 2
)

// Parse reads an arm from the text of a table, and says what it took for what. The error is an Errors with everything that is wrong.
func Parse(file string, text []byte, o Options) (*armfile.Arm, []string, error) {
	src, err := form.PlainTextUpTo(file, text, tabular.LargestFile)
	if err != nil {
		return nil, nil, err
	}
	t := tableOf(src, o.AsWritten)
	base, rows, flange := parted(rowsOf(t))
	if len(src.Problems) == 0 && len(rows) != 6 {
		at := form.Place{Line: 1, Column: 1}
		if len(rows) > 6 {
			at = rows[6].at
		}
		t.Add(at, "the table has rows for %d joints, and an arm has six. What comes before the first joint is in a row called base, what comes after the last in one called flange", len(rows))
	}
	if err := src.Err(); err != nil {
		return nil, nil, err
	}
	return arm(t, base, rows, flange, o)
}

// parted are the rows of the joints, and those before and after them where there are any.
func parted(all []row) (base *row, rows []row, flange *row) {
	rows = all
	if len(rows) > 0 && strings.EqualFold(rows[0].name, "base") {
		base, rows = &rows[0], rows[1:]
	}
	if last := len(rows) - 1; last >= 0 && strings.EqualFold(rows[last].name, "flange") {
		flange, rows = &rows[last], rows[:last]
	}
	return base, rows, flange
}

// Sketch returns what a table says of an arm so far, while it is written: its first rows, down to the first in which something is wrong.
func Sketch(file string, text []byte, o Options) armfile.Sketch {
	s := armfile.Sketch{MountHeight: o.MountHeight}
	src, err := form.PlainTextUpTo(file, text, tabular.LargestFile)
	if err != nil {
		return s
	}
	all := rowsOf(tableOf(src, o.AsWritten))
	for _, problem := range src.Problems {
		all = all[:slices.IndexFunc(append(all, row{at: form.Place{Line: math.MaxInt}}), func(r row) bool { return r.at.Line >= problem.Line })]
	}
	base, rows, flange := parted(all)
	rows = rows[:min(len(rows), 6)]
	turns, end := frames(base, rows, flange, o, o.Convention)
	for i, r := range rows {
		j := kinematics.Joint{Name: kinematics.JointNames[i], At: turns[i].Position, Axis: turns[i].Rotation.Z, Min: r.lower, Max: r.upper}
		if !r.hasLimits || !(j.Min < j.Max) {
			j.Min, j.Max = -limitWhereNone, limitWhereNone
		}
		s.Joints = append(s.Joints, j)
	}
	if len(rows) > 0 {
		s.End = &end
	}
	return s
}

// step is the way from one frame to the next.
func (r *row) step() (turn, move kinematics.Pose) {
	turn = kinematics.Pose{Position: r3.Vec{Z: r.d}, Rotation: kinematics.RotationAbout(r3.Vec{Z: 1}, r.theta)}
	move = kinematics.Pose{Position: r3.Vec{X: r.a}, Rotation: kinematics.RotationAbout(r3.Vec{X: 1}, r.alpha)}
	return turn, move
}

// frames returns the frames about whose Z the joints turn, and the flange.
func frames(base *row, rows []row, flange *row, o Options, c Convention) (turns []kinematics.Pose, end kinematics.Pose) {
	at := kinematics.Pose{Rotation: armfile.Forward(o.Forward)}
	advance := func(r *row) (axis kinematics.Pose) {
		turn, move := r.step()
		if c == Modified {
			axis = at.Mul(move)
			at = axis.Mul(turn)
			return axis
		}
		axis = at
		at = at.Mul(turn).Mul(move)
		return axis
	}
	if base != nil {
		advance(base)
	}
	for i := range rows {
		turns = append(turns, advance(&rows[i]))
	}
	if flange != nil {
		advance(flange)
	}
	return turns, at
}

func arm(t *tabular.Table, base *row, rows []row, flange *row, o Options) (*armfile.Arm, []string, error) {
	var notes []string
	note := func(format string, args ...any) { notes = append(notes, fmt.Sprintf(format, args...)) }
	turns, end := frames(base, rows, flange, o, o.Convention)
	var joints [6]kinematics.Joint
	names := map[string]bool{}
	for i := range joints {
		r := &rows[i]
		j := &joints[i]
		*j = kinematics.Joint{Name: r.name, At: turns[i].Position, Axis: turns[i].Rotation.Z, Min: r.lower, Max: r.upper, Speed: r.speed}
		if j.Name == "" || names[j.Name] {
			j.Name = kinematics.JointNames[i]
		}
		names[j.Name] = true
		said := ""
		if !r.hasLimits {
			j.Min, j.Max = -limitWhereNone, limitWhereNone
			said = ", no limits given: taken as ±180°"
		}
		switch {
		case j.Min > j.Max:
			t.Add(r.at, "the limits are the wrong way round: lower %s°, upper %s°", form.Decimal(kinematics.Degrees(j.Min)), form.Decimal(kinematics.Degrees(j.Max)))
		case j.Min == j.Max:
			t.Add(r.at, "the limits leave the joint no way to go")
		case j.Speed < 0:
			t.Add(r.at, "the speed must be more than 0")
		case j.Speed == 0:
			j.Speed = speedWhereNone
			said += ", no speed given: taken as 90 °/s"
		}
		note("J%d: turns about (%s, %s, %s) through X %s, Y %s, Z %s mm, %s° to %s°, %s °/s%s", i+1, form.Decimal(j.Axis.X), form.Decimal(j.Axis.Y), form.Decimal(j.Axis.Z),
			form.Decimal(j.At.X), form.Decimal(j.At.Y), form.Decimal(j.At.Z), form.Decimal(kinematics.Degrees(j.Min)), form.Decimal(kinematics.Degrees(j.Max)), form.Decimal(kinematics.Degrees(j.Speed)), said)
	}
	if err := t.Source.Err(); err != nil {
		return nil, nil, err
	}
	geometry, err := kinematics.New(joints, end)
	if err == nil {
		if why := geometry.AlwaysSingular(); why != "" {
			err = fmt.Errorf("the six joints make an arm that is singular in every pose: %s. Is it the other convention?", why)
		}
	}
	if err != nil {
		t.Add(rows[0].at, "%v", err)
		return nil, nil, t.Source.Err()
	}
	made := armfile.Measured(t.Source.File, geometry, o.MountHeight)
	note("flange: frame 6, at X %s, Y %s, Z %s mm with every joint at zero; its Z points along (%s, %s, %s)", form.Decimal(end.Position.X), form.Decimal(end.Position.Y), form.Decimal(end.Position.Z),
		form.Decimal(end.Rotation.Z.X), form.Decimal(end.Rotation.Z.Y), form.Decimal(end.Rotation.Z.Z))
	if flange != nil {
		notes[len(notes)-1] = strings.Replace(notes[len(notes)-1], "frame 6", "the row called flange", 1)
	}
	other := Classic
	if o.Convention == Classic {
		other = Modified
	}
	if _, elsewhere := frames(base, rows, flange, o, other); r3.Norm(r3.Sub(elsewhere.Position, end.Position)) > 1e-6 {
		note("read as %s, not %s, the same table would put the flange at X %s, Y %s, Z %s mm: compare with the arm", other, o.Convention,
			form.Decimal(elsewhere.Position.X), form.Decimal(elsewhere.Position.Y), form.Decimal(elsewhere.Position.Z))
	}
	if len(t.Quarters) > 0 {
		note("angles taken for exact quarter turns, of which they are roundings: %s; --as-written takes them as they are", form.AllOf(t.Quarters))
	}
	note("note: a table says nothing of an arm's body. A slim one from axis to axis stands in. It is no measure of the arm: write the body in the arm file before you trust contact")
	if _, err := armfile.Parse(t.Source.File, made.Text()); err != nil {
		t.Add(rows[0].at, "cannot be an arm: %s", form.ProblemsOf(t.Source.File, err)[0].Message)
		return nil, nil, t.Source.Err()
	}
	return made, notes, nil
}
