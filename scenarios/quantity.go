package scenarios

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/kinematics/jog"
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
func (q *Quantity) settle(l *Lesson, b *Block) {
	needs := func(field string, needed bool) {
		switch {
		case needed && !b.Given(field):
			b.add("", "needs %s, for the measure %s", field, q.Measure)
		case !needed && b.Given(field):
			b.add(field, "means nothing for the measure %s", q.Measure)
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
		b.add("jog", "must be one jog; those before it go to: after")
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
		b.add("measure", "is clearance, but nothing is around the arm; the lesson needs a cell")
	}
}

// checkJogs reports task frames that the cell does not have.
func (l *Lesson) checkJogs(b *Block, field string, jogs Jogs) {
	for _, j := range jogs {
		l.checkFrame(b, field, j.Task)
	}
}

// value is what a quantity comes to: a word, or a number with its unit.
type value struct {
	word string
	x    float64
	unit string  // "mm", "°" or ""
	half float64 // of the range in which the number starts anew, 180 for an orientation; 0 for most
}

func (v value) String() string {
	if v.word != "" {
		return v.word
	}
	return formatNumber(v.x) + map[string]string{"mm": " mm", "°": "°", "inch": " inch"}[v.unit]
}

// formatNumber writes a number as a person reads it: to three decimals, never as −0.
func formatNumber(x float64) string {
	text := strings.TrimRight(strings.TrimRight(fmt.Sprintf("%.3f", math.Abs(x)), "0"), ".")
	if text != "0" && x < 0 {
		return "−" + text
	}
	return text
}

// difference returns by how much a number is off from the value.
func (v value) difference(x float64) float64 {
	d := x - v.x
	if v.half > 0 {
		d = math.Remainder(d, 2*v.half)
	}
	return d
}

// StopWords are what can be answered where it is asked what stops a jog.
var StopWords = jog.Answers()

// of computes the quantity for the arm at d, which stays where it is.
func (q *Quantity) of(l *Lesson, d *jog.Drive) (value, error) {
	d, err := after(d, q.After)
	if err != nil {
		return value{}, err
	}
	posture := d.Arm().Posture(d.Joints())
	orNone := func(word string) value {
		if word == "" {
			word = "none"
		}
		return value{word: word}
	}
	switch q.Measure {
	case measureJoint:
		return value{x: kinematics.Degrees(d.Joints()[*q.Joint]), unit: "°"}, nil
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
			return value{}, fmt.Errorf("nothing is near that could be touched")
		}
		return value{x: pair.Distance, unit: "mm"}, nil
	case measureRoom:
		return q.room(d)
	case measureShare, measureTravel, measurePath, measureStop:
		return q.ofJog(d)
	}
	return q.ofPlace(l, d)
}

// after returns a copy of the arm after these jogs, which must all be completed.
func after(d *jog.Drive, jogs Jogs) (*jog.Drive, error) {
	run := *d
	for _, j := range jogs {
		if err := run.Start(j); err != nil {
			return nil, err
		}
		for run.Tick() {
		}
		if stop := run.Stop(); stop.Reason != jog.Done {
			return nil, fmt.Errorf("the jog %q cannot be completed: %s", JogLine(j), spoken.Sentence(stop, words.English))
		}
	}
	return &run, nil
}

func (q *Quantity) ofJog(d *jog.Drive) (value, error) {
	ahead, err := d.Ahead(q.Jog[0])
	if err != nil {
		return value{}, err
	}
	switch q.Measure {
	case measureShare:
		return value{x: ahead.Share()[*q.Joint]}, nil
	case measureTravel:
		return value{x: kinematics.Degrees(ahead.Work[*q.Joint]), unit: "°"}, nil
	case measurePath:
		length := 0.0
		for i := 1; i < len(ahead.Path); i++ {
			length += r3.Norm(r3.Sub(ahead.Path[i], ahead.Path[i-1]))
		}
		return value{x: length, unit: "mm"}, nil
	}
	word := ahead.Stop.Answer()
	if word == "" {
		return value{}, fmt.Errorf("the jog %q takes too long to be followed to its end", JogLine(q.Jog[0]))
	}
	return value{word: word}, nil
}

// mostRoom is how far room to move is looked for, mm and degrees. No arm of a table goes farther.
const mostRoom = 1000

func (q *Quantity) room(d *jog.Drive) (value, error) {
	j := jog.Jog{Direction: *q.Toward, Amount: kinematics.Radians(mostRoom), Speed: kinematics.Radians(90)}
	if j.Straight() {
		j.Amount, j.Speed = mostRoom, jog.ReducedSpeed
	}
	ahead, err := d.Ahead(j)
	if err != nil {
		return value{}, err
	}
	if j.Straight() {
		return value{x: ahead.Stop.Travel, unit: "mm"}, nil
	}
	return value{x: kinematics.Degrees(ahead.Stop.Travel), unit: "°"}, nil
}

func (q *Quantity) ofPlace(l *Lesson, d *jog.Drive) (value, error) {
	frame, err := l.frame(q.Frame, d)
	if err != nil {
		return value{}, err
	}
	tcp := frame.Inverse().Mul(d.TCP())
	p := tcp.Position
	if i := slices.Index(pointMeasure, q.Measure); i >= 0 {
		return value{x: [3]float64{p.X, p.Y, p.Z}[i], unit: "mm"}, nil
	}
	angles, unique := tcp.Rotation.FixedXYZ()
	if !unique {
		return value{}, fmt.Errorf("the angle about Y is ±90° there, so the fixed X-Y-Z angles are not unique")
	}
	i := slices.Index(angleMeasure, q.Measure)
	return value{x: kinematics.Degrees([3]float64{angles.X, angles.Y, angles.Z}[i]), unit: "°", half: 180}, nil
}

// Condition is a quantity compared with what it should be.
type Condition struct {
	Block
	Quantity
	AtLeast *Number `field:"at_least" about:"The least it may be, in the measure's unit."`
	AtMost  *Number `field:"at_most" about:"The most it may be, in the measure's unit."`
	Is      string  `field:"is" about:"The word it must be, for a measure in words: stop (nothing, singularity, out of reach, contact, limit J1 …), the posture, singularity."`
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
			c.add("", "needs the word that it should be, such as is: %s, for the measure %s", words[0], c.Measure)
		}
		if c.Is != "" && !slices.Contains(words, c.Is) {
			c.tell("is", "%s is no word for %s; %s", quoted(c.Is), c.Measure, unknownWord(c.Is, words))
		}
		return
	}
	if c.Given("is") || !c.Given("at_least") && !c.Given("at_most") {
		c.add("", "needs at_least, at_most or both, for the measure %s", c.Measure)
	}
	if c.AtLeast != nil && c.AtMost != nil && *c.AtLeast > *c.AtMost {
		c.add("at_least", "is more than at_most, so nothing can be both")
	}
}

// close is the part of a bound within which a number is too near to it for a fair question.
const tooClose = 0.01

// holds computes whether the condition holds for the arm at d. unclear says that it is too near to its bound.
func (c *Condition) holds(l *Lesson, d *jog.Drive) (holds bool, v value, unclear bool, err error) {
	v, err = c.of(l, d)
	if err != nil {
		return false, v, false, err
	}
	if slices.Contains(wordMeasures, c.Measure) {
		return v.word == c.Is, v, false, nil
	}
	holds = true
	for _, bound := range []struct {
		at    *Number
		holds bool
	}{{c.AtLeast, c.AtLeast == nil || v.x >= float64(*c.AtLeast)}, {c.AtMost, c.AtMost == nil || v.x <= float64(*c.AtMost)}} {
		if bound.at == nil {
			continue
		}
		holds = holds && bound.holds
		at := float64(*bound.at)
		unclear = unclear || math.Abs(v.x-at) < tooClose*math.Max(math.Abs(at), 0.1)
	}
	return holds, v, unclear, nil
}
