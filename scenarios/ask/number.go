package ask

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/kinematics/clearance"
	"handrule/kinematics/jog"
	"handrule/scenarios/form"
	"handrule/scenarios/lesson"
	"handrule/scenarios/spoken"
	"handrule/words"
)

// number is the question for a number that can be read of the arm.
type number struct{}

// How far off a number may be. A length is compared in mm, in whatever unit it is answered.
const (
	withinMM  = 1.0
	withinDeg = 1.0
)

// ofPlace and ofTurn are the numbers that tell where the TCP is, and how the tool is turned.
var (
	ofPlace = []string{"x", "y", "z"}
	ofTurn  = []string{"about-x", "about-y", "about-z"}
)

func (number) begin(a *Asked) error {
	m := &a.Measure
	switch {
	case m.Of == "joint":
		if m.Joint < 0 || m.Joint >= len(kinematics.JointNames) {
			return words.NewProblem("ask.bad.joint")
		}
	case !slices.Contains(ofPlace, m.Of) && !slices.Contains(ofTurn, m.Of):
		return words.NewProblem("ask.bad.measure", "measure", form.Quoted(m.Of))
	default:
		if m.Frame == "" {
			m.Frame = jog.BaseFrame
		}
		if traits := m.Frame.Traits(); !traits.Fixed || traits.Named != (m.Task != "") {
			return words.NewProblem("ask.bad.read-in", "frame", form.Quoted(string(m.Frame)))
		}
		if err := a.hasFrame(m.Task); err != nil {
			return err
		}
	}
	if a.Unit != words.Inch {
		a.Unit = words.MM
	}
	value, err := a.value(a.d, *m)
	if err != nil {
		return words.NewProblem("ask.unclear.angles")
	}
	a.reading, a.truth = value, saying(a.answered(value))
	return nil
}

// quantity is the measure as lessons compute it.
func (m Measure) quantity() *lesson.Quantity {
	q := &lesson.Quantity{Measure: lesson.Measure(m.Of)}
	if m.Of == "joint" {
		joint := lesson.JointIndex(m.Joint)
		q.Joint = &joint
		return q
	}
	q.Frame = lesson.FrameName(m.Frame)
	if m.Task != "" {
		q.Frame += lesson.FrameName(" " + m.Task)
	}
	return q
}

// value is what a measure comes to, mm or degrees.
func (a *Asked) value(d *jog.Drive, m Measure) (lesson.Value, error) {
	return m.quantity().Of(&lesson.Lesson{}, d)
}

// answered is a value in the unit that it is answered in.
func (a *Asked) answered(v lesson.Value) float64 {
	if v.Unit == "mm" && a.Unit == words.Inch {
		return v.X / words.MMPerInch
	}
	return v.X
}

// AnswerUnit is what a number is answered in: "mm", "inch", "°", or "" where none is asked for.
func (a *Asked) AnswerUnit() string {
	switch {
	case a.Kind != Number:
		return ""
	case a.reading.Unit == "mm":
		return string(a.Unit)
	}
	return a.reading.Unit
}

func (number) clear(*Asked) error { return nil }

func (number) take(_ *Asked, given Answer) (Answer, error) { return takeNumber(given) }

// An angle that starts anew at ±180° is compared past there.
func (number) apart(a *Asked, x, y *Answer) float64 {
	v := a.reading
	v.X = *y.Number
	off, within := math.Abs(v.Off(*x.Number)), withinDeg
	if v.Unit == "mm" {
		within = withinMM
		if a.Unit == words.Inch {
			off *= words.MMPerInch
		}
	}
	if off <= within+1e-9 {
		return math.Min(off/within, 1)
	}
	return off / within
}

func (number) beliefs(a *Asked) (all []belief) {
	m, truth := a.Measure, a.reading
	add := func(key string, v lesson.Value, fill ...any) {
		all = append(all, belief{key: key, fill: fill, answer: saying(a.answered(v))})
	}
	scaled := func(by float64) lesson.Value {
		v := truth
		v.X *= by
		return v
	}
	of := func(key string, d *jog.Drive, other Measure, fill ...any) {
		if v, err := a.value(d, other); err == nil {
			add(key, v, fill...)
		}
	}
	add("sign", scaled(-1))
	if b := a.before; b != nil {
		of("before", b.d, m)
		if d, err := lesson.After(b.d, b.backwards()); err == nil {
			of("backwards", d, m)
		}
		if v, err := a.value(b.d, m); err == nil && len(b.jogs) == 1 && b.jogs[0].Straight() && v.Unit == "mm" {
			v.X += math.Copysign(b.jogs[0].Amount, truth.X-v.X)
			add("whole-way", v)
		}
	}
	if m.Of == "joint" {
		for i, name := range kinematics.JointNames {
			if other := m; i != m.Joint {
				other.Joint = i
				of("joint", a.d, other, "joint", name, "own", kinematics.JointNames[m.Joint])
			}
		}
		return all
	}
	family, unit := ofPlace, truth.Unit == "mm"
	if !unit {
		family = ofTurn
	}
	for i, name := range family {
		if other := m; name != m.Of {
			other.Of = name
			of("axis", a.d, other, "axis", axisName(i), "own", axisName(slices.Index(family, m.Of)))
		}
	}
	setup, own := a.d.Setup(), named{m.Frame, m.Task}
	frames := []named{{Frame: jog.BaseFrame}, {Frame: jog.WorldFrame}}
	for i, task := range setup.Tasks {
		if i < mostTasks {
			frames = append(frames, named{jog.TaskFrames, task.Name})
		}
	}
	for _, f := range frames {
		other := m
		if other.Frame, other.Task = f.Frame, f.Task; f == own || f.Frame == jog.WorldFrame && own.Frame == jog.BaseFrame && same(setup.Mount, kinematics.Identity) {
			continue
		}
		of("origin", a.d, other, "frame", f, "own", own)
	}
	of("flange", a.withoutTool(), m)
	if unit {
		for _, ground := range a.grounds() {
			add("floor", lesson.Value{X: ground.above, Unit: "mm"}, "thing", ground)
		}
		if a.Unit == words.Inch {
			all = append(all, belief{key: "mm", answer: saying(truth.X)})
		} else {
			all = append(all, belief{key: "inch", answer: saying(truth.X / words.MMPerInch)})
		}
	} else {
		v := truth
		v.X = math.Remainder(v.X+180, 360)
		add("half-turn", v)
	}
	return all
}

// backwards are the jogs with plus for minus and minus for plus.
func (e *earlier) backwards() (jogs lesson.Jogs) {
	for _, j := range e.jogs {
		jogs = append(jogs, j.Reversed())
	}
	return jogs
}

// same reports whether two frames are one.
func same(p, q kinematics.Pose) bool {
	return alike(p.Rotation, q.Rotation) && r3.Norm(r3.Sub(p.Position, q.Position)) < 1e-9
}

// ground is a floor, or another thing without an end, with how far the TCP is above it, mm.
type ground struct {
	name  string
	above float64
}

func (g ground) say(in *words.Language) string {
	return spoken.PartName(clearance.Part{Name: g.name, Link: clearance.Outside}, in)
}

// grounds are those that a coordinate can be measured from: they lie across its axis.
func (a *Asked) grounds() (all []ground) {
	setup := a.d.Setup()
	frame, err := a.d.Frame(a.Measure.Frame, a.Measure.Task, a.d.TCP())
	if setup.Scene == nil || err != nil {
		return nil
	}
	axis := frame.Rotation.Axis(slices.Index(ofPlace, a.Measure.Of))
	for _, thing := range setup.Scene.Grounds() {
		if out := thing.Pose.Rotation.Z; r3.Dot(out, axis) > 0.999 {
			all = append(all, ground{thing.Name, r3.Dot(out, r3.Sub(a.d.TCP().Position, thing.Pose.Position))})
		}
	}
	return all
}

func (number) asks(a *Asked, in *words.Language) string {
	key := map[string]string{"mm": "mm", "inch": "inch", "°": "deg"}[a.AnswerUnit()]
	return in.Say("ask.asks.number."+key, "what", a.Measure.quantity().Words(in))
}

// why tells all three numbers, where there are three.
func (number) why(a *Asked, in *words.Language) string {
	m := a.Measure
	family, key := ofPlace, "reason.read.walk"
	switch {
	case m.Of == "joint":
		return in.Say("reason.read.is", "what", m.quantity().Words(in), "value", a.tellNumber(a.answered(a.reading), in))
	case a.reading.Unit != "mm":
		family, key = ofTurn, "reason.read.turned"
	}
	in = in.Reading(a.Unit)
	values := []string{"frame", named{m.Frame, m.Task}.say(in), "unit", in.Sign()}
	for i, part := range family {
		m.Of = part
		v, err := a.value(a.d, m)
		if err != nil {
			return ""
		}
		text := in.Fixed(v.X, 1)
		if v.Unit == "mm" {
			text = in.LengthNumber(v.X, 1)
		}
		values = append(values, string("xyz"[i]), text)
	}
	return in.Say(key, values...)
}

func (number) tell(a *Asked, given *Answer, in *words.Language) string {
	return a.tellNumber(*given.Number, in)
}

// tellNumber writes a number in the unit that it is answered in.
func (a *Asked) tellNumber(x float64, in *words.Language) string {
	switch a.AnswerUnit() {
	case "mm":
		return in.Reading(words.MM).ShortLength(x, 1)
	case string(words.Inch):
		return in.Reading(words.Inch).ShortLength(x*words.MMPerInch, 1)
	}
	return in.Short(x, 1) + "°"
}
