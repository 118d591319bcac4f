package bench

import (
	"encoding/binary"
	"math"
	"time"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/kinematics/clearance"
	"handrule/kinematics/jog"
	"handrule/scenarios/spoken"
)

// This file is the pose of the arm as it is told up to sixty times a second: a binary frame, little-endian. What is drawn is in
// single precision; what is read are whole numbers of the last digit that the page can show.

// FrameField is one kind of number in a frame, so many in a row. The page's decoder is made from the layout.
type FrameField struct {
	Name  string
	Type  string // u8, u32, i16, i32, f32
	Count int
	Unit  float64 // what 1 stands for
}

// FrameLayout is what a frame holds, in its order. Behind it come the numbers of the orientation in the form that the page
// reads it in, as 32-bit whole numbers of OrientationUnit.
var FrameLayout = []FrameField{
	{"tick", "u32", 1, 1},
	{"due", "u32", 1, 1},       // when the tick should have been: tenths of a millisecond since 1970, without the highest bits
	{"flags", "u8", 1, 1},      // see the Frame flags
	{"singular", "u8", 1, 1},   // place in SingularKinds
	{"spare", "u8", 2, 1},      // keeps the rest aligned
	{"joints", "i32", 6, 1e-5}, // degrees
	{"speeds", "i16", 6, 0.02}, // degrees/s, signed
	{"demand", "f32", 6, 1},    // degrees/s, signed: what the chosen speed would need of each joint
	{"links", "f32", 42, 1},    // displacement of links 1 to 6 from the measured pose: position, quaternion x y z w
	{"flange", "f32", 7, 1},
	{"tcp", "f32", 7, 1},
	{"flange_mm", "i32", 3, 1e-4}, // where they are in the frame that positions are read in
	{"tcp_mm", "i32", 3, 1e-4},
	{"fixed_xyz", "i32", 3, 1e-5}, // degrees, of the TCP
	{"tcp_speed", "f32", 1, 1},    // mm/s
	{"condition", "f32", 1, 1},    // number of the scaled Jacobian, at most 1e9
	{"clearance", "f32", 1, 1},    // mm between the nearest two parts; negative where they overlap
	{"on_a", "f32", 3, 1},         // the two nearest points, mm
	{"on_b", "f32", 3, 1},
}

// OrientationUnit is the last digit of the numbers of an orientation. Angles are in degrees.
const OrientationUnit = 1e-6

// Flags of a frame.
const (
	FrameNear    = 1 << iota // a singularity is near
	FrameClear               // clearance, on_a and on_b mean something
	FrameWaiting             // the arm stands although a jog is under way
)

// SingularKinds are the kinds of singularities, by their number in a frame.
var SingularKinds = []string{"", "wrist", "elbow", "shoulder", "other"}

// While the arm moves, what is read and changes slowly is looked at every so many frames.
const (
	conditionFrames = 4 // the condition number, and what is to be known of the orientation
	gapFrames       = 2 // the two parts that are nearest to each other
)

// frameTold is what the page was told last in frames, and beside them while the arm moves.
type frameTold struct {
	known     bool
	joints    kinematics.Joints
	tool      kinematics.Pose
	read      kinematics.Pose
	waiting   bool
	moving    bool
	put       int
	text      []byte
	count     int
	look      bool // at what changes slowly, with this frame
	condition kinematics.Singularity
	nearest   clearance.Pair
	clear     bool
	rotation  kinematics.Rotation // of what is read
	began     kinematics.Rotation // likewise, where the motion began
	beganAt   beganKey
	motion    motionKey
	near      nearestKey
	note      NoteView
}

type motionKey struct {
	moving  bool
	way     jog.Direction
	slowed  int
	crashes int
	put     int
}

type nearestKey struct {
	a, b    clearance.Part
	contact bool
}

// beganKey is what the orientation where the motion began depends on.
type beganKey struct {
	from kinematics.Joints
	tool kinematics.Pose
	read kinematics.Pose
	of   Whose
}

// makeFrame makes a frame of the pose of the arm, and reports whether it is another than the page knows.
func (b *Bench) makeFrame(due time.Time) bool {
	d, f := b.drive(), &b.page.frame
	q, tool, read, waiting, moving := d.Joints(), d.Tool(), b.readFrame(), d.Waiting(), d.Moving()
	if f.known && f.joints == q && f.tool == tool && f.read == read && f.waiting == waiting && f.moving == moving && f.put == b.put {
		return false
	}
	f.known, f.joints, f.tool, f.read, f.waiting, f.moving, f.put = true, q, tool, read, waiting, moving, b.put
	f.text = b.appendFrame(f.text[:0], due)
	return true
}

// pose is the arm as a frame tells it, in full precision.
type pose struct {
	links       kinematics.Links
	flange, tcp kinematics.Pose // in the base frame
	speed       float64         // of the TCP, mm/s
}

func (b *Bench) pose() (p pose) {
	d := b.drive()
	geometry := d.Arm()
	p.links = geometry.Links(d.Joints())
	p.flange = geometry.FlangeOf(&p.links)
	p.tcp = p.flange.Mul(d.Tool())
	if d.Speeds != (kinematics.Joints{}) {
		_, jacobian := geometry.Jacobian(d.Joints(), d.Tool())
		velocity, _ := jacobian.Velocity(d.Speeds)
		p.speed = r3.Norm(velocity)
	}
	return p
}

func (b *Bench) appendFrame(text []byte, due time.Time) []byte {
	d, f := b.drive(), &b.page.frame
	p := b.pose()
	moving := d.Moving()
	f.count++
	if f.look = !moving || f.count%conditionFrames == 1; f.look {
		f.condition = d.Arm().Singularity(d.Joints(), d.Tool())
	}
	if !moving || f.count%gapFrames == 1 {
		f.nearest, f.clear = d.Clearance()
	}
	nearest, clear := f.nearest, f.clear

	var flags, kind byte
	for i, name := range SingularKinds {
		if f.condition.Kind == name {
			kind = byte(i)
		}
	}
	set := func(flag byte, on bool) {
		if on {
			flags |= flag
		}
	}
	set(FrameNear, f.condition.Near)
	set(FrameClear, clear)
	set(FrameWaiting, d.Waiting())

	w := frameWriter{text}
	w.u32(uint32(d.Ticks))
	w.u32(uint32(due.UnixMicro() / 100))
	w.text = append(w.text, flags, kind, 0, 0)
	for _, deg := range d.Joints().Degrees() {
		w.i32(deg, 1e-5)
	}
	demand := d.Demand().Degrees()
	for _, speed := range d.Speeds.Degrees() {
		w.i16(speed, 0.02)
	}
	for _, speed := range demand {
		w.f32(speed)
	}
	for i := 1; i < len(p.links); i++ {
		w.place(p.links[i])
	}
	w.place(p.flange)
	w.place(p.tcp)
	flange, tcp := seenIn(f.read, p.flange), seenIn(f.read, p.tcp)
	w.mm(flange.Position)
	w.mm(tcp.Position)
	fixed, _ := tcp.Rotation.FixedXYZ()
	for _, angle := range array(fixed) {
		w.i32(kinematics.Degrees(angle), 1e-5)
	}
	w.f32(p.speed)
	w.f32(math.Min(f.condition.Condition, 1e9))
	if !clear {
		nearest = clearance.Pair{}
	}
	w.f32(nearest.Distance)
	w.vec(nearest.OnA)
	w.vec(nearest.OnB)
	f.rotation = tcp.Rotation
	if b.page.shows.Of == OfFlange {
		f.rotation = flange.Rotation
	}
	var numbers [9]float64
	for _, x := range b.page.shows.Form.Numbers(f.rotation, &numbers) {
		w.i32(x, OrientationUnit)
	}
	return w.text
}

// frameWriter appends numbers to a frame. What does not fit is set to the nearest that does.
type frameWriter struct{ text []byte }

func (w *frameWriter) u32(x uint32) { w.text = binary.LittleEndian.AppendUint32(w.text, x) }

func (w *frameWriter) i32(x, unit float64) {
	w.u32(uint32(int32(within(x/unit, math.MaxInt32))))
}

func (w *frameWriter) i16(x, unit float64) {
	w.text = binary.LittleEndian.AppendUint16(w.text, uint16(int16(within(x/unit, math.MaxInt16))))
}

func (w *frameWriter) f32(x float64) { w.u32(math.Float32bits(float32(x))) }

func (w *frameWriter) mm(v r3.Vec) {
	w.i32(v.X, 1e-4)
	w.i32(v.Y, 1e-4)
	w.i32(v.Z, 1e-4)
}

func (w *frameWriter) vec(v r3.Vec) {
	w.f32(v.X)
	w.f32(v.Y)
	w.f32(v.Z)
}

func (w *frameWriter) place(p kinematics.Pose) {
	w.vec(p.Position)
	q := p.Rotation.Quaternion()
	w.f32(q.Imag)
	w.f32(q.Jmag)
	w.f32(q.Kmag)
	w.f32(q.Real)
}

// within rounds a number to a whole one of at most that size.
func within(x, most float64) float64 { return math.Max(-most, math.Min(most, math.Round(x))) }

// tellMotion tells the views that a tick may change.
func (b *Bench) tellMotion(to func(Message)) {
	f := &b.page.frame
	if key := b.motionKey(); key != f.motion {
		f.motion = key
		b.tellView(motionAt, to)
	}
	if key := b.nearestKey(); key != f.near {
		f.near = key
		b.tellView(nearestAt, to)
	}
	if f.look {
		if note := b.noteView(); note != f.note {
			f.note = note
			b.tellView(noteAt, to)
		}
	}
	if b.page.shows.Plot && b.plotDue() {
		b.tellView(recordingAt, to)
		b.tellView(recordingAt+1, to)
	}
}

// Where these views are among the views.
var motionAt, nearestAt, noteAt, recordingAt int

func init() {
	for i := len(views) - 1; i >= 0; i-- {
		switch views[i].word {
		case "motion":
			motionAt = i
		case "nearest":
			nearestAt = i
		case "note":
			noteAt = i
		case "recording":
			recordingAt = i
		}
	}
}

func (b *Bench) motionKey() motionKey {
	d := b.drive()
	k := motionKey{moving: d.Moving(), slowed: d.Slowed, crashes: b.driven.crashes, put: b.put}
	if k.moving {
		k.way = d.Jog().Direction
	}
	return k
}

func (b *Bench) motionView() MotionView {
	k := b.motionKey()
	m := MotionView{Crashes: k.crashes, Put: k.put}
	switch k.slowed {
	case jog.NotSlowed:
	case jog.Ceiling:
		m.SlowedBy = "reduced speed"
	default:
		m.SlowedBy = kinematics.JointNames[k.slowed]
	}
	if k.moving {
		m.Moving = &k.way
	}
	return m
}

// nearestKey is of the pair that the last frame told.
func (b *Bench) nearestKey() nearestKey {
	n := b.page.frame.nearest
	if !b.page.frame.clear {
		return nearestKey{}
	}
	return nearestKey{a: n.A, b: n.B, contact: n.Distance <= inContact}
}

func (b *Bench) nearestView() NearestView {
	k := b.nearestKey()
	if k == (nearestKey{}) {
		return NearestView{}
	}
	return NearestView{A: spoken.PartName(k.a, b.in), B: spoken.PartName(k.b, b.in), Contact: k.contact}
}

func (b *Bench) framesView() FramesView {
	v := FramesView{Read: place(b.readFrame())}
	if b.chosen.Frame != jog.ToolFrame {
		active, _ := b.drive().Frame(b.chosen.Frame, b.chosen.Task, kinematics.Identity) // chosen only where there is one
		at := place(active)
		v.Active = &at
	}
	return v
}

// noteView is of the orientation that the last frame told.
func (b *Bench) noteView() NoteView {
	f, d := &b.page.frame, b.drive()
	if key := (beganKey{d.From(), f.tool, f.read, b.page.shows.Of}); key != f.beganAt || f.began == (kinematics.Rotation{}) {
		began := d.Arm().Forward(key.from)
		if key.of != OfFlange {
			began = began.Mul(f.tool)
		}
		f.beganAt, f.began = key, seenIn(f.read, began).Rotation
	}
	unique, text := b.page.shows.Form.Note(f.began, f.rotation, b.in)
	return NoteView{Unique: unique, Text: text}
}
