package lesson

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/kinematics/jog"
	"handrule/scenarios/form"
	"handrule/scenarios/jogfile"
	"handrule/scenarios/spoken"
	"handrule/words"
)

// Measure is something that can be computed of an arm where it stands, or of a jog from there.
type Measure string

// measure is all there is to know of one.
type measure struct {
	name  Measure
	unit  string   // of the number: "mm", "°" or ""
	half  float64  // of the range in which the number starts anew; 0 for most
	words []string // what it comes to where it is a word and no number
	// What has to be said of it in a file, and what may be.
	joint, toward, jog, frame bool
	around                    bool // it is nothing without a cell
	of                        func(q *Quantity, l *Lesson, d *jog.Drive) (Value, error)
}

// measures are all of them. What a new one needs besides its row is a text under task.read where it is a number
// (a test looks for it), and a line in the documentation.
var measures = []measure{
	{name: "x", unit: "mm", frame: true, of: coordinate(0)}, // of the TCP
	{name: "y", unit: "mm", frame: true, of: coordinate(1)},
	{name: "z", unit: "mm", frame: true, of: coordinate(2)},
	{name: "about-x", unit: "°", half: 180, frame: true, of: angle(0)}, // fixed X-Y-Z angles of the tool frame
	{name: "about-y", unit: "°", half: 180, frame: true, of: angle(1)},
	{name: "about-z", unit: "°", half: 180, frame: true, of: angle(2)},
	{name: "joint", unit: "°", joint: true, of: func(q *Quantity, _ *Lesson, d *jog.Drive) (Value, error) {
		return Value{X: kinematics.Degrees(d.Joints()[*q.Joint])}, nil
	}},
	{name: "share", joint: true, jog: true, of: ofJog(func(q *Quantity, ahead *jog.Ahead) Value { // of the joints' travel, 0 to 1
		return Value{X: ahead.Share()[*q.Joint]}
	})},
	{name: "travel", unit: "°", joint: true, jog: true, of: ofJog(func(q *Quantity, ahead *jog.Ahead) Value {
		return Value{X: kinematics.Degrees(ahead.Work[*q.Joint])}
	})},
	{name: "path", unit: "mm", jog: true, of: ofJog(func(_ *Quantity, ahead *jog.Ahead) Value { // of the TCP
		length := 0.0
		for i := 1; i < len(ahead.Path); i++ {
			length += r3.Norm(r3.Sub(ahead.Path[i], ahead.Path[i-1]))
		}
		return Value{X: length}
	})},
	{name: "room", unit: "mm", toward: true, of: func(q *Quantity, _ *Lesson, d *jog.Drive) (Value, error) { return q.room(d) }},
	{name: "clearance", unit: "mm", around: true, of: func(_ *Quantity, _ *Lesson, d *jog.Drive) (Value, error) {
		pair, ok := d.Clearance()
		if !ok {
			return Value{}, fmt.Errorf("nothing is near that could be touched")
		}
		return Value{X: pair.Distance}, nil
	}},
	{name: "stop", words: StopWords, jog: true, of: func(q *Quantity, _ *Lesson, d *jog.Drive) (Value, error) { // what ends the jog
		ahead, err := d.Ahead(q.Jog[0])
		if err == nil && ahead.Stop.Answer() == "" {
			err = fmt.Errorf("the jog %q has no answer: %s", jogfile.Line(q.Jog[0]), noAnswer(ahead.Stop))
		}
		return Value{Word: ahead.Stop.Answer()}, err
	}},
	{name: "shoulder", words: orNone(kinematics.ShoulderWords[:]), of: posture(func(p kinematics.Posture) string { return p.Shoulder })},
	{name: "elbow", words: orNone(kinematics.ElbowWords[:]), of: posture(func(p kinematics.Posture) string { return p.Elbow })},
	{name: "wrist", words: orNone(kinematics.WristWords[:]), of: posture(func(p kinematics.Posture) string { return p.Wrist })},
	{name: "singularity", words: orNone([]string{"wrist", "elbow", "shoulder", "other"}), of: func(_ *Quantity, _ *Lesson, d *jog.Drive) (Value, error) {
		return word(d.Arm().Singularity(d.Joints(), d.Tool()).Kind), nil // the one that is near
	}},
}

// Measures are the names of all of them.
var Measures = func() (names []Measure) {
	for _, m := range measures {
		names = append(names, m.name)
	}
	return names
}()

// about returns what there is to know of a measure; of one that there is not, nothing.
func (m Measure) about() measure {
	if i := slices.Index(Measures, m); i >= 0 {
		return measures[i]
	}
	return measure{}
}

// Words are what the measure can come to; nil where it is a number.
func (m Measure) Words() []string { return m.about().words }

// orNone are words, and the one for none of them.
func orNone(words []string) []string { return append(slices.Clone(words), "none") }

// word is a value in a word; "" is none.
func word(w string) Value {
	if w == "" {
		w = "none"
	}
	return Value{Word: w}
}

// Quantity is a measure with what it is of.
type Quantity struct {
	Measure Measure        `field:"measure,required" about:"What is computed: x, y, z in mm; about-x, about-y, about-z and joint in degrees; of a jog a joint's share (0 to 1) and travel in degrees, the TCP's path in mm, and what stops it; the room to move in a direction; the clearance in mm; the posture's words; the singularity that is near."`
	Joint   *JointIndex    `field:"joint" about:"The joint, for joint, share and travel."`
	Frame   FrameName      `field:"frame" about:"base, world or task NAME, for a place or an orientation. The base frame unless told otherwise."`
	Toward  *jog.Direction `field:"toward" about:"The direction, for room, such as: base y +"`
	After   Jogs           `field:"after" about:"Jogs to make first."`
	Jog     Jogs           `field:"jog" about:"The jog, for share, travel, path and stop."`
}

// unit is what the quantity's number is in: "mm", "°" or "".
func (q *Quantity) unit() string {
	if q.Toward != nil && !q.Toward.Straight() {
		return "°"
	}
	return q.Measure.about().unit
}

// validate reports what does not fit together.
func (q *Quantity) validate(l *Lesson, b *form.Block) {
	if q.Measure == "" {
		return
	}
	m := q.Measure.about()
	for _, part := range []struct {
		field    string
		has, own bool // the measure has it; it is nothing without
	}{{"joint", m.joint, true}, {"toward", m.toward, true}, {"jog", m.jog, true}, {"frame", m.frame, false}} {
		switch given := b.Given(part.field); {
		case part.has && part.own && !given:
			b.Add("", "needs %s, for the measure %s", part.field, q.Measure)
		case !part.has && given:
			b.Add(part.field, "means nothing for the measure %s", q.Measure)
		}
	}
	if len(q.Jog) > 1 {
		b.Add("jog", "must be one jog; those before it go to: after")
	}
	if word, task, _ := strings.Cut(string(q.Frame), " "); word == string(jog.TaskFrames) {
		l.checkFrame(b, "frame", task)
	}
	l.checkJogs(b, "after", q.After)
	l.checkJogs(b, "jog", q.Jog)
	if q.Toward != nil {
		l.checkFrame(b, "toward", q.Toward.Task)
	}
	if m.around && l.Cell == nil {
		b.Add("measure", "is %s, but nothing is around the arm; the lesson needs a cell", q.Measure)
	}
}

// checkJogs reports task frames that the cell does not have.
func (l *Lesson) checkJogs(b *form.Block, field string, jogs Jogs) {
	for _, j := range jogs {
		l.checkFrame(b, field, j.Task)
	}
}

// Value is what a quantity comes to: a word, or a number with its unit.
type Value struct {
	Word string
	X    float64
	Unit string  // "mm", "°" or ""
	half float64 // of the range in which the number starts anew, 180 for an orientation; 0 for most
}

func (v Value) String() string {
	if v.Word != "" {
		return v.Word
	}
	return form.Decimal(v.X) + map[string]string{"mm": " mm", "°": "°", "inch": " inch"}[v.Unit]
}

// Off returns by how much a number is off from the value.
func (v Value) Off(x float64) float64 {
	d := x - v.X
	if v.half > 0 {
		d = math.Remainder(d, 2*v.half)
	}
	return d
}

// StopWords are what can be answered where it is asked what stops a jog.
var StopWords = jog.Answers()

// Of computes the quantity for the arm at d, which stays where it is.
func (q *Quantity) Of(l *Lesson, d *jog.Drive) (Value, error) {
	d, err := After(d, q.After)
	if err != nil {
		return Value{}, err
	}
	m := q.Measure.about()
	v, err := m.of(q, l, d)
	if m.words == nil {
		v.Unit, v.half = q.unit(), m.half
	}
	return v, err
}

// After returns a copy of the arm after these jogs, which must all be completed.
func After(d *jog.Drive, jogs Jogs) (*jog.Drive, error) {
	run := d.Copy()
	for _, j := range jogs {
		if err := run.Start(j); err != nil {
			return nil, err
		}
		for run.Tick() {
		}
		if stop := run.Stop(); stop.Reason != jog.Done {
			return nil, fmt.Errorf("the jog %q cannot be completed: %s", jogfile.Line(j), spoken.Sentence(stop, words.English))
		}
	}
	return run, nil
}

// ofJog is a measure of what a jog would come to.
func ofJog(of func(*Quantity, *jog.Ahead) Value) func(*Quantity, *Lesson, *jog.Drive) (Value, error) {
	return func(q *Quantity, _ *Lesson, d *jog.Drive) (Value, error) {
		ahead, err := d.Ahead(q.Jog[0])
		if err != nil {
			return Value{}, err
		}
		return of(q, &ahead), nil
	}
}

// posture is a measure that is a word of the posture.
func posture(of func(kinematics.Posture) string) func(*Quantity, *Lesson, *jog.Drive) (Value, error) {
	return func(_ *Quantity, _ *Lesson, d *jog.Drive) (Value, error) {
		return word(of(d.Arm().Posture(d.Joints()))), nil
	}
}

// MostRoom is how far room to move is looked for, mm and degrees. No arm of a table goes farther.
const MostRoom = 1000

// roomJog is the jog that looks for it.
func roomJog(toward jog.Direction) jog.Jog {
	j := jog.Jog{Direction: toward, Amount: kinematics.Radians(MostRoom), Speed: kinematics.Radians(90)}
	if j.Straight() {
		j.Amount, j.Speed = MostRoom, jog.ReducedSpeed
	}
	return j
}

func (q *Quantity) room(d *jog.Drive) (Value, error) {
	j := roomJog(*q.Toward)
	ahead, err := d.Ahead(j)
	if err != nil {
		return Value{}, err
	}
	if j.Straight() {
		return Value{X: ahead.Stop.Travel}, nil
	}
	return Value{X: kinematics.Degrees(ahead.Stop.Travel)}, nil
}

// in returns the tool frame in the quantity's frame.
func (q *Quantity) in(l *Lesson, d *jog.Drive) (kinematics.Pose, error) {
	frame, err := l.frame(q.Frame, d)
	return frame.Inverse().Mul(d.TCP()), err
}

// coordinate is the measure of a coordinate of the TCP.
func coordinate(axis int) func(*Quantity, *Lesson, *jog.Drive) (Value, error) {
	return func(q *Quantity, l *Lesson, d *jog.Drive) (Value, error) {
		tcp, err := q.in(l, d)
		p := tcp.Position
		return Value{X: [3]float64{p.X, p.Y, p.Z}[axis]}, err
	}
}

// angle is the measure of a fixed X-Y-Z angle of the tool frame.
func angle(axis int) func(*Quantity, *Lesson, *jog.Drive) (Value, error) {
	return func(q *Quantity, l *Lesson, d *jog.Drive) (Value, error) {
		tcp, err := q.in(l, d)
		if err != nil {
			return Value{}, err
		}
		a, unique := tcp.Rotation.FixedXYZ()
		if !unique {
			return Value{}, fmt.Errorf("the angle about Y is ±90° there, so the fixed X-Y-Z angles are not unique")
		}
		return Value{X: kinematics.Degrees([3]float64{a.X, a.Y, a.Z}[axis])}, nil
	}
}

// Condition is a quantity compared with what it should be.
type Condition struct {
	form.Block
	Quantity
	AtLeast *form.Number `field:"at_least" about:"The least it may be, in the measure's unit."`
	AtMost  *form.Number `field:"at_most" about:"The most it may be, in the measure's unit."`
	Is      string       `field:"is" about:"The word it must be, for a measure in words: stop (nothing, singularity, out of reach, contact, limit J1 …), the posture, singularity."`
}

// A word of the posture: shoulder, elbow and wrist have their own.
type (
	ShoulderWord string
	ElbowWord    string
	WristWord    string
)

// Words that files once had for others. They are read still, with a note.
var (
	oldElbow  = map[ElbowWord]ElbowWord{"above": "up", "below": "down"}
	oldWrist  = map[WristWord]WristWord{"plain": "plus", "flipped": "minus"}
	oldEvents = map[Event]Event{"guard": Event(jog.SetDistance)}
	oldWords  = map[Measure]map[string]string{
		"elbow": {"above": "up", "below": "down"}, "wrist": {"plain": "plus", "flipped": "minus"}, "stop": {"guard": string(jog.SetDistance)},
	}
)

func (c *Condition) validate(l *Lesson) {
	c.Quantity.validate(l, &c.Block)
	if words := c.Measure.Words(); words != nil {
		if c.Given("at_least") || c.Given("at_most") || !c.Given("is") {
			c.Add("", "needs the word that it should be, such as is: %s, for the measure %s", words[0], c.Measure)
		}
		if now, old := oldWords[c.Measure][c.Is]; old {
			c.Renamed("is", c.Is, now)
			c.Is = now
		}
		if c.Is != "" && !slices.Contains(words, c.Is) {
			c.Tell("is", "%s is no word for %s; %s", form.Quoted(c.Is), c.Measure, form.UnknownWord(c.Is, words))
		}
		return
	}
	if c.Given("is") || !c.Given("at_least") && !c.Given("at_most") {
		c.Add("", "needs at_least, at_most or both, for the measure %s", c.Measure)
	}
	if c.AtLeast != nil && c.AtMost != nil && *c.AtLeast > *c.AtMost {
		c.Add("at_least", "is more than at_most, so nothing can be both")
	}
}

// close is the part of a bound within which a number is too near to it for a fair question.
const tooClose = 0.01

// holds computes whether the condition holds for the arm at d. unclear says that it is too near to its bound.
func (c *Condition) holds(l *Lesson, d *jog.Drive) (holds bool, v Value, unclear bool, err error) {
	v, err = c.Of(l, d)
	if err != nil {
		return false, v, false, err
	}
	if c.Measure.Words() != nil {
		return v.Word == c.Is, v, false, nil
	}
	holds = true
	for _, bound := range []struct {
		at    *form.Number
		holds bool
	}{{c.AtLeast, c.AtLeast == nil || v.X >= float64(*c.AtLeast)}, {c.AtMost, c.AtMost == nil || v.X <= float64(*c.AtMost)}} {
		if bound.at == nil {
			continue
		}
		holds = holds && bound.holds
		at := float64(*bound.at)
		unclear = unclear || math.Abs(v.X-at) < tooClose*math.Max(math.Abs(at), 0.1)
	}
	return holds, v, unclear, nil
}
