package jog

import (
	"encoding/binary"
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/kinematics/clearance"
)

// This file writes a log as bytes and reads it again. An entry is a few bytes that say what there is, and then only that;
// numbers are kept to the last bit, because an undo is to be the same motion bit for bit.

// logVersion is of the form of the bytes. A form that older programs cannot read has another.
const logVersion = 1

// packed is an entry as bytes: two of marks, then what they announce.
type packed []byte

// The marks of an entry.
const (
	markOwnStart = 1 << iota // it began elsewhere than where the one before it ended
	markChanged
	markWholeWay // its travel is its amount
	markNowhere  // it has none
	markLetGo    // the control was let go on the way
	markHeld
	markTouch
	markTask
	markSeveral    // along several directions,
	markAmounts    // made of the amounts by StepTogether,
	markDirections // or of the directions by HeldTogether,
	markTwoSpeeds  // which has been given two speeds
	markKind       // a kind follows
	markJoint      // a joint follows
	markMinus      // its sign
)

func (p packed) went() bool { return p.marks()&markNowhere == 0 }

func (p packed) marks() uint16 { return binary.LittleEndian.Uint16(p) }

// kinds are those of singularities, by their number in a log.
var kinds = []string{"other", "wrist", "elbow", "shoulder"}

// pack returns the entry that comes after all others as bytes.
func (l *Log) pack(e *Entry) packed { return l.packAt(l.Len(), e) }

// packAt returns the entry in that place as bytes.
func (l *Log) packAt(i int, e *Entry) packed {
	var marks uint16
	mark := func(m uint16, is bool) bool {
		if is {
			marks |= m
		}
		return is
	}
	w := make(writer, 2, 160)
	w.uint(uint64(e.Number))
	w = append(w, e.Jog.Frame.Traits().code, e.Stop.Reason.Traits().code, byte(e.Jog.Axis))
	w.uint(uint64(index(&l.around, around{e.Tool, e.TCP, e.SetDistance})))
	w.uint(uint64(e.Began))
	w.uint(uint64(e.Ended - e.Began))
	if mark(markOwnStart, i == 0 || l.end(i-1) != e.From) {
		w.numbers(e.From[:])
	}
	w.numbers(e.To[:])
	for _, lean := range e.lean {
		w = append(w, byte(lean))
	}
	mark(markChanged, e.Changed)
	mark(markMinus, e.Jog.Sign < 0)
	if mark(markTask, e.Jog.Frame.Traits().Named) {
		w.uint(uint64(index(&l.tasks, e.Task)))
	}
	if mark(markLetGo, e.LetGo > 0) {
		w.uint(uint64(e.LetGo))
	}
	if mark(markJoint, e.Stop.Joint != 0) {
		w = append(w, byte(e.Stop.Joint))
	}
	if mark(markKind, e.Stop.Kind != "") {
		w = append(w, byte(max(0, slices.Index(kinds, e.Stop.Kind))))
	}
	if mark(markTouch, e.Stop.Touch.A.Name != "") {
		w.uint(uint64(index(&l.touches, touch{e.Stop.Touch.A, e.Stop.Touch.B})))
	}
	mark(markHeld, e.Jog.Held())
	if mark(markSeveral, e.Jog.Several()) {
		w.several(e, mark)
	} else {
		w.numbers([]float64{e.Jog.Speed})
		if !e.Jog.Held() {
			w.numbers([]float64{e.Jog.Amount})
		}
	}
	mark(markNowhere, !e.went())
	if !mark(markWholeWay, e.Stop.Travel == e.Jog.Amount) {
		w.numbers([]float64{e.Stop.Travel})
	}
	binary.LittleEndian.PutUint16(w, marks)
	return packed(slices.Clip(w))
}

// several writes a jog along several directions: what it was made from where that makes it again, and else its parts.
func (w *writer) several(e *Entry, mark func(uint16, bool) bool) {
	j := &e.Jog
	speeds := []float64{j.Speed}
	if mark(markTwoSpeeds, j.Asked.Speeds != Speeds{}) {
		speeds = []float64{j.Asked.Speeds.Straight, j.Asked.Speeds.Turn}
	}
	w.numbers(speeds)
	again, err := together(j.Frame, j.Task, j.Held(), j.Asked.Amounts, j.Parts, speeds)
	switch {
	case mark(markAmounts, err == nil && again == *j && !j.Held()):
		w.some(&j.Asked.Amounts)
	case mark(markDirections, err == nil && again == *j):
		for _, part := range j.Parts {
			*w = append(*w, byte(1+sign(part)))
		}
	default:
		w.some(&j.Parts)
		w.some(&j.Asked.Amounts)
		w.numbers([]float64{j.Speed})
		if !j.Held() {
			w.numbers([]float64{j.Amount})
		}
	}
}

// together makes a jog along several directions again, a step by its amounts, a held one by the signs of its parts.
func together(f Frame, task string, held bool, amounts, parts [6]float64, speeds []float64) (Jog, error) {
	straight, turn := speeds[0], speeds[len(speeds)-1]
	if !held {
		return StepTogether(f, task, amounts, straight, turn)
	}
	var ways []Direction
	for axis, part := range parts {
		if s := sign(part); s != 0 {
			ways = append(ways, Direction{Frame: f, Task: task, Axis: axis, Sign: s})
		}
	}
	return HeldTogether(ways, straight, turn)
}

func sign(x float64) int {
	switch {
	case x > 0:
		return 1
	case x < 0:
		return -1
	}
	return 0
}

// end returns where the entry ended.
func (l *Log) end(i int) kinematics.Joints {
	e, _ := l.unpackEnd(i)
	return e
}

// index returns where in the list the value is, which is added where it is not.
func index[T comparable](list *[]T, value T) int {
	if i := slices.Index(*list, value); i >= 0 {
		return i
	}
	*list = append(*list, value)
	return len(*list) - 1
}

var errLogBytes = errors.New("these bytes are no log, or a part of them is missing")

// unpackEnd returns where the entry ended; its joint angles stand after a few short numbers.
func (l *Log) unpackEnd(i int) (to kinematics.Joints, err error) {
	p := l.entries[i]
	r := reader{left: p[2:]}
	r.head()
	if p.marks()&markOwnStart != 0 {
		r.numbers(to[:])
	}
	r.numbers(to[:])
	return to, r.err
}

// head reads what every entry begins with.
func (r *reader) head() (number uint64, frame, reason, axis byte, with int, began, took uint64) {
	number = r.uint(math.MaxInt32)
	frame, reason, axis = r.byte(), r.byte(), r.byte()
	with = int(r.uint(math.MaxInt32))
	began, took = r.uint(math.MaxInt64), r.uint(math.MaxInt32)
	return
}

// unpack returns an entry.
func (l *Log) unpack(i int) (e Entry, err error) {
	p := l.entries[i]
	if len(p) < 2 {
		return e, errLogBytes
	}
	marks, r := p.marks(), reader{left: p[2:]}
	is := func(m uint16) bool { return marks&m != 0 }
	number, frame, reason, axis, with, began, took := r.head()
	e.Number, e.Began, e.Ended = int(number), int64(began), int64(began+took)
	j, s := &e.Jog, &e.Stop
	j.Frame, s.Reason, j.Axis = frameOf(frame), reasonOf(reason), int(axis)
	if r.err != nil || j.Frame == "" || s.Reason == "" || with >= len(l.around) {
		return e, errLogBytes
	}
	e.Tool, e.TCP, e.SetDistance = l.around[with].tool, l.around[with].tcp, l.around[with].setDistance
	switch {
	case is(markOwnStart):
		r.numbers(e.From[:])
	case i > 0:
		e.From = l.end(i - 1)
	default:
		return e, errLogBytes
	}
	r.numbers(e.To[:])
	for k := range e.lean {
		e.lean[k] = int8(r.byte())
	}
	e.Changed = is(markChanged)
	if j.Sign = 1; is(markMinus) {
		j.Sign = -1
	}
	if is(markTask) {
		e.Task = at(&r, l.tasks)
		j.Task = e.Task.Name
	}
	if is(markLetGo) {
		e.LetGo = int64(r.uint(math.MaxInt32))
	}
	if is(markJoint) {
		s.Joint = int(r.below(6))
	}
	if is(markKind) {
		s.Kind = kinds[r.below(len(kinds))]
	}
	if is(markTouch) {
		t := at(&r, l.touches)
		s.Touch.A, s.Touch.B = t.a, t.b
	}
	if is(markSeveral) {
		r.several(j, marks)
	} else {
		j.Speed, j.Amount = r.number(), math.Inf(1)
		if !is(markHeld) {
			j.Amount = r.number()
		}
	}
	if s.Travel = j.Amount; !is(markWholeWay) {
		s.Travel = r.number()
	}
	s.Jog = *j
	for k := range s.Turned {
		s.Turned[k] = e.To[k] - e.From[k]
	}
	if r.err == nil && len(r.left) > 0 {
		r.err = errLogBytes
	}
	return e, r.err
}

func (r *reader) several(j *Jog, marks uint16) {
	speeds := make([]float64, 1, 2)
	if marks&markTwoSpeeds != 0 {
		speeds = speeds[:2]
	}
	for i := range speeds {
		speeds[i] = r.number()
	}
	var amounts, parts [6]float64
	switch {
	case marks&markAmounts != 0:
		r.some(&amounts)
	case marks&markDirections != 0:
		for i := range parts {
			parts[i] = float64(r.below(3)) - 1
		}
	default:
		r.some(&j.Parts)
		r.some(&j.Asked.Amounts)
		if j.Speed, j.Amount = r.number(), math.Inf(1); marks&markHeld == 0 {
			j.Amount = r.number()
		}
		if len(speeds) == 2 {
			j.Asked.Speeds = Speeds{speeds[0], speeds[1]}
		}
		return
	}
	again, err := together(j.Frame, j.Task, marks&markDirections != 0, amounts, parts, speeds)
	if err != nil && r.err == nil {
		r.err = errLogBytes
	}
	*j = again
}

// MarshalBinary returns the log as bytes.
func (l *Log) MarshalBinary() ([]byte, error) {
	w := writer{logVersion}
	w.uint(uint64(l.begun))
	w.uint(uint64(len(l.around)))
	for _, a := range l.around {
		w.text(a.tool)
		w.pose(a.tcp)
		w.numbers([]float64{a.setDistance})
	}
	w.uint(uint64(len(l.tasks)))
	for _, t := range l.tasks {
		w.text(t.Name)
		w.pose(t.Pose)
		if t.Taught == nil {
			w = append(w, 0)
			continue
		}
		w = append(w, 1)
		for _, p := range t.Taught {
			w.numbers([]float64{p.X, p.Y, p.Z})
		}
	}
	w.uint(uint64(len(l.touches)))
	for _, t := range l.touches {
		w.part(t.a)
		w.part(t.b)
	}
	w.uint(uint64(len(l.entries)))
	for _, p := range l.entries {
		w.uint(uint64(len(p)))
		w = append(w, p...)
	}
	return w, nil
}

// UnmarshalBinary makes the log the one that was written as these bytes. An error has changed nothing.
func (l *Log) UnmarshalBinary(data []byte) error {
	if len(data) == 0 || data[0] != logVersion {
		return fmt.Errorf("the log is not of the form %d, which is the one that is known", logVersion)
	}
	r := reader{left: data[1:]}
	n := Log{begun: int(r.uint(math.MaxInt32))}
	for range r.count(2 * entriesKept) {
		n.around = append(n.around, around{r.text(), r.pose(), r.number()})
	}
	for range r.count(2 * entriesKept) {
		t := TaskFrame{Name: r.text(), Pose: r.pose()}
		if r.below(2) == 1 {
			t.Taught = &[3]r3.Vec{}
			for i := range t.Taught {
				t.Taught[i] = r3.Vec{X: r.number(), Y: r.number(), Z: r.number()}
			}
		}
		n.tasks = append(n.tasks, t)
	}
	for range r.count(2 * entriesKept) {
		n.touches = append(n.touches, touch{r.part(), r.part()})
	}
	for range r.count(entriesKept) {
		n.entries = append(n.entries, packed(slices.Clone(r.bytes(int(r.uint(1<<16))))))
	}
	if r.err == nil && len(r.left) > 0 {
		r.err = errLogBytes
	}
	for i := range n.entries {
		if r.err != nil {
			break
		}
		e, err := n.unpack(i)
		if err == nil {
			err = e.check()
		}
		if err != nil {
			r.err = err
		}
		if e.went() {
			n.went++
		}
	}
	if r.err != nil {
		return r.err
	}
	*l = n
	return nil
}

// check says what no jog that was driven can be.
func (e *Entry) check() error {
	if err := e.Jog.Check(); err != nil {
		return err
	}
	if !(e.Stop.Travel >= 0) || e.Stop.Travel > e.Jog.Amount+snap {
		return errLogBytes
	}
	return nil
}

// writer writes numbers one after the other.
type writer []byte

func (w *writer) uint(x uint64) { *w = binary.AppendUvarint(*w, x) }

func (w *writer) numbers(all []float64) {
	for _, x := range all {
		*w = binary.LittleEndian.AppendUint64(*w, math.Float64bits(x))
	}
}

// some writes those of the six numbers that are not zero.
func (w *writer) some(six *[6]float64) {
	var which byte
	for i, x := range six {
		if math.Float64bits(x) != 0 {
			which |= 1 << i
		}
	}
	*w = append(*w, which)
	for _, x := range six {
		if math.Float64bits(x) != 0 {
			w.numbers([]float64{x})
		}
	}
}

func (w *writer) text(s string) {
	w.uint(uint64(len(s)))
	*w = append(*w, s...)
}

func (w *writer) pose(p kinematics.Pose) {
	r := &p.Rotation
	for _, v := range [4]r3.Vec{p.Position, r.X, r.Y, r.Z} {
		w.numbers([]float64{v.X, v.Y, v.Z})
	}
}

func (w *writer) part(p clearance.Part) {
	w.text(p.Name)
	tool := uint64(0)
	if p.Tool {
		tool = 1
	}
	w.uint(uint64(p.Link+1)<<1 | tool)
	w.uint(uint64(p.Index))
}

// reader reads what a writer wrote. After an error it returns zeros.
type reader struct {
	left []byte
	err  error
}

func (r *reader) bytes(n int) []byte {
	if r.err != nil || n > len(r.left) {
		r.err = errLogBytes
		return nil
	}
	b := r.left[:n]
	r.left = r.left[n:]
	return b
}

func (r *reader) byte() byte {
	if b := r.bytes(1); b != nil {
		return b[0]
	}
	return 0
}

// below reads a whole number below most.
func (r *reader) below(most int) int { return int(r.uint(uint64(most - 1))) }

// count reads how many things follow, each of a byte at least.
func (r *reader) count(most int) int {
	n := r.uint(uint64(most))
	if n > uint64(len(r.left)) {
		r.err = errLogBytes
		return 0
	}
	return int(n)
}

// uint reads a whole number of at most that.
func (r *reader) uint(most uint64) uint64 {
	x, n := binary.Uvarint(r.left)
	if r.err != nil || n <= 0 || x > most {
		r.err = errLogBytes
		return 0
	}
	r.left = r.left[n:]
	return x
}

// number reads one that is finite.
func (r *reader) number() float64 {
	b := r.bytes(8)
	if b == nil {
		return 0
	}
	x := math.Float64frombits(binary.LittleEndian.Uint64(b))
	if math.IsNaN(x) || math.IsInf(x, 0) {
		r.err = errLogBytes
		return 0
	}
	return x
}

func (r *reader) numbers(all []float64) {
	for i := range all {
		all[i] = r.number()
	}
}

func (r *reader) some(six *[6]float64) {
	which := r.byte()
	for i := range six {
		if which&(1<<i) != 0 {
			six[i] = r.number()
		}
	}
}

func (r *reader) text() string { return string(r.bytes(int(r.uint(1 << 10)))) }

func (r *reader) pose() (p kinematics.Pose) {
	o := &p.Rotation
	for _, v := range [4]*r3.Vec{&p.Position, &o.X, &o.Y, &o.Z} {
		v.X, v.Y, v.Z = r.number(), r.number(), r.number()
	}
	return p
}

func (r *reader) part() (p clearance.Part) {
	p.Name = r.text()
	link := r.below(16)
	p.Link, p.Tool = link>>1-1, link&1 == 1
	p.Index = int(r.uint(math.MaxInt32))
	return p
}

// at reads which of the list it is.
func at[T any](r *reader, list []T) (none T) {
	i := int(r.uint(math.MaxInt32))
	if r.err != nil || i >= len(list) {
		r.err = errLogBytes
		return none
	}
	return list[i]
}
