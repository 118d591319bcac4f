// Package lesson reads lesson files and grades what a learner does in a lesson: their stages, the five kinds of task, what
// is computed of the arm to grade them, the numbers that are drawn for every learner, and a learner's progress (Run).
package lesson

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"path"
	"path/filepath"
	"reflect"
	"slices"
	"strings"

	"github.com/goccy/go-yaml/ast"
	"gonum.org/v1/gonum/spatial/r3"

	"handrule/internal/files"
	"handrule/kinematics"
	"handrule/kinematics/jog"
	"handrule/scenarios/armfile"
	"handrule/scenarios/cellfile"
	"handrule/scenarios/form"
	"handrule/scenarios/translation"
)

// Lesson is a lesson file: an arm in its cell, and stages in their order.
type Lesson struct {
	form.Block
	Version    form.Version      `field:"version" about:"Of this form: 1, which it is where nothing is said."`
	ID         string            // the file's name without its ending
	Title      string            `field:"title,required" about:"The lesson's name, as the list of lessons shows it."`
	Written    Language          `field:"language" about:"The language its texts are in, by its code, such as en or es. A page in another language says so."`
	Aims       []string          `field:"aims" most:"10" about:"What the learner can do afterwards."`
	Minutes    form.Count        `field:"minutes" about:"About how long it takes."`
	ArmRef     string            `field:"arm,required" about:"A shipped arm, such as wren, or the name of an arm file beside the lesson, such as my-arm.yaml."`
	CellRef    CellField         `field:"cell" about:"A shipped cell, such as glazing-bench, the name of a cell file beside the lesson, or the fields of a cell. Without it there is only the surface the arm is mounted on."`
	Tool       string            `field:"tool" about:"The tool the arm carries; none is the bare flange. Its first tool unless told otherwise."`
	Start      kinematics.Joints `field:"start_deg" about:"The six joint angles at the start, in degrees. Zero, or the limit nearest to it, unless told otherwise."`
	Allow      Allow             `field:"allow" about:"What the learner may use. All there is, unless told otherwise."`
	Draw       []Drawn           `field:"draw" most:"40" about:"Numbers that are drawn for every learner anew. $name stands for one in every field after it."`
	Assessment *Assessment       `field:"assessment" about:"Makes the lesson an assessment: its tries are limited, its tasks have points, and the server deals its numbers. {} takes all as usual."`
	Sources    []string          `field:"sources" most:"20" about:"Where the facts come from: a standard, a textbook, or common practice."`
	Stages     []Stage           `field:"stages,required" most:"60" about:"The parts of the lesson, in their order."`

	Arm           *armfile.Arm
	Cell          *cellfile.Cell // nil where there is only the surface the arm is mounted on
	cellBad       bool           // it is named, and wrong or not there
	form.Findings                // old words in its file
	Pictures      []string       // paths of the pictures its prose shows, from its own folder
	Seed          uint64         // the number of the deal, with which it is made again
	Attempt       int            // of the deal

	HTML  string          // the prose of all stages
	Texts translation.All // its texts in other languages
	Lang  string          // of its own texts; "" where nobody said

	original   *Lesson            // the lesson as in its file, where this one has the texts of a translation
	translated *translation.Texts // that translation
	undrawn    []undrawn          // the stages' texts before numbers were drawn
	dealt      dealt
	around     Around
	text       []byte
	File       string
}

// CellField is what a lesson says about its cell: a name, a file, or the fields of a cell.
type CellField struct{ node ast.Node }

// Allow is what a learner may use. What is absent is not restricted.
type Allow struct {
	form.Block
	Frames   []jog.Frame   `field:"frames" most:"5" about:"The frames one may jog in."`
	StepsMM  []form.Margin `field:"steps_mm" most:"12" about:"The straight steps that are offered, mm."`
	StepsDeg []form.Margin `field:"steps_deg" most:"12" about:"The turning steps that are offered, degrees."`
	SpeedMM  form.Margin   `field:"speed_mm_s" about:"The highest straight speed, mm/s; at most 250."`
	SpeedDeg form.Margin   `field:"speed_deg_s" about:"The highest turning speed, degrees/s."`
	Show     []Overlay     `field:"show" most:"6" about:"The aids that are offered on the page."`
	Hide     []Overlay     `field:"hide" most:"6" about:"The aids that are not offered."`
}

// Overlay is an aid that the page draws.
type Overlay string

// Overlays are all of them.
var Overlays = []Overlay{"ghost", "trail", "share", "room", "walk", "readout"}

// validate reports an aid that is both offered and not.
func (a *Allow) validate() {
	for _, aid := range a.Hide {
		if slices.Contains(a.Show, aid) {
			a.Add("hide", "names %s, which show offers; leave it out of one of them", aid)
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

// Around is what stands around a lesson's file.
type Around struct {
	Beside fs.FS // the lesson's folder; nil where there is nothing beside it
	// Arm and Cell return the shipped ones of a name.
	Arm  func(name string) (*armfile.Arm, error)
	Cell func(name string) (*cellfile.Cell, error)
	Look armfile.Look // looks at the meshes of an arm beside the lesson; nil: they are not looked at

	Prose Reader // nil: texts are neither looked at nor shown
}

// Parse reads the text of a lesson file, its numbers drawn by a deal. The file's name is used for messages and for the
// lesson's ID. The error is an Errors with everything that is wrong.
func Parse(file string, text []byte, around Around, from Deal) (*Lesson, error) {
	s, root, err := form.Document(file, text)
	if err != nil {
		return nil, err
	}
	return Of(s, root, text, around, from)
}

// Of reads the lesson that is a document's root.
func Of(s *form.Source, root ast.Node, text []byte, around Around, from Deal) (*Lesson, error) {
	l := &Lesson{ID: form.FileID(s.File), Seed: from.Seed, Attempt: from.Attempt, around: around, text: text, File: s.File}
	made := identitiesOf(root) // before the numbers are drawn: they are the same for every learner
	l.undrawn = textsOf(s, root)
	l.dealt = draw(s, root, from)
	s.Read(root, "lesson", l)
	l.identify(made)
	l.readArm()
	l.readCell()
	if l.Arm != nil {
		if !l.Given("start_deg") {
			l.Start = l.Arm.Geometry.Start()
		}
		l.checkStart()
	}
	l.Allow.validate()
	for i := range l.Stages {
		l.Stages[i].validate(l, i)
	}
	l.validateAssessment()
	if err := s.Err(); err != nil {
		return nil, err
	}
	l.Findings, l.Lang = s.Findings(), string(l.Written)
	l.noteRules()
	l.arrange(from)
	var html strings.Builder
	for i := range l.Stages {
		html.WriteString(l.Stages[i].HTML)
	}
	l.HTML = html.String()
	return l, nil
}

// Redrawn reads the lesson again with other numbers, and with the texts of its file.
func (l *Lesson) Redrawn(from Deal) (*Lesson, error) {
	return l.RedrawnWhile(from, func() bool { return true })
}

// RedrawnWhile does the same, and asks halfway whether to go on.
func (l *Lesson) RedrawnWhile(from Deal, goOn func() bool) (*Lesson, error) {
	s, root, err := form.Document(l.File, l.text)
	if err != nil {
		return nil, err
	}
	if !goOn() {
		return nil, ErrLeftOff
	}
	again, err := Of(s, root, l.text, l.around, from)
	if err == nil {
		again.Texts, again.Lang, again.Pictures = l.Texts, l.Lang, l.Pictures // Translations may show more pictures.
	}
	return again, err
}

// Same reports whether two lessons come from the same texts, in every language, with the same arm and cell.
func (l *Lesson) Same(other *Lesson) bool {
	return l.ID == other.ID && bytes.Equal(l.text, other.text) && reflect.DeepEqual(l.Arm, other.Arm) && reflect.DeepEqual(l.Cell, other.Cell) &&
		maps.EqualFunc(l.Texts, other.Texts, (*translation.Texts).Same)
}

// Edition names the state that the lesson's file is in, in eight letters, so that a sheet and its key can be told to go together.
func (l *Lesson) Edition() string { return shortHash(string(l.text)) }

// besideText returns the text of a file that the field names in the lesson's folder.
func (l *Lesson) besideText(field, name string) ([]byte, bool) {
	switch {
	case l.around.Beside == nil:
		l.Tell(field, "%s cannot be read: nothing is beside this lesson", form.Quoted(name))
		return nil, false
	case !fs.ValidPath(name) || strings.Contains(name, `\`):
		l.Tell(field, "%s is not in the lesson's folder; write its path from there, such as my-%s.yaml", form.Quoted(name), field)
		return nil, false
	}
	text, err := files.ReadIn(l.around.Beside, name, form.LargestFile)
	var large files.TooLarge
	switch {
	case err == nil:
		return text, true
	case errors.Is(err, fs.ErrNotExist):
		l.Tell(field, "there is no file %s in the lesson's folder", form.Quoted(name))
	case errors.Is(err, files.ErrNotOrdinary), errors.As(err, &large):
		l.Tell(field, "%s %v", form.Quoted(name), err)
	default: // such as a link that leads out
		l.Tell(field, "no file %s in the lesson's folder can be read: %v", form.Quoted(name), form.WithoutPath(err))
	}
	return nil, false
}

// OpenPicture opens one of the lesson's pictures. It is looked at again, because it may have been replaced since the lesson
// was read.
func (l *Lesson) OpenPicture(name string) (*files.File, error) {
	if !slices.Contains(l.Pictures, name) {
		return nil, fmt.Errorf("the lesson shows no picture %s", form.Quoted(name))
	}
	return files.OpenIn(l.around.Beside, name, largestImage)
}

// inFolder is the path of a file in the lesson's folder, for messages.
func (l *Lesson) inFolder(name string) string {
	return path.Join(path.Dir(filepath.ToSlash(l.Source().File)), name)
}

// orFile proposes the file of that name beside the lesson, where there is one.
func (l *Lesson) orFile(name string) string {
	if l.around.Beside == nil {
		return ""
	}
	for _, ending := range []string{".yaml", ".yml"} {
		if info, err := fs.Stat(l.around.Beside, name+ending); err == nil && info.Mode().IsRegular() {
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
	if form.IsName(l.ArmRef) {
		arm, err := l.around.Arm(name)
		if err != nil {
			l.Tell("arm", "%v%s", err, l.orFile(name))
		}
		l.Arm = arm
		return
	}
	if text, ok := l.besideText("arm", name); ok {
		arm, err := armfile.ParseLooking(l.inFolder(name), text, l.around.Look)
		l.Source().AddAll(err)
		l.Arm = arm
	}
}

// checkStart reports a tool the arm does not have and start joints outside the limits.
func (l *Lesson) checkStart() {
	if _, err := l.Mounted(); err != nil {
		l.Tell("tool", "%v", err)
	}
	for _, outside := range l.Arm.OutsideLimits(l.Start) {
		l.Tell("start_deg", "%s", outside)
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

// Speeds are what jogs are run at where a lesson does not say.
var Speeds = jog.Speeds{Straight: 100, Turn: kinematics.Radians(30)}
