package lesson

import (
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"errors"
	"math"
	"slices"
	"strings"
	"time"
)

// This file writes progress so small that it fits with its seal into the 4,096 characters that a learning platform keeps of
// a lesson (SCORM 1.2, cmi.suspend_data is a CMIString4096; so the npm package scorm-again 3 has it): stages and ticks by a hash of their identity, answers in a few bytes
// each. Texts are those of the lesson, and come back when a run resumes it.

// MostPacked is how many bytes progress takes at most, whatever the lesson and whatever was answered: those of 4,096
// characters of base 64 without the 28 of a seal and some more for where the learner is.
const MostPacked = 3000

// packedForm is the version of the form, its first byte.
const packedForm = 3

// Forms that are still read: before there were assessments, and before it was counted how often one is begun.
const (
	firstForm  = 1
	secondForm = 2
)

// mostTimes bounds how often an assessment is counted to have been begun.
const mostTimes = 1 << 14

// How many bytes there are at most in an answer, for what else is kept of it, of a stage, of a tick, and of all.
const (
	mostPacked   = 10
	packedAnswer = mostPacked + 1 + 1 + 4
	packedStage  = hashSize + 1 + 3 + 4 + 3 + 3 + 1 + 2
	packedTick   = 3
	packedHead   = 1 + 2*hashSize + 10 + 1 + 2*5 + 2 + 2 + 1 + LongestFor
)

// LongestFor is how many bytes the name may have for whom there is more time.
const LongestFor = 24

// mostAnswers is how many answers to one task are kept, the tries being counted all the same: as many as fit, and no more
// than eight.
func (l *Lesson) mostAnswers() int {
	room, asked := MostPacked-packedHead, 0
	for i := range l.Stages {
		room -= packedStage
		if free := l.Stages[i].Free; free != nil {
			room -= packedTick * len(free.Notice)
		} else if _, ok := l.Stages[i].Task.(Asked); ok {
			asked++
		}
	}
	if asked == 0 {
		return 1
	}
	return min(max(room/(asked*packedAnswer), 1), 8)
}

// untold stands for an answer whose words are no more, because the question has become another.
const untold = "…"

// packedUnits are the units of what an answer is off by. Their order is kept.
var packedUnits = []string{"", "mm", "inch", "°", "joints", "options"}

// What is known of a stage.
const (
	flagDone = 1 << iota
	flagGivenUp
	flagCounts
	flagTicks
	flagAnswers
	flagKind // the kind's code from this bit on
)

// rounded is how far off an answer was, as it is kept.
func rounded(off *float64) *float64 {
	if off == nil {
		return nil
	}
	x := float64(float32(*off))
	return &x
}

// MarshalBinary packs the progress. Times are kept to a tenth of a second.
func (p Progress) MarshalBinary() ([]byte, error) {
	b := append([]byte{packedForm}, hashOf(p.Lesson)...)
	b = append(b, hashOf(p.Arm)...)
	b = binary.AppendUvarint(b, p.Seed)
	b = binary.AppendUvarint(b, seconds(p.Began))
	b = binary.AppendUvarint(b, seconds(p.Handed))
	b = binary.AppendUvarint(b, capped(p.Times, mostTimes))
	b = binary.AppendUvarint(b, capped(p.Extra, 1<<14))
	who := p.ExtraFor[:min(len(p.ExtraFor), LongestFor)]
	b = append(append(b, byte(len(who))), who...)
	b = append(b, byte(len(p.Stages)))
	for i := range p.Stages {
		b = p.Stages[i].pack(b)
	}
	return b, nil
}

func (p *StageProgress) pack(b []byte) []byte {
	flags := kindCode(p.Task) * flagKind
	counts := []uint64{capped(p.Tries, 1<<21), uint64(math.Min(math.Round(p.Seconds*10), 1<<28-1)), capped(p.Jogs, 1<<21), capped(p.Contacts, 1<<21), capped(p.Hints, 128)}
	set := func(flag byte, is bool) {
		if is {
			flags |= flag
		}
	}
	set(flagDone, p.Done)
	set(flagGivenUp, p.GivenUp)
	set(flagCounts, slices.Max(counts) > 0)
	set(flagTicks, len(p.ticks) > 0)
	set(flagAnswers, len(p.Answers) > 0)
	b = append(append(b, hashOf(p.ID)...), flags)
	if flags&flagCounts != 0 {
		for _, n := range counts {
			b = binary.AppendUvarint(b, n)
		}
	}
	if flags&flagTicks != 0 {
		b = append(b, byte(len(p.ticks)))
		for _, id := range p.ticks {
			b = append(b, hashOf(id)[:packedTick]...)
		}
	}
	if flags&flagAnswers != 0 {
		b = append(b, byte(len(p.Answers)))
		for _, a := range p.Answers {
			b = a.pack(b)
		}
	}
	return b
}

func (g *Given) pack(b []byte) []byte {
	head := byte(max(slices.Index(packedUnits, g.Unit), 0)) << 2
	if g.Good {
		head |= 1
	}
	if g.Error != nil {
		head |= 2
	}
	b = append(b, head, byte(len(g.Packed)))
	b = append(b, g.Packed...)
	if g.Error != nil {
		b = binary.BigEndian.AppendUint32(b, math.Float32bits(float32(*g.Error)))
	}
	return b
}

// errNotPacked says that bytes are no progress.
var errNotPacked = errors.New("this is not progress as it is packed")

// UnmarshalBinary reads what MarshalBinary wrote. What it does not hold, such as the titles and the words of the answers,
// a run fills in that resumes the progress.
func (p *Progress) UnmarshalBinary(packed []byte) error {
	b := unpacker{bytes.NewReader(packed), nil}
	form := b.byte()
	if form != packedForm && form != secondForm && form != firstForm {
		return errors.New("this progress is of a form that this handrule does not read")
	}
	*p = Progress{Lesson: b.hash(hashSize), Arm: b.hash(hashSize), Seed: b.number()}
	if form != firstForm {
		p.Began, p.Handed = timeOf(b.number()), timeOf(b.number())
		if form != secondForm {
			p.Times = int(min(b.number(), mostTimes-1))
		}
		p.Extra = int(b.number())
		p.ExtraFor = string(b.take(int(b.byte())))
	}
	for range b.byte() {
		p.Stages = append(p.Stages, b.stage())
	}
	if b.err != nil || b.Len() > 0 {
		return errNotPacked
	}
	return nil
}

// unpacker reads packed progress; after the first error it reads zeros.
type unpacker struct {
	*bytes.Reader
	err error
}

func (b *unpacker) take(n int) []byte {
	some := make([]byte, n)
	if got, err := b.Read(some); n > 0 && (err != nil || got < n) {
		b.err = errNotPacked
	}
	return some
}

func (b *unpacker) byte() byte { return b.take(1)[0] }

func (b *unpacker) number() uint64 {
	n, err := binary.ReadUvarint(b)
	if err != nil {
		b.err = errNotPacked
	}
	return n
}

func (b *unpacker) hash(size int) string { return hashMark + hex.EncodeToString(b.take(size)) }

func (b *unpacker) stage() (p StageProgress) {
	p.ID = b.hash(hashSize)
	flags := b.byte()
	p.Done, p.GivenUp, p.Task = flags&flagDone != 0, flags&flagGivenUp != 0, kindOfCode(flags/flagKind)
	if flags&flagCounts != 0 {
		p.Tries, p.Seconds = int(b.number()), float64(b.number())/10
		p.Jogs, p.Contacts, p.Hints = int(b.number()), int(b.number()), int(b.number())
	}
	if flags&flagTicks != 0 {
		for i := range int(b.byte()) {
			p.Noticed, p.ticks = append(p.Noticed, i), append(p.ticks, b.hash(packedTick))
		}
	}
	if flags&flagAnswers != 0 {
		for range b.byte() {
			p.Answers = append(p.Answers, b.given())
		}
	}
	return p
}

func (b *unpacker) given() (g Given) {
	head := b.byte()
	g.Good, g.Answer = head&1 != 0, untold
	if unit := int(head >> 2); unit < len(packedUnits) {
		g.Unit = packedUnits[unit]
	} else {
		b.err = errNotPacked
	}
	g.Packed = b.take(int(b.byte()))
	if head&2 != 0 {
		x := float64(math.Float32frombits(binary.BigEndian.Uint32(b.take(4))))
		g.Error = &x
	}
	return g
}

const hashSize = 5

// hashMark stands before a hash that stands for a name.
const hashMark = "#"

func hashOf(name string) []byte {
	if hash, ok := strings.CutPrefix(name, hashMark); ok { // of one that was unpacked
		if b, err := hex.DecodeString(hash); err == nil && len(b) == hashSize {
			return b
		}
	}
	sum := sha256.Sum256([]byte(name))
	return sum[:hashSize]
}

// same reports whether a name, or the hash that stands for one, is that name.
func same(name, full string) bool {
	hash, ok := strings.CutPrefix(name, hashMark)
	if !ok {
		return name == full
	}
	return full != "" && hash != "" && strings.HasPrefix(hex.EncodeToString(hashOf(full)), hash)
}

// seconds are those since 1970; 0 of the zero time.
func seconds(t time.Time) uint64 {
	if t.IsZero() {
		return 0
	}
	return uint64(t.Unix())
}

func timeOf(seconds uint64) time.Time {
	if seconds == 0 {
		return time.Time{}
	}
	return time.Unix(int64(seconds), 0).UTC()
}

func kindCode(name string) byte {
	for _, k := range kinds {
		if k.name == name {
			return k.code
		}
	}
	return 0
}

func kindOfCode(code byte) string {
	for _, k := range kinds {
		if k.code == code {
			return k.name
		}
	}
	return ""
}

// bits are whole numbers from 0 to 7 as the bits of a byte.
func bits(numbers []int) (b byte) {
	for _, n := range numbers {
		b |= 1 << n
	}
	return b
}

// setBits are the numbers of the bits.
func setBits(b byte) (numbers []int) {
	for n := range 8 {
		if b&(1<<n) != 0 {
			numbers = append(numbers, n)
		}
	}
	return numbers
}

func hashByte(word string) byte {
	sum := sha256.Sum256([]byte(word))
	return sum[0]
}

func capped(n, below int) uint64 { return uint64(min(max(n, 0), below-1)) }
