package scenarios

import (
	"bytes"
	"slices"
	"sync"

	"github.com/goccy/go-yaml/ast"
	"github.com/yuin/goldmark"
	"gonum.org/v1/gonum/spatial/r3"

	"handrule/kinematics"
)

// Lesson is a lesson file: an arm, where it starts, what to read, and where to go.
type Lesson struct {
	ID     string // the file's name without its ending
	Title  string
	Arm    *Arm
	Tool   string // mounted at the start
	Start  kinematics.Joints
	HTML   string  // of the file's Markdown; raw HTML and unsafe links in it are left out
	Target *Target // nil where there is none
}

// Target is where the TCP should go, in the base frame.
type Target struct {
	Position      r3.Vec
	Rotation      *kinematics.Rotation // nil where any will do
	Tolerance     float64              // mm
	TurnTolerance float64              // rad
}

// Off returns how far a TCP is from the target: mm, and rad where the target has a rotation.
func (t *Target) Off(tcp kinematics.Pose) (mm, rad float64) {
	mm = r3.Norm(r3.Sub(tcp.Position, t.Position))
	if t.Rotation != nil {
		_, turn := tcp.Twist(kinematics.Pose{Rotation: *t.Rotation})
		rad = r3.Norm(turn)
	}
	return mm, rad
}

// Reached reports whether a TCP is within the target's tolerances.
func (t *Target) Reached(tcp kinematics.Pose) bool {
	mm, rad := t.Off(tcp)
	return mm <= t.Tolerance && rad <= t.TurnTolerance
}

const (
	longestTitle = 80
	longestText  = 16 << 10 // some 2,500 words; the time Markdown takes may grow with the square of its length
)

var (
	lessonRequired = []string{"title", "arm", "text"}
	lessonOptional = []string{"tool", "start_deg", "target"}
	targetRequired = []string{"position_mm", "tolerance_mm"}
	targetOptional = []string{"rotation_deg", "tolerance_deg"}
	sixJoints      = []string{"j1", "j2", "j3", "j4", "j5", "j6"}
)

// ReadLesson reads the text of a lesson file. The file's name is used for messages and for the lesson's ID. The
// error is an Errors with everything that is wrong.
func ReadLesson(file string, text []byte) (*Lesson, error) {
	s, root, err := document(file, text)
	if err != nil {
		return nil, err
	}
	return s.lesson(root)
}

func (s *source) lesson(root ast.Node) (*Lesson, error) {
	f := s.fields(root, "lesson", lessonRequired, lessonOptional)
	l := &Lesson{ID: fileID(s.file)}
	l.Title, _ = f.text("title", longestTitle)
	l.Arm = f.shippedArm()
	if start, ok := f.numbers("start_deg", sixJoints, largestAngle); ok {
		for i, angle := range start {
			l.Start[i] = kinematics.Radians(angle)
		}
	}
	l.Tool, _ = f.text("tool", longestName)
	if l.Arm != nil {
		f.checkStart(l)
	}
	if markdown, ok := f.prose("text", longestText); ok {
		var html bytes.Buffer
		if err := goldmark.Convert([]byte(markdown), &html); err != nil {
			f.add(f.at("text"), "%s cannot be read as Markdown: %v", f.name("text"), err)
		}
		l.HTML = html.String()
	}
	if n, ok := f.values["target"]; ok {
		l.Target = s.target(n)
	}
	if err := s.err(); err != nil {
		return nil, err
	}
	return l, nil
}

func (f fields) shippedArm() *Arm {
	name, ok := f.text("arm", longestName)
	if !ok {
		return nil
	}
	if !slices.Contains(shippedArms, name) {
		f.add(f.at("arm"), "%s: no arm %s ships with handrule; %s", f.name("arm"), quoted(name), unknownWord(name, shippedArms))
		return nil
	}
	arm, _ := OpenArm(name)
	return arm
}

// checkStart reports a tool the arm does not have and start joints outside the limits.
func (f fields) checkStart(l *Lesson) {
	if _, err := l.Arm.Tool(l.Tool); err != nil {
		f.add(f.at("tool"), "%s: %v", f.name("tool"), err)
	}
	for _, outside := range l.Arm.OutsideLimits(l.Start) {
		f.add(f.at("start_deg"), "%s: %s", f.name("start_deg"), outside)
	}
}

func (s *source) target(n ast.Node) *Target {
	f := s.fields(n, "target", targetRequired, targetOptional)
	t := &Target{}
	t.Position, _ = f.vector("position_mm", largestLength)
	t.Tolerance, _ = f.positive("tolerance_mm", largestLength)
	if _, given := f.values["rotation_deg"]; given {
		rotation := f.rotation()
		t.Rotation = &rotation
		if _, given := f.values["tolerance_deg"]; !given {
			f.add(f.at("rotation_deg"), "target: with rotation_deg goes tolerance_deg, such as 2")
		}
	}
	if _, given := f.values["tolerance_deg"]; given {
		tolerance, _ := f.positive("tolerance_deg", 180)
		t.TurnTolerance = kinematics.Radians(tolerance)
	}
	return t
}

var shippedLessons = []string{"first-straight-line"}

var loadLessons = sync.OnceValue(func() []*Lesson { return loadShipped("lessons", shippedLessons, ReadLesson) })

// ShippedLessons returns the lessons that come with handrule, in their order.
func ShippedLessons() []*Lesson { return loadLessons() }

// looksLikeLesson tells a lesson by the fields that only a lesson has.
func looksLikeLesson(root ast.Node) bool {
	return hasField(root, "title", "arm", "text", "start_deg", "target")
}
