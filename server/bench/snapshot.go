package bench

import (
	"bytes"
	"cmp"
	"compress/flate"
	"encoding/json"
	"errors"
	"fmt"
	"hash/fnv"
	"io"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/kinematics/clearance"
	"handrule/kinematics/jog"
	"handrule/scenarios/armfile"
	"handrule/scenarios/cellfile"
	"handrule/scenarios/lesson"
	"handrule/scenarios/solve"
	"handrule/words"
)

// This file writes a bench at rest down and makes it again. What is not kept: the recordings of the plot (a page keeps them), the two ways that were
// found (they are found anew), and what only the page that was connected knew.

// SnapshotVersion counts the forms of a snapshot.
const SnapshotVersion = 1

// LargestSnapshot in bytes is more than any bench at rest needs; the log is beside it.
const LargestSnapshot = 4096

// snapshot is a bench at rest.
type snapshot struct {
	Version int             `json:"v"`
	Arm     fileRef         `json:"arm"`
	Cell    *fileRef        `json:"cell,omitempty"`
	Rail    *float64        `json:"rail,omitempty"` // where the carriage is, mm
	Chosen  Setup           `json:"chosen"`
	Joints  jointAngles     `json:"q"`
	Start   jointAngles     `json:"start"`
	Found   *[3]float64     `json:"found,omitempty"` // the TCP that the learner has found for the mounted tool, mm
	FoundOf string          `json:"found_of,omitempty"`
	Taught  []taughtFrame   `json:"taught,omitempty"`
	Points  [3]*[3]float64  `json:"points"` // origin, x, xy
	Touches []posed         `json:"touches,omitempty"`
	Lacks   string          `json:"lacks,omitempty"`   // what the page was told that points or touches lack
	Stopped *jog.Stop       `json:"stopped,omitempty"` // a held jog's amount is −1
	Stops   int             `json:"stops,omitempty"`
	Before  *stoodSnapshot  `json:"before,omitempty"`
	Crashes int             `json:"crashes,omitempty"`
	Wanted  string          `json:"wanted,omitempty"`
	Lesson  *lessonSnapshot `json:"lesson,omitempty"`
	Predict predictSnapshot `json:"predict"`
	Ways    *waysSnapshot   `json:"ways,omitempty"`
	Begun   []beginnings    `json:"begun,omitempty"` // assessments, here
	Own     string          `json:"own,omitempty"`   // the file of an own arm, while that arm stands here
	Lent    bool            `json:"lent,omitempty"`  // it is not, or not any more, the learner's own
}

// fileRef is a file by its id and what it held.
type fileRef struct {
	ID   string `json:"id"`
	Hash uint64 `json:"hash"`
}

type jointAngles = kinematics.Joints // rad

type taughtFrame struct {
	Name   string        `json:"name"`
	Points [3][3]float64 `json:"points"`
}

type posed = kinematics.Pose

// stoodSnapshot is where an undo of the start pose leads. Its log follows the other one.
type stoodSnapshot struct {
	Joints jointAngles `json:"q"`
	Ticks  int64       `json:"ticks"`
	Stops  int         `json:"stops,omitempty"`
	Log    int         `json:"log"` // the bytes of the log that is before it
}

type lessonSnapshot struct {
	ID       string          `json:"id"`
	Progress []byte          `json:"progress"`
	Stage    int             `json:"stage"`
	Begin    jointAngles     `json:"begin"`
	Try      lesson.Try      `json:"try"`
	Verdict  *lesson.Verdict `json:"verdict,omitempty"`
	Resumed  bool            `json:"resumed,omitempty"`
	Before   left            `json:"before"`
	Jogs     int             `json:"jogs,omitempty"`
	Edition  int             `json:"edition,omitempty"`
	Text     string          `json:"text,omitempty"`    // the state of its file
	Attempt  int             `json:"attempt,omitempty"` // with which its numbers were dealt
}

type predictSnapshot struct {
	On        bool             `json:"on,omitempty"`
	Joints    bool             `json:"joints,omitempty"`
	Asked     *jog.Jog         `json:"asked,omitempty"`
	AskedHeld bool             `json:"asked_held,omitempty"`
	Fresh     bool             `json:"fresh,omitempty"`
	Given     []PredictionView `json:"given,omitempty"`
	Count     int              `json:"count,omitempty"`
	Right     int              `json:"right,omitempty"`
	Measured  int              `json:"measured,omitempty"`
	Sum       float64          `json:"sum,omitempty"`
}

type waysSnapshot struct {
	Kind    WaysDo          `json:"kind"`
	Target  lesson.Target   `json:"target"`
	Pose    posed           `json:"pose"`
	From    *jointAngles    `json:"from,omitempty"`
	Jogs    int             `json:"jogs,omitempty"`
	Reached bool            `json:"reached,omitempty"`
	Length  float64         `json:"length,omitempty"`
	Ticks   int             `json:"ticks,omitempty"`
	Nearest *clearance.Pair `json:"nearest,omitempty"`
}

// armHash and cellHash tell one content of a file from another.
func armHash(a *armfile.Arm) uint64 {
	h := fnv.New64a()
	fmt.Fprint(h, a.MountHeight, a.Geometry.Joints, a.Geometry.Flange, a.Body, a.Tools)
	return h.Sum64()
}

func cellHash(c *cellfile.Cell) uint64 {
	h := fnv.New64a()
	fmt.Fprint(h, c.Mount, c.Things, len(c.Tasks), c.Tools)
	for _, t := range c.Tasks {
		fmt.Fprint(h, t.Name, t.Pose)
	}
	if c.Rail != nil {
		fmt.Fprint(h, c.Rail.Along, c.Rail.From, c.Rail.To)
	}
	return h.Sum64()
}

// hashes remembers those of the files that are mounted: to make them costs more than all else of a bench at rest.
type hashes struct {
	arm      *armfile.Arm
	cell     *cellfile.Cell
	armHash  uint64
	cellHash uint64
}

func (h *hashes) ofArm(a *armfile.Arm) uint64 {
	if h.arm != a {
		h.arm, h.armHash = a, armHash(a)
	}
	return h.armHash
}

func (h *hashes) ofCell(c *cellfile.Cell) uint64 {
	if h.cell != c {
		h.cell, h.cellHash = c, cellHash(c)
	}
	return h.cellHash
}

// errNotAtRest says that the arm moves.
var errNotAtRest = errors.New("a bench can be written down only while its arm stands")

// Rest is a bench at rest, which does not change with the bench. To take one costs little, to write it down more.
type Rest struct {
	state snapshot
	log   []byte
	mark  Mark
}

// AtRest takes down what there is at the bench. The arm must stand.
func (b *Bench) AtRest() (*Rest, error) {
	if b.Busy() {
		return nil, errNotAtRest
	}
	s := snapshot{
		Version: SnapshotVersion, Arm: fileRef{b.mounted.arm.ID, b.hashed.ofArm(b.mounted.arm)}, Chosen: b.chosen,
		Joints: b.drive().Joints(), Start: b.mounted.start, Stops: b.driven.stops, Crashes: b.driven.crashes, Wanted: b.wanted,
		Predict: b.predicting.snapshot(), Ways: b.ways.snapshot(), Begun: slices.Clone(b.begun),
	}
	if c := b.mounted.cell; c != nil {
		s.Cell = &fileRef{c.ID, b.hashed.ofCell(c)}
		if c.Rail != nil {
			at := c.Rail.At
			s.Rail = &at
		}
	}
	if found := b.mounted.found; found != nil {
		at := array(found.TCP.Position)
		s.Found, s.FoundOf = &at, found.Name
	}
	for _, t := range b.mounted.taught {
		if t.Taught != nil {
			s.Taught = append(s.Taught, taughtFrame{t.Name, [3][3]float64{array(t.Taught[0]), array(t.Taught[1]), array(t.Taught[2])}})
		}
	}
	t := &b.mounted.teaching
	for i, p := range [3]*r3.Vec{t.origin, t.x, t.xy} {
		if p != nil {
			at := array(*p)
			s.Points[i] = &at
		}
	}
	s.Touches, s.Lacks = slices.Clone(t.touches), t.problem
	if stopped := b.driven.stopped; stopped != nil {
		kept := *stopped
		kept.Jog = keptJog(kept.Jog)
		s.Stopped = &kept
	}
	if l := b.lesson; l != nil {
		packed, err := l.Progress.MarshalBinary()
		if err != nil {
			return nil, err
		}
		s.Lesson = &lessonSnapshot{
			ID: l.Lesson.ID, Progress: packed, Stage: l.At(), Begin: l.begin.Joints(), Try: l.Try(), Verdict: l.verdict, Jogs: l.jogs, Edition: l.edition, Resumed: l.resumed, Before: l.before,
			Text: l.Lesson.Edition(), Attempt: l.Lesson.Attempt,
		}
	}
	log, err := b.driven.log.MarshalBinary()
	if err != nil {
		return nil, err
	}
	if before := b.driven.before; before != nil {
		s.Before = &stoodSnapshot{before.joints, before.ticks, before.driven.stops, len(log)}
		older, err := before.driven.log.MarshalBinary()
		if err != nil {
			return nil, err
		}
		log = append(log, older...)
	}
	s.Own = b.ownFile()
	s.Lent = s.Own != "" && b.mounted.arm != b.own.arm
	return &Rest{s, log, b.mark()}, nil
}

// Write writes it down, in at most LargestSnapshot bytes, and the log beside it.
func (r *Rest) Write(p *Packer) (state, log []byte, err error) {
	s := r.state
	if state, err = s.pack(p); len(state) > LargestSnapshot && s.Own != "" {
		s.Own = "" // The page has it, and hands it in again; the arm then stands where it starts.
		state, err = s.pack(p)
	}
	if len(state) > LargestSnapshot {
		s.Predict.Given = nil // The list is the least that would be missed; the counts stay.
		state, err = s.pack(p)
	}
	switch {
	case err != nil:
		return nil, nil, err
	case len(state) > LargestSnapshot:
		return nil, nil, fmt.Errorf("the bench takes %d bytes at rest, more than %d", len(state), LargestSnapshot)
	}
	return state, r.log, nil
}

// Snapshot writes the bench down as it is now. The arm must stand.
func (b *Bench) Snapshot() (state, log []byte, err error) {
	r, err := b.AtRest()
	if err != nil {
		return nil, nil, err
	}
	return r.Write(NewPacker())
}

// Packer packs one text after the other. It takes most of a megabyte, so it is used again.
type Packer struct{ zip *flate.Writer }

// NewPacker returns one.
func NewPacker() *Packer {
	w, _ := flate.NewWriter(nil, flate.BestCompression) // The level is one of its own.
	return &Packer{w}
}

func (s *snapshot) pack(p *Packer) ([]byte, error) {
	text, err := json.Marshal(s)
	if err != nil {
		return nil, err
	}
	var packed bytes.Buffer
	p.zip.Reset(&packed)
	p.zip.Write(text)
	err = p.zip.Close()
	return packed.Bytes(), err
}

func (p *predicting) snapshot() predictSnapshot {
	s := predictSnapshot{On: p.on, Joints: p.joints, Fresh: p.fresh, Given: slices.Clone(p.given), Count: p.count, Right: p.right, Measured: p.measured, Sum: p.sum}
	switch {
	case p.asked != nil:
		asked := p.asked.jog
		s.Asked, s.AskedHeld = &asked, p.asked.held
	case p.pending != nil:
		pending := p.pending.jog
		s.Asked, s.AskedHeld = &pending, p.pending.held
	}
	return s
}

func (c *comparison) snapshot() *waysSnapshot {
	g := c.goal
	if g == nil {
		return nil
	}
	s := &waysSnapshot{Kind: g.kind, Target: g.Target, Pose: g.pose}
	if c.from != nil {
		from := c.from.Joints()
		s.From = &from
		s.Jogs, s.Reached, s.Length, s.Ticks = c.attempt.jogs, c.attempt.reached, c.attempt.Length, c.attempt.Ticks
		if near := c.attempt.Nearest; !math.IsInf(near.Distance, 0) {
			s.Nearest = &near
		}
	}
	return s
}

// largestSnapshotText bounds what a snapshot unpacks to.
const largestSnapshotText = 256 << 10

// Restore makes a bench from what Snapshot wrote. What is on offer may have changed since: then the arm stands where it stood,
// if it can, with what there still is of the rest. The error is of a snapshot that cannot be read, or of an arm that there is
// no more.
func Restore(offer *Offer, env Env, state, log []byte) (*Bench, error) {
	text, err := io.ReadAll(io.LimitReader(flate.NewReader(bytes.NewReader(state)), largestSnapshotText))
	if err != nil {
		return nil, fmt.Errorf("this is no snapshot of a bench: %w", err)
	}
	var s snapshot
	if err := json.Unmarshal(text, &s); err != nil {
		return nil, fmt.Errorf("this is no snapshot of a bench: %w", err)
	}
	if s.Version != SnapshotVersion {
		return nil, fmt.Errorf("this snapshot is of form %d; this program reads form %d", s.Version, SnapshotVersion)
	}
	b := &Bench{env: env, offer: offer, in: words.English, page: &page{}, chosen: s.Chosen, wanted: s.Wanted, counted: NewCounted(mostCounted), begun: s.Begun}
	b.chosen.Unit = cmp.Or(b.chosen.Unit, words.MM)
	if s.Lesson != nil {
		err = b.restoreLesson(&s)
	} else {
		err = b.restoreArm(&s)
	}
	if err != nil {
		return nil, err
	}
	if same, err := b.restoreStand(&s); err != nil || !same {
		return b, err
	}
	if s.Before != nil && s.Before.Log >= 0 && s.Before.Log <= len(log) {
		b.driven.before = &stood{joints: s.Before.Joints, ticks: s.Before.Ticks, driven: driven{stops: s.Before.Stops}}
		b.driven.before.driven.log.UnmarshalBinary(log[s.Before.Log:])
		log = log[:s.Before.Log]
	}
	b.driven.log.UnmarshalBinary(log) // or it begins anew
	b.driven.stops, b.driven.crashes = s.Stops, s.Crashes
	b.restoreTeaching(&s)
	if s.Stopped != nil {
		stopped := *s.Stopped
		stopped.Jog = jogAsKept(stopped.Jog)
		b.driven.stopped = &stopped
	}
	b.restorePredicting(&s.Predict)
	if s.Ways != nil {
		b.restoreWays(s.Ways)
	}
	return b, nil
}

// restoreArm mounts the arm in its cell.
func (b *Bench) restoreArm(s *snapshot) error {
	if s.Own != "" {
		if arm, err := armfile.Parse(ownFileName, []byte(s.Own)); err == nil {
			stands := own{arm, s.Own}
			if s.Lent {
				b.lent = stands
			} else {
				b.own = stands
			}
		}
	}
	arm := b.arm(s.Arm.ID)
	if s.Lent {
		arm = b.lent.arm
	}
	if arm == nil {
		return fmt.Errorf("there is no arm %q any more", s.Arm.ID)
	}
	var cell *cellfile.Cell
	if s.Cell != nil {
		cell = b.offer.cell(s.Cell.ID)
	}
	if cell != nil && s.Rail != nil {
		if moved, err := cell.OnRail(*s.Rail); err == nil {
			cell = moved
		}
	}
	b.enter(cell)
	b.mount(arm, s.Chosen.Tool, withinOr(arm, s.Start))
	return nil
}

// withinOr returns the joint angles, or where the arm starts if they are not within its limits.
func withinOr(arm *armfile.Arm, q kinematics.Joints) kinematics.Joints {
	if arm.Geometry.Within(q) {
		return q
	}
	return arm.Geometry.Start()
}

// restoreLesson goes on in the lesson, or mounts its arm where there is no such lesson any more.
func (b *Bench) restoreLesson(s *snapshot) error {
	var kept lesson.Progress
	l := b.offer.Lesson(s.Lesson.ID)
	if l == nil || kept.UnmarshalBinary(s.Lesson.Progress) != nil {
		b.chosen.Lesson = ""
		return b.restoreArm(s)
	}
	l, err := b.dealtAgain(l, kept.Seed, s)
	if err != nil {
		b.chosen.Lesson = ""
		return b.restoreArm(s)
	}
	run := lesson.NewRun(l)
	run.Resume(kept) // or starts afresh
	b.lesson = &lessonRun{Run: run, edition: s.Lesson.Edition, resumed: s.Lesson.Resumed, before: s.Lesson.Before}
	b.noteBegun(run)
	b.enter(l.Cell)
	stage := run.Place(kept, s.Lesson.Stage)
	b.putAt(l.Stages[stage].Begin)
	b.beginStage(stage)
	return nil
}

// dealtAgain returns the lesson as it was dealt. What was found of numbers then is not looked for again where all is as it was.
func (b *Bench) dealtAgain(l *lesson.Lesson, seed uint64, s *snapshot) (*lesson.Lesson, error) {
	if !l.Deals() {
		return undealt(l, seed), nil
	}
	from := b.dealOf(l, seed)
	sameCell := (l.Cell == nil) == (s.Cell == nil) && (l.Cell == nil || cellHash(l.Cell) == s.Cell.Hash)
	if s.Lesson.Text == l.Edition() && armHash(l.Arm) == s.Arm.Hash && sameCell {
		from.Attempt = s.Lesson.Attempt
		return l.Redrawn(from)
	}
	l, _, err := solve.Drawn(l, from)
	return l, err
}

// restoreStand puts the arm where it stood, with the frames and the tool it had, and reports whether all around it is as it was.
func (b *Bench) restoreStand(s *snapshot) (same bool, err error) {
	arm, cell := b.mounted.arm, b.mounted.cell
	same = arm.ID == s.Arm.ID && armHash(arm) == s.Arm.Hash && (cell == nil) == (s.Cell == nil) && (cell == nil || cellHash(cell) == s.Cell.Hash)
	if s.Lesson != nil && (b.lesson == nil || b.lesson.At() != s.Lesson.Stage) {
		return false, nil // The stage is another now; it begins where it begins.
	}
	for _, t := range s.Taught {
		frame, err := cellfile.TeachFrame(t.Name, vector(t.Points[0]), vector(t.Points[1]), vector(t.Points[2]))
		if err != nil {
			continue
		}
		stand := b.stand()
		if stand.Teach(frame) == nil {
			b.mounted.taught = stand.Taught
		}
	}
	tool, err := arm.ToolAmong(b.tools(), s.toolFromFile())
	if err != nil {
		tool = kinematics.NoTool
	}
	if s.Found != nil {
		tool = cellfile.WithTCP(tool, vector(*s.Found))
		b.mounted.found = &tool
		if s.Chosen.Tool != tool.Name {
			if tool, err = arm.ToolAmong(b.tools(), s.Chosen.Tool); err != nil {
				tool = kinematics.NoTool
			}
		}
	}
	b.chosen.SetDistanceMM = s.Chosen.SetDistanceMM
	around, err := b.around(tool)
	if err != nil {
		return false, nil // It stands as it was mounted.
	}
	if err := b.drive().Refit(around); err != nil {
		return false, err
	}
	b.chosen.Tool = tool.Name
	if arm.Geometry.Within(s.Joints) && (same || b.clearAt(s.Joints)) {
		b.standAt(s.Joints)
	} else {
		same = false
	}
	b.chosen.Increment, b.chosen.Speed = s.Chosen.Increment, s.Chosen.Speed
	b.restoreFrames(s.Chosen)
	if l := b.lesson; l != nil {
		b.chooseAllowed()
		if same && arm.Geometry.Within(s.Lesson.Begin) {
			begin, err := jog.New(l.begin.Setup(), s.Lesson.Begin)
			if err != nil {
				return false, err
			}
			if err := l.TakeUp(s.Lesson.Stage, s.Lesson.Try, begin, b.drive()); err != nil {
				return false, err
			}
			l.begin, l.verdict, l.jogs = begin, s.Lesson.Verdict, s.Lesson.Jogs
			l.recall()
			l.look()
			b.mounted.start = s.Lesson.Begin
		}
	}
	return same, nil
}

// toolFromFile is the tool that the TCP was found for, or the one that was mounted.
func (s *snapshot) toolFromFile() string {
	if s.Found == nil {
		return s.Chosen.Tool
	}
	plain, _ := cellfile.FoundTCP(s.FoundOf)
	return plain
}

func (b *Bench) restoreTeaching(s *snapshot) {
	t := &b.mounted.teaching
	for i, p := range []**r3.Vec{&t.origin, &t.x, &t.xy} {
		if s.Points[i] != nil {
			at := vector(*s.Points[i])
			*p = &at
		}
	}
	t.touches, t.problem = s.Touches, s.Lacks
}

func (b *Bench) restorePredicting(s *predictSnapshot) {
	b.predicting = predicting{on: s.On, joints: s.Joints, fresh: s.Fresh, given: s.Given, count: s.Count, right: s.Right, measured: s.Measured, sum: s.Sum}
	if s.Asked != nil {
		b.predicting.pending = &pendingPrediction{*s.Asked, s.AskedHeld, b.standKey()}
	}
}

func (b *Bench) restoreWays(s *waysSnapshot) {
	b.ways = comparison{goal: &goal{Target: s.Target, kind: s.Kind, pose: s.Pose}}
	if s.From == nil || !b.mounted.arm.Geometry.Within(*s.From) {
		return
	}
	from, err := jog.New(b.drive().Setup(), *s.From)
	if err != nil {
		return
	}
	b.ways.begin(b.drive())
	b.ways.from = from
	a := &b.ways.attempt
	a.jogs, a.reached, a.Length, a.Ticks = s.Jogs, s.Reached, s.Length, s.Ticks
	if s.Nearest != nil {
		a.Nearest = *s.Nearest
	}
}
