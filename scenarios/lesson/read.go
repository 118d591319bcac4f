package lesson

import (
	"encoding/binary"
	"fmt"
	"math"

	"handrule/kinematics/jog"
	"handrule/scenarios/form"
	"handrule/words"
)

// Read is the task to say a number that the readout shows, or would show after jogs.
type Read struct {
	form.Block
	Quantity
	Unit      Unit        `field:"unit" about:"mm or inch, for lengths. mm unless told otherwise."`
	Tolerance form.Margin `field:"tolerance,required" about:"How far off the answer may be, in its unit."`
}

// Unit is what a length is said in.
type Unit string

const (
	unitMM   Unit = "mm"
	unitInch Unit = "inch"
)

// units are all of them.
var units = []Unit{unitMM, unitInch}

// Kind is "read".
func (*Read) Kind() string { return "read" }

func (r *Read) validate(l *Lesson, _ *Stage) {
	r.Quantity.validate(l, &r.Block)
	switch {
	case r.Measure.Words() != nil:
		r.Add("measure", "%s is a word and not a number; ask for it with choose", r.Measure)
	case r.Given("unit") && r.Measure != "" && r.unit() != string(unitMM):
		r.Add("unit", "goes with lengths; %s is none", r.Measure)
	}
}

// AnswerUnit is what the answer is in: "mm", "inch", "°", or "" for a plain number.
func (r *Read) AnswerUnit() string {
	if r.unit() == string(unitMM) && r.Unit == unitInch {
		return string(unitInch)
	}
	return r.unit()
}

// value returns what is to be read, in the unit that was asked for.
func (r *Read) value(l *Lesson, d *jog.Drive) (Value, error) {
	v, err := r.Of(l, d)
	if r.Unit == unitInch && v.Unit == "mm" {
		v.X, v.Unit = v.X/words.MMPerInch, "inch"
	}
	return v, err
}

func (r *Read) Truth(l *Lesson, d *jog.Drive) (Truth, error) {
	v, err := r.value(l, d)
	t := Truth{Words: v.String(), Answer: Answer{Number: &v.X}}
	if float64(r.Tolerance) >= r.widest(l) {
		t.Unclear = fmt.Sprintf("every number that this arm could show is within the tolerance of %s", Value{X: float64(r.Tolerance), Unit: v.Unit})
	}
	return t, err
}

// widest is how far off a number of this arm can be at all, in the task's unit.
func (r *Read) widest(l *Lesson) float64 {
	switch r.AnswerUnit() {
	case "":
		return 1
	case "°":
		return 180
	case string(unitInch):
		return l.Arm.Geometry.Reach() / words.MMPerInch
	}
	return l.Arm.Geometry.Reach()
}

func (r *Read) grade(l *Lesson, d *jog.Drive, a Answer) (v Verdict, err error) {
	right, err := r.value(l, d)
	switch {
	case err != nil:
		return v, err
	case a.Number == nil || math.IsNaN(*a.Number) || math.IsInf(*a.Number, 0):
		return v, fmt.Errorf("the answer is a number")
	}
	off := right.Off(*a.Number)
	v.Right = right.String()
	v.off(off, right.Unit)
	v.Done = math.Abs(off) <= float64(r.Tolerance)+1e-9
	return v, nil
}

// An answer is packed in thousandths, or as it is where it has too many of them.
func (r *Read) pack(a Answer) []byte {
	if x := math.Round(*a.Number * 1000); math.Abs(x) < 1<<53 {
		return binary.AppendVarint([]byte{0}, int64(x))
	}
	return binary.BigEndian.AppendUint64([]byte{1}, math.Float64bits(*a.Number))
}

func (r *Read) unpack(packed []byte) (a Answer, ok bool) {
	switch {
	case len(packed) > 1 && packed[0] == 0:
		if x, n := binary.Varint(packed[1:]); n == len(packed)-1 {
			number := float64(x) / 1000
			return Answer{Number: &number}, true
		}
	case len(packed) == 9 && packed[0] == 1:
		number := math.Float64frombits(binary.BigEndian.Uint64(packed[1:]))
		return Answer{Number: &number}, true
	}
	return a, false
}

func (r *Read) told(packed []byte) string {
	a, ok := r.unpack(packed)
	if !ok {
		return untold
	}
	return Value{X: *a.Number, Unit: r.AnswerUnit()}.String()
}
