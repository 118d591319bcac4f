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

const (
	measureX         Measure = "x"       // of the TCP in a frame, mm
	measureY         Measure = "y"       //
	measureZ         Measure = "z"       //
	measureAboutX    Measure = "about-x" // fixed X-Y-Z angles of the tool frame, degrees
	measureAboutY    Measure = "about-y" //
	measureAboutZ    Measure = "about-z" //
	measureJoint     Measure = "joint"   // the angle of a joint, degrees
	measureShare     Measure = "share"   // a joint's part of the joint travel of a jog, 0 to 1
	measureTravel    Measure = "travel"  // how far a joint turns in a jog, degrees
	measurePath      Measure = "path"    // the length of the TCP's path in a jog, mm
	measureRoom      Measure = "room"    // how far a direction goes before something stops it, mm or degrees
	measureClearance Measure = "clearance"
	measureStop      Measure = "stop"     // why a jog ends, in a word
	measureShoulder  Measure = "shoulder" // words of the posture
	measureElbow     Measure = "elbow"
	measureWrist     Measure = "wrist"
	measureSingular  Measure = "singularity" // the one that is near, in a word, or none
)

// Measures are all of them.
var Measures = []Measure{
	measureX, measureY, measureZ, measureAboutX, measureAboutY, measureAboutZ, measureJoint, measureShare, measureTravel, measurePath,
	measureRoom, measureClearance, measureStop, measureShoulder, measureElbow, measureWrist, measureSingular,
}

var (
	jogMeasures    = []Measure{measureShare, measureTravel, measurePath, measureStop}
	wordMeasures   = []Measure{measureStop, measureShoulder, measureElbow, measureWrist, measureSingular}
	pointMeasure   = []Measure{measureX, measureY, measureZ}
	lengthMeasures = []Measure{measureX, measureY, measureZ, measurePath, measureRoom, measureClearance}
	angleMeasure   = []Measure{measureAboutX, measureAboutY, measureAboutZ}
)

// Quantity is a measure with what it is of.
type Quantity struct {
	Measure Measure        `field:"measure,required" about:"What is computed: x, y, z in mm; about-x, about-y, about-z and joint in degrees; of a jog a joint's share (0 to 1) and travel in degrees, the TCP's path in mm, and what stops it; the room to move in a direction; the clearance in mm; the posture's words; the singularity that is near."`
	Joint   *JointIndex    `field:"joint" about:"The joint, for joint, share and travel."`
	Frame   FrameName      `field:"frame" about:"base, world or task NAME, for a place or an orientation. The base frame unless told otherwise."`
	Toward  *jog.Direction `field:"toward" about:"The direction, for room, such as: base y +"`
	After   Jogs           `field:"after" about:"Jogs to make first."`
	Jog     Jogs           `field:"jog" about:"The jog, for share, travel, path and stop."`
}

// settle reports what does not fit together.
func (q *Quantity) settle(l *Lesson, b *form.Block) {
	needs := func(field string, needed bool) {
		switch {
		case needed && !b.Given(field):
			b.Add("", "needs %s, for the measure %s", field, q.Measure)
		case !needed && b.Given(field):
			b.Add(field, "means nothing for the measure %s", q.Measure)
		}
	}
	if q.Measure == "" {
		return
	}
	needs("joint", q.Measure == measureJoint || q.Measure == measureShare || q.Measure == measureTravel)
	needs("toward", q.Measure == measureRoom)
	needs("jog", slices.Contains(jogMeasures, q.Measure))
	if !slices.Contains(pointMeasure, q.Measure) && !slices.Contains(angleMeasure, q.Measure) {
		needs("frame", false)
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
	if q.Measure == measureClearance && l.Cell == nil {
		b.Add("measure", "is clearance, but nothing is around the arm; the lesson needs a cell")
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

// difference returns by how much a number is off from the value.
func (v Value) difference(x float64) float64 {
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
	posture := d.Arm().Posture(d.Joints())
	orNone := func(word string) Value {
		if word == "" {
			word = "none"
		}
		return Value{Word: word}
	}
	switch q.Measure {
	case measureJoint:
		return Value{X: kinematics.Degrees(d.Joints()[*q.Joint]), Unit: "°"}, nil
	case measureShoulder:
		return orNone(posture.Shoulder), nil
	case measureElbow:
		return orNone(posture.Elbow), nil
	case measureWrist:
		return orNone(posture.Wrist), nil
	case measureSingular:
		return orNone(d.Arm().Singularity(d.Joints(), d.Tool()).Kind), nil
	case measureClearance:
		pair, ok := d.Clearance()
		if !ok {
			return Value{}, fmt.Errorf("nothing is near that could be touched")
		}
		return Value{X: pair.Distance, Unit: "mm"}, nil
	case measureRoom:
		return q.room(d)
	case measureShare, measureTravel, measurePath, measureStop:
		return q.ofJog(d)
	}
	return q.ofPlace(l, d)
}

// After returns a copy of the arm after these jogs, which must all be completed.
func After(d *jog.Drive, jogs Jogs) (*jog.Drive, error) {
	run := *d
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
	return &run, nil
}

func (q *Quantity) ofJog(d *jog.Drive) (Value, error) {
	ahead, err := d.Ahead(q.Jog[0])
	if err != nil {
		return Value{}, err
	}
	switch q.Measure {
	case measureShare:
		return Value{X: ahead.Share()[*q.Joint]}, nil
	case measureTravel:
		return Value{X: kinematics.Degrees(ahead.Work[*q.Joint]), Unit: "°"}, nil
	case measurePath:
		length := 0.0
		for i := 1; i < len(ahead.Path); i++ {
			length += r3.Norm(r3.Sub(ahead.Path[i], ahead.Path[i-1]))
		}
		return Value{X: length, Unit: "mm"}, nil
	}
	word := ahead.Stop.Answer()
	if word == "" {
		return Value{}, fmt.Errorf("the jog %q takes too long to be followed to its end", jogfile.Line(q.Jog[0]))
	}
	return Value{Word: word}, nil
}

// MostRoom is how far room to move is looked for, mm and degrees. No arm of a table goes farther.
const MostRoom = 1000

func (q *Quantity) room(d *jog.Drive) (Value, error) {
	j := jog.Jog{Direction: *q.Toward, Amount: kinematics.Radians(MostRoom), Speed: kinematics.Radians(90)}
	if j.Straight() {
		j.Amount, j.Speed = MostRoom, jog.ReducedSpeed
	}
	ahead, err := d.Ahead(j)
	if err != nil {
		return Value{}, err
	}
	if j.Straight() {
		return Value{X: ahead.Stop.Travel, Unit: "mm"}, nil
	}
	return Value{X: kinematics.Degrees(ahead.Stop.Travel), Unit: "°"}, nil
}

func (q *Quantity) ofPlace(l *Lesson, d *jog.Drive) (Value, error) {
	frame, err := l.frame(q.Frame, d)
	if err != nil {
		return Value{}, err
	}
	tcp := frame.Inverse().Mul(d.TCP())
	p := tcp.Position
	if i := slices.Index(pointMeasure, q.Measure); i >= 0 {
		return Value{X: [3]float64{p.X, p.Y, p.Z}[i], Unit: "mm"}, nil
	}
	angles, unique := tcp.Rotation.FixedXYZ()
	if !unique {
		return Value{}, fmt.Errorf("the angle about Y is ±90° there, so the fixed X-Y-Z angles are not unique")
	}
	i := slices.Index(angleMeasure, q.Measure)
	return Value{X: kinematics.Degrees([3]float64{angles.X, angles.Y, angles.Z}[i]), Unit: "°", half: 180}, nil
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

var (
	shoulderWords = []ShoulderWord{"front", "behind"}
	elbowWords    = []ElbowWord{"above", "below"}
	wristWords    = []WristWord{"plain", "flipped"}
)

// orNone are the words of a posture, and that of an arm which has none.
func orNone[T ~string](words []T) (all []string) {
	for _, w := range words {
		all = append(all, string(w))
	}
	return append(all, "none")
}

func (c *Condition) settle(l *Lesson) {
	c.Quantity.settle(l, &c.Block)
	if slices.Contains(wordMeasures, c.Measure) {
		words := map[Measure][]string{
			measureStop: StopWords, measureShoulder: orNone(shoulderWords), measureElbow: orNone(elbowWords),
			measureWrist: orNone(wristWords), measureSingular: {"wrist", "elbow", "shoulder", "other", "none"},
		}[c.Measure]
		if c.Given("at_least") || c.Given("at_most") || !c.Given("is") {
			c.Add("", "needs the word that it should be, such as is: %s, for the measure %s", words[0], c.Measure)
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
	if slices.Contains(wordMeasures, c.Measure) {
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
