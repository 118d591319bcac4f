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
	"handrule/scenarios/spoken"
	"handrule/words"
)

// Predict is the task to say beforehand what a jog will do.
type Predict struct {
	form.Block
	Jog       Jogs               `field:"jog,required" about:"The jog to be predicted, such as: base y +100"`
	Ask       Ask                `field:"ask,required" about:"direction: which way a point will go. joints: which joints will move. stop: what will stop it."`
	Point     Point              `field:"point" about:"The point whose direction is asked: tcp or flange. The TCP unless told otherwise."`
	Frame     FrameName          `field:"frame" about:"The frame of the directions to choose from. The base frame unless told otherwise."`
	Tolerance form.TurnTolerance `field:"tolerance_deg" about:"direction: how far off an arrow may be, 30 unless told otherwise. joints: a joint moves if it turns more than this, 0.5 unless told otherwise."`
}

// Ask is what a prediction is about.
type Ask string

const (
	askDirection Ask = "direction"
	askJoints    Ask = "joints"
	askStop      Ask = "stop"
)

// asks are all of them.
var asks = []Ask{askDirection, askJoints, askStop}

// Point is a point of the arm.
type Point string

const (
	PointTCP    Point = "tcp"
	PointFlange Point = "flange"
)

// points are all of them.
var points = []Point{PointTCP, PointFlange}

// Kind is "predict".
func (*Predict) Kind() string { return "predict" }

func (p *Predict) validate(l *Lesson, _ *Stage) {
	if len(p.Jog) > 1 {
		p.Add("jog", "must be one jog")
	}
	l.checkJogs(&p.Block, "jog", p.Jog)
	if word, task, _ := strings.Cut(string(p.Frame), " "); word == string(jog.TaskFrames) {
		l.checkFrame(&p.Block, "frame", task)
	}
	if p.Ask != askDirection {
		for _, field := range []string{"point", "frame"} {
			if p.Given(field) {
				p.Add(field, "goes with ask: direction")
			}
		}
	}
	if p.Ask == askStop && p.Given("tolerance_deg") {
		p.Add("tolerance_deg", "means nothing with ask: stop")
	}
}

// Turn returns how far off an arrow may be, or how far a joint turns that counts as moving, rad.
func (p *Predict) turn() float64 {
	switch {
	case p.Tolerance > 0:
		return float64(p.Tolerance)
	case p.Ask == askJoints:
		return jog.Moving
	}
	return kinematics.Radians(ArrowWithin)
}

// ArrowWithin is how far off an arrow may be to be right, degrees, where nothing else is said.
const ArrowWithin = 30

// RightArrow reports whether an arrow that is so far off, degrees, is right where no lesson says otherwise.
func RightArrow(off float64) bool { return rightWithin(off, ArrowWithin) }

// rightWithin goes by whole degrees, as they are shown.
func rightWithin(off, within float64) bool { return math.Round(off) <= within }

// Within is how far off an arrow may be to be right, degrees; 0 where no direction is asked.
func (p *Predict) Within() float64 {
	if p.Ask != askDirection {
		return 0
	}
	return kinematics.Degrees(p.turn())
}

// heading computes which way the point goes in the jog: at its start, and in all.
func (p *Predict) heading(d *jog.Drive) (jog.Heading, error) {
	h, err := d.Heading(p.Jog[0], p.point)
	if err != nil || h.Whole != (r3.Vec{}) {
		return h, err
	}
	ahead, err := d.Ahead(p.Jog[0])
	switch {
	case err != nil:
		return h, err
	case ahead.Stop.Trouble():
		return h, fmt.Errorf("the point does not move in this jog. %s", spoken.Sentence(ahead.Stop, words.English))
	}
	return h, fmt.Errorf("the point does not move in this jog: it is on the axis that the jog turns about")
}

func (p *Predict) point(d *jog.Drive) r3.Vec { return p.Point.at(d) }

// at is where the point of the arm at d is.
func (p Point) at(d *jog.Drive) r3.Vec {
	if p == PointFlange {
		return d.Arm().Forward(d.Joints()).Position
	}
	return d.TCP().Position
}

// NamedDirections are the six to choose from, by name.
var NamedDirections = []string{"x +", "x -", "y +", "y -", "z +", "z -"}

// Named returns the direction of that name in the base frame.
func (p *Predict) Named(l *Lesson, d *jog.Drive, name string) (r3.Vec, error) {
	i := slices.Index(NamedDirections, name)
	if i < 0 {
		return r3.Vec{}, fmt.Errorf("unknown direction %s; %s", form.Quoted(name), form.UnknownWord(name, NamedDirections))
	}
	frame, err := l.frame(p.Frame, d)
	if err != nil {
		return r3.Vec{}, err
	}
	return r3.Scale(float64(1-2*(i%2)), frame.Rotation.Axis(i/2)), nil
}

func (p *Predict) Truth(l *Lesson, d *jog.Drive) (t Truth, err error) {
	switch p.Ask {
	case askDirection:
		return p.direction(l, d)
	case askJoints:
		ahead, err := d.Ahead(p.Jog[0])
		if err != nil {
			return t, err
		}
		t.Answer = Answer{Joints: ahead.Movers(p.turn())}
		t.Words = jointWords(t.Answer.Joints)
		for i, work := range ahead.Work {
			if work > p.turn()/2 && work < 2*p.turn() {
				t.Unclear = fmt.Sprintf("%s turns %.2f°, too near to the %.2f° from which it counts as moving; choose another jog, or another tolerance_deg",
					kinematics.JointNames[i], kinematics.Degrees(work), kinematics.Degrees(p.turn()))
			}
		}
		return t, nil
	}
	ahead, err := d.Ahead(p.Jog[0])
	t.Words = ahead.Stop.Answer()
	t.Answer = Answer{Stop: t.Words}
	if t.Words == "" {
		t.Unclear = noAnswer(ahead.Stop)
	}
	return t, err
}

// noAnswer says why a stop is no answer to the question what will stop a jog.
func noAnswer(stop jog.Stop) string {
	if stop.Reason == jog.Uncomputed {
		return "how the arm goes on from where it comes to is not computed; choose another jog, or another start a little beside"
	}
	return "the jog takes too long to be followed to its end"
}

// direction computes which way the point starts to go, and in which of the six directions.
func (p *Predict) direction(l *Lesson, d *jog.Drive) (t Truth, err error) {
	h, err := p.heading(d)
	if err != nil {
		return t, err
	}
	t.Answer.Arrow = &h.First // What is asked is which way it starts.
	nearest, second := math.Inf(1), math.Inf(1)
	for _, name := range NamedDirections {
		way, err := p.Named(l, d, name)
		if err != nil {
			return t, err
		}
		switch off := kinematics.AngleBetween(way, h.First); {
		case off < nearest:
			nearest, second = off, nearest
			t.Answer.Direction = name
		case off < second:
			second = off
		}
	}
	frame := p.Frame
	if frame == "" {
		frame = FrameName(jog.BaseFrame)
	}
	t.Words = fmt.Sprintf("%s %s", frame, t.Answer.Direction)
	switch bend := kinematics.AngleBetween(h.First, h.Whole); {
	case bend > p.turn():
		t.Unclear = fmt.Sprintf("the path bends: in all it leads %.0f° away from how it starts, more than the tolerance of %.0f°", kinematics.Degrees(bend), kinematics.Degrees(p.turn()))
	case nearest > p.turn():
		t.Unclear = fmt.Sprintf("the nearest direction, %s, is %.0f° off, more than the tolerance of %.0f°", t.Answer.Direction, kinematics.Degrees(nearest), kinematics.Degrees(p.turn()))
	case second <= p.turn():
		t.Unclear = fmt.Sprintf("at a tolerance of %.0f° a second direction is as right", kinematics.Degrees(p.turn()))
	}
	return t, nil
}

func (p *Predict) grade(l *Lesson, d *jog.Drive, a Answer) (v Verdict, err error) {
	truth, err := p.Truth(l, d)
	if err != nil {
		return v, err
	}
	v.Right = truth.Words
	switch p.Ask {
	case askDirection:
		arrow := a.Arrow
		if arrow == nil {
			way, err := p.Named(l, d, a.Direction)
			if err != nil {
				return v, err
			}
			arrow = &way
		}
		if size := r3.Norm(*arrow); !(size > 1e-9) || math.IsInf(size, 0) {
			return v, fmt.Errorf("an arrow needs a direction")
		}
		off := kinematics.Degrees(kinematics.AngleBetween(*arrow, *truth.Answer.Arrow))
		v.Done = rightWithin(off, p.Within()+1e-9)
		if a.Arrow == nil {
			v.Done = a.Direction == truth.Answer.Direction
		}
		v.off(off, "°")
	case askJoints:
		given := slices.Compact(slices.Sorted(slices.Values(a.Joints)))
		for _, joint := range given {
			if joint < 0 || joint > 5 {
				return v, fmt.Errorf("there are joints 0 to 5, not %d", joint)
			}
		}
		v.Done = slices.Equal(given, truth.Answer.Joints)
		v.off(float64(Different(given, truth.Answer.Joints)), "joints")
	default:
		if !slices.Contains(StopWords, a.Stop) {
			return v, fmt.Errorf("unknown answer %s; %s", form.Quoted(a.Stop), form.UnknownWord(a.Stop, StopWords))
		}
		v.Done = a.Stop == truth.Answer.Stop
	}
	return v, nil
}

// An answer is packed as an arrow in hundredths, the number of a named direction, the joints as bits, or the number of a
// stop's word among all of them, with a byte of its hash that tells when those have become others.
func (p *Predict) pack(a Answer) []byte {
	switch {
	case p.Ask == askDirection && a.Arrow != nil:
		way := r3.Scale(100, r3.Unit(*a.Arrow))
		return []byte{byte(int8(math.Round(way.X))), byte(int8(math.Round(way.Y))), byte(int8(math.Round(way.Z)))}
	case p.Ask == askDirection:
		return []byte{byte(slices.Index(NamedDirections, a.Direction))}
	case p.Ask == askJoints:
		return []byte{bits(a.Joints)}
	}
	return []byte{byte(slices.Index(StopWords, a.Stop)), hashByte(a.Stop)}
}

func (p *Predict) unpack(packed []byte) (a Answer, ok bool) {
	switch {
	case p.Ask == askDirection && len(packed) == 3:
		arrow := r3.Vec{X: float64(int8(packed[0])) / 100, Y: float64(int8(packed[1])) / 100, Z: float64(int8(packed[2])) / 100}
		return Answer{Arrow: &arrow}, arrow != (r3.Vec{})
	case p.Ask == askDirection && len(packed) == 1 && int(packed[0]) < len(NamedDirections):
		return Answer{Direction: NamedDirections[packed[0]]}, true
	case p.Ask == askJoints && len(packed) == 1:
		return Answer{Joints: setBits(packed[0])}, packed[0] < 1<<6
	case p.Ask == askStop && len(packed) == 2 && int(packed[0]) < len(StopWords) && hashByte(StopWords[packed[0]]) == packed[1]:
		return Answer{Stop: StopWords[packed[0]]}, true
	}
	return a, false
}

func (p *Predict) told(packed []byte) string {
	a, ok := p.unpack(packed)
	switch {
	case !ok:
		return untold
	case a.Arrow != nil:
		return fmt.Sprintf("an arrow along %.2f, %.2f, %.2f", a.Arrow.X, a.Arrow.Y, a.Arrow.Z)
	case p.Ask == askJoints:
		return jointWords(a.Joints)
	}
	return a.Direction + a.Stop
}

// Different counts the entries that are in one list and not in the other.
func Different(a, b []int) (n int) {
	for _, x := range a {
		if !slices.Contains(b, x) {
			n++
		}
	}
	for _, x := range b {
		if !slices.Contains(a, x) {
			n++
		}
	}
	return n
}

func jointWords(joints []int) string {
	if len(joints) == 0 {
		return "none"
	}
	var words []string
	for _, i := range joints {
		words = append(words, kinematics.JointNames[i])
	}
	return strings.Join(words, ", ")
}
