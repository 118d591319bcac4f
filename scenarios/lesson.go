package scenarios

import (
	"bytes"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"sync"

	"github.com/goccy/go-yaml/ast"
	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
	"handrule/kinematics/jog"
)

// Lesson is a lesson file: an arm in its cell, and stages in their order.
type Lesson struct {
	Block
	ID      string            // the file's name without its ending
	Title   string            `field:"title,required" about:"The lesson's name, as the list of lessons shows it."`
	Aims    []string          `field:"aims" most:"10" about:"What the learner can do afterwards."`
	Minutes Count             `field:"minutes" about:"About how long it takes."`
	ArmRef  string            `field:"arm,required" about:"A shipped arm, such as wren, or the name of an arm file beside the lesson, such as my-arm.yaml."`
	CellRef CellField         `field:"cell" about:"A shipped cell, such as glazing-bench, the name of a cell file beside the lesson, or the fields of a cell. Without it there is only the surface the arm is mounted on."`
	Tool    string            `field:"tool" about:"The tool the arm carries; none is the bare flange. Its first tool unless told otherwise."`
	Start   kinematics.Joints `field:"start_deg" about:"The six joint angles at the start, in degrees. Zero unless told otherwise."`
	Allow   Allow             `field:"allow" about:"What the learner may use. All there is, unless told otherwise."`
	Draw    []Drawn           `field:"draw" most:"40" about:"Numbers that are drawn for every learner anew. $name stands for one in every field after it."`
	Sources []string          `field:"sources" most:"20" about:"Where the facts come from: a standard, a textbook, or common practice."`
	Stages  []Stage           `field:"stages,required" most:"60" about:"The parts of the lesson, in their order."`

	Arm      *Arm
	Cell     *Cell    // nil where there is only the surface the arm is mounted on
	Pictures []string // paths of the pictures its prose shows, from its own folder
	Seed     uint64   // from which its numbers were drawn

	HTML string // the prose of all stages

	dealt  dealt
	beside fs.FS // the lesson's folder
	text   []byte
	file   string
}

// CellField is what a lesson says about its cell: a name, a file, or the fields of a cell.
type CellField struct{ node ast.Node }

// Allow is what a learner may use. What is absent is not restricted.
type Allow struct {
	Block
	Frames   []jog.Frame `field:"frames" most:"5" about:"The frames one may jog in."`
	StepsMM  []Margin    `field:"steps_mm" most:"12" about:"The straight steps that are offered, mm."`
	StepsDeg []Margin    `field:"steps_deg" most:"12" about:"The turning steps that are offered, degrees."`
	SpeedMM  Margin      `field:"speed_mm_s" about:"The highest straight speed, mm/s; at most 250."`
	SpeedDeg Margin      `field:"speed_deg_s" about:"The highest turning speed, degrees/s."`
	Show     []Overlay   `field:"show" most:"6" about:"The aids that are offered on the page."`
	Hide     []Overlay   `field:"hide" most:"6" about:"The aids that are not offered."`
}

// Overlay is an aid that the page draws.
type Overlay string

// Overlays are all of them.
var Overlays = []Overlay{"ghost", "trail", "share", "room", "walk", "readout"}

// settle reports an aid that is both offered and not.
func (a *Allow) settle() {
	for _, aid := range a.Hide {
		if slices.Contains(a.Show, aid) {
			a.add("hide", "names %s, which show offers; leave it out of one of them", aid)
		}
	}
}

// Permits reports whether jogs in this frame are allowed.
func (a *Allow) Permits(f jog.Frame) bool { return len(a.Frames) == 0 || slices.Contains(a.Frames, f) }

// Shows reports whether the page offers this aid.
func (a *Allow) Shows(o Overlay) bool {
	return (len(a.Show) == 0 || slices.Contains(a.Show, o)) && !slices.Contains(a.Hide, o)
}

// Target is where the TCP should go, in the base frame.
type Target struct {
	Position      r3.Vec
	Rotation      *kinematics.Rotation // nil where any will do
	Tolerance     float64              // mm
	TurnTolerance float64              // rad
}

// Reached reports whether a TCP is at the target.
func (t *Target) Reached(tcp kinematics.Pose) bool {
	goal := kinematics.Pose{Position: t.Position, Rotation: tcp.Rotation}
	if t.Rotation != nil {
		goal.Rotation = *t.Rotation
	}
	move, turn := tcp.Twist(goal)
	return within(r3.Norm(move), t.Tolerance) && within(r3.Norm(turn), t.TurnTolerance)
}

// within reports whether what is off is within a tolerance. Rounding must not fail a jog that ends exactly at it.
func within(off, tolerance float64) bool { return off <= tolerance+1e-9 }

var sixJoints = []string{"j1", "j2", "j3", "j4", "j5", "j6"}

// ReadLesson reads the text of a lesson file that has no files beside it. The file's name is used for messages and for
// the lesson's ID. The error is an Errors with everything that is wrong.
func ReadLesson(file string, text []byte) (*Lesson, error) {
	return readLesson(file, text, nil, deal{})
}

// ShipsLesson reports whether the lesson of that name is a shipped one.
func ShipsLesson(name string) bool { return slices.Contains(shippedLessons, name) }

// OpenLesson reads a lesson, its numbers drawn from the seed: the shipped one of that name, or the file at that path with
// what it names from the same folder.
func OpenLesson(ref string, seed uint64) (*Lesson, error) {
	if slices.Contains(shippedLessons, ref) {
		return openShippedLesson(ref, seed)
	}
	if isName(ref) {
		return nil, fmt.Errorf("no lesson %s ships with handrule; %s, or the path of a lesson file", quoted(ref), unknownWord(ref, shippedLessons))
	}
	text, err := readFile(ref)
	if err != nil {
		return nil, err
	}
	return readLesson(ref, text, besideFile(ref), deal{seed: seed})
}

// besideFile is the folder of a file, from which nothing leads out; nil where it cannot be opened.
func besideFile(file string) fs.FS {
	root, err := os.OpenRoot(filepath.Dir(file))
	if err != nil {
		return nil
	}
	return root.FS()
}

func readLesson(file string, text []byte, beside fs.FS, from deal) (*Lesson, error) {
	s, root, err := document(file, text)
	if err != nil {
		return nil, err
	}
	s.beside = beside
	return s.lesson(root, text, from)
}

// lesson reads a lesson with the numbers of a deal.
func (s *source) lesson(root ast.Node, text []byte, from deal) (*Lesson, error) {
	l := &Lesson{ID: fileID(s.file), Seed: from.seed, beside: s.beside, text: text, file: s.file}
	l.dealt = s.draw(root, from)
	s.read(root, "lesson", l)
	l.readArm()
	l.readCell()
	if l.Arm != nil {
		l.checkStart()
	}
	l.Allow.settle()
	for i := range l.Stages {
		l.Stages[i].settle(l, i)
	}
	if err := s.err(); err != nil {
		return nil, err
	}
	l.Pictures = s.pictures
	var html strings.Builder
	for i := range l.Stages {
		html.WriteString(l.Stages[i].HTML)
	}
	l.HTML = html.String()
	return l, nil
}

// drawn reads the lesson again with other numbers.
func (l *Lesson) drawn(from deal) (*Lesson, error) {
	return readLesson(l.file, l.text, l.beside, from)
}

// Same reports whether two lessons come from the same text, with the same arm and cell.
func (l *Lesson) Same(other *Lesson) bool {
	return l.ID == other.ID && bytes.Equal(l.text, other.text) && reflect.DeepEqual(l.Arm, other.Arm) && reflect.DeepEqual(l.Cell, other.Cell)
}

// besideText returns the text of a file that the field names in the lesson's folder.
func (l *Lesson) besideText(field, name string) ([]byte, bool) {
	switch {
	case l.src.beside == nil:
		l.tell(field, "%s cannot be read: nothing is beside this lesson", quoted(name))
		return nil, false
	case !fs.ValidPath(name) || strings.Contains(name, `\`):
		l.tell(field, "%s is not in the lesson's folder; write its path from there, such as my-%s.yaml", quoted(name), field)
		return nil, false
	}
	info, err := fs.Stat(l.src.beside, name)
	switch {
	case err != nil:
		l.tell(field, "there is no file %s in the lesson's folder", quoted(name))
	case !info.Mode().IsRegular():
		l.tell(field, "%s is not an ordinary file", quoted(name))
	case info.Size() > largestFile:
		l.tell(field, "%s is too large: %d bytes, where %d are plenty", quoted(name), info.Size(), largestFile)
	default:
		text, err := fs.ReadFile(l.src.beside, name)
		if err == nil {
			return text, true
		}
		l.tell(field, "%s cannot be read: %v", quoted(name), withoutPath(err))
	}
	return nil, false
}

// Picture returns one of the lesson's pictures.
func (l *Lesson) Picture(name string) ([]byte, error) {
	if !slices.Contains(l.Pictures, name) {
		return nil, fmt.Errorf("the lesson shows no picture %s", quoted(name))
	}
	return fs.ReadFile(l.beside, name)
}

// inFolder is the path of a file in the lesson's folder, for messages.
func (l *Lesson) inFolder(name string) string {
	return path.Join(path.Dir(filepath.ToSlash(l.src.file)), name)
}

// orFile proposes the file of that name beside the lesson, where there is one.
func (l *Lesson) orFile(name string) string {
	if l.src.beside == nil {
		return ""
	}
	for _, ending := range []string{".yaml", ".yml"} {
		if info, err := fs.Stat(l.src.beside, name+ending); err == nil && info.Mode().IsRegular() {
			return "; for the file beside the lesson write " + name + ending
		}
	}
	return ""
}

func (l *Lesson) readArm() {
	name := strings.TrimPrefix(l.ArmRef, "./")
	if name == "" {
		return
	}
	if isName(l.ArmRef) {
		arm, err := OpenArm(name)
		if err != nil {
			l.tell("arm", "%v%s", err, l.orFile(name))
		}
		l.Arm = arm
		return
	}
	if text, ok := l.besideText("arm", name); ok {
		arm, err := ReadArm(l.inFolder(name), text)
		l.src.addAll(err)
		l.Arm = arm
	}
}

// checkStart reports a tool the arm does not have and start joints outside the limits.
func (l *Lesson) checkStart() {
	if _, err := l.tool(); err != nil {
		l.tell("tool", "%v", err)
	}
	for _, outside := range l.Arm.OutsideLimits(l.Start) {
		l.tell("start_deg", "%s", outside)
	}
}

// Drive returns the lesson's arm at rest in its cell, at these joint angles.
func (l *Lesson) Drive(q kinematics.Joints) (*jog.Drive, error) {
	setup, err := l.setup()
	if err != nil {
		return nil, err
	}
	return jog.New(setup, q)
}

// frame returns the pose of a named frame in the base frame.
func (l *Lesson) frame(name FrameName, d *jog.Drive) (kinematics.Pose, error) {
	setup := d.Setup()
	word, task, _ := strings.Cut(string(name), " ")
	if word == "" {
		word = string(jog.BaseFrame)
	}
	return setup.Frame(jog.Frame(word), task, d.TCP())
}

// speeds are what jogs are run at where a lesson does not say.
var speeds = jog.Speeds{Straight: 100, Turn: kinematics.Radians(30)}

// shippedLessons are the names of the lessons that ship, in their order; the last draws its numbers for every learner.
var shippedLessons = []string{
	"joints-one-at-a-time", "where-the-numbers-start", "the-right-hand", "straight-lines", "first-straight-line", "turning-about-the-tip",
	"base-tool-task", "limits-and-room", "not-touching-things", "two-ways", "assessment",
}

func openShippedLesson(id string, seed uint64) (*Lesson, error) {
	file := "lessons/" + id + ".yaml"
	text, err := shippedFiles.ReadFile(file)
	if err != nil {
		return nil, err
	}
	beside, err := fs.Sub(shippedFiles, "lessons")
	if err != nil {
		return nil, err
	}
	return readLesson(file, text, beside, deal{seed: seed})
}

var loadLessons = sync.OnceValue(func() []*Lesson {
	lessons := make([]*Lesson, len(shippedLessons))
	for i, id := range shippedLessons {
		lesson, err := openShippedLesson(id, 0)
		if err != nil {
			panic(err) // The tests have read them.
		}
		lessons[i] = lesson
	}
	return lessons
})

// ShippedLessons returns the lessons that come with handrule, in their order. They are shared and not to be changed.
func ShippedLessons() []*Lesson { return slices.Clone(loadLessons()) }

// looksLikeLesson tells a lesson by the fields that only a lesson has.
func looksLikeLesson(root ast.Node) bool {
	return hasField(root, "title", "arm", "stages", "start_deg", "aims")
}
